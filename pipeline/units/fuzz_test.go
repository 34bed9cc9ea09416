package units_test

import (
	"math"
	"slices"
	"testing"

	"tripwake/pipeline/units"
)

// FuzzUnits: a text is a unit by its folded spelling alone, it converts to its own code without change, and to every unit that
// its dimension spells, there and back.
func FuzzUnits(f *testing.F) {
	for _, text := range []string{"cm H2O", "°F", "mmHg", "l/min", "[lb_av]", "µg", "ｍL", "K", "\u212a", "İ", "", " ", "per cent", "m³"} {
		f.Add(text, 37.25)
	}
	f.Fuzz(func(t *testing.T, text string, value float64) {
		unit, ok := units.Find(text)
		if folded, also := units.Find(units.Fold(text)); also != ok || folded.Code != unit.Code {
			t.Fatalf("%q is %q, folded %q", text, unit.Code, folded.Code)
		}
		if !ok {
			if _, err := units.Between(text, "kPa"); err == nil {
				t.Fatalf("%q is no unit and converts", text)
			}
			return
		}
		if own, err := units.Between(text, unit.Code); err != nil || !own.Identity() {
			t.Fatalf("%q to %q: %v, %v", text, unit.Code, own, err)
		}
		if !slices.ContainsFunc(units.Spellings(unit.Code), func(s units.Spelling) bool { return s.Text == units.Fold(text) }) {
			t.Fatalf("%q is none of the spellings of %q", text, unit.Code)
		}
		if math.IsNaN(value) || math.Abs(value) > 1e12 {
			return
		}
		for _, other := range units.All() {
			there, err := units.Between(text, other.Code)
			if (err == nil) != (other.Dimension == unit.Dimension) {
				t.Fatalf("%q to %q: %v", text, other.Code, err)
			}
			if err != nil {
				continue
			}
			back, _ := units.Between(other.Code, text)
			if got := back.Apply(there.Apply(value)); math.Abs(got-value) > 1e-9*(1e3+math.Abs(value)) {
				t.Fatalf("%v %s to %s and back is %v", value, text, other.Code, got)
			}
		}
	})
}
