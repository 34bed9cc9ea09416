package units_test

import (
	"math"
	"strings"
	"testing"

	"tripwake/pipeline/records"
	"tripwake/pipeline/units"
)

// NIST SP 811 appendix B and UCUM essence 2.2; glucose by its molar mass.
func TestPublishedConversions(t *testing.T) {
	cases := []struct {
		value    float64
		from, to string
		want     float64
		within   float64
	}{
		{1, "[psi]", "kPa", 6.894757293168, 1e-12},
		{1, "[psi]", "cm[H2O]", 70.306958, 1e-6},
		{1, "bar", "[psi]", 14.503774, 1e-6},
		{1, "cm[H2O]", "Pa", 98.0665, 1e-12},
		{1, "mm[Hg]", "Pa", 133.322, 1e-12},
		{1, "[lb_av]", "kg", 0.45359237, 1e-12},
		{1, "[ft_i]", "m", 0.3048, 1e-12},
		{1, "[mi_i]", "m", 1609.344, 1e-9},
		{98.6, "[degF]", "Cel", 37, 1e-12},
		{-40, "Cel", "[degF]", -40, 1e-12},
		{21.1, "Cel", "K", 294.25, 1e-12},
		{1, "mmol/L", "mg/dL", 18.016, 1e-12},
		{5, "Hz", "/min", 300, 1e-12},
		{0.21, "1", "%", 21, 1e-12},
		{2, "h", "min", 120, 1e-12},
	}
	for _, c := range cases {
		conversion, err := units.Between(c.from, c.to)
		if err != nil {
			t.Errorf("%s to %s: %v", c.from, c.to, err)
			continue
		}
		if got := conversion.Apply(c.value); math.Abs(got-c.want) > c.within {
			t.Errorf("%v %s = %v %s, want %v", c.value, c.from, got, c.to, c.want)
		}
	}
}

// There and back gives the value again, for every pair of one dimension.
func TestConversionsInvert(t *testing.T) {
	for _, a := range units.All() {
		for _, b := range units.All() {
			if a.Dimension != b.Dimension {
				if _, err := units.Between(a.Code, b.Code); err == nil {
					t.Errorf("%s converts to %s, which measures something else", a.Code, b.Code)
				}
				continue
			}
			there, err := units.Between(a.Code, b.Code)
			if err != nil {
				t.Fatal(err)
			}
			back, _ := units.Between(b.Code, a.Code)
			if got := back.Apply(there.Apply(37.25)); math.Abs(got-37.25) > 1e-9 {
				t.Errorf("37.25 %s to %s and back is %v", a.Code, b.Code, got)
			}
		}
	}
}

func TestNoSpellingStandsForTwoUnits(t *testing.T) {
	seen := map[string]string{}
	for _, u := range units.All() {
		for _, text := range append([]string{u.Code}, u.Aliases...) {
			fold := units.Fold(text)
			if other, ok := seen[fold]; ok && other != u.Code {
				t.Errorf("%q is a spelling of %s and of %s", text, other, u.Code)
			}
			seen[fold] = u.Code
		}
	}
}

func TestSpellingsOfExports(t *testing.T) {
	for text, code := range map[string]string{
		"cm H2O": "cm[H2O]", "CMH2O": "cm[H2O]", "PSI": "[psi]", "°F": "[degF]", "mmHg": "mm[Hg]", "l/min": "L/min",
		"LPM": "L/min", "bpm": "/min", "KPA": "kPa", "ML": "mL",
	} {
		if u, ok := units.Find(text); !ok || u.Code != code {
			t.Errorf("%q is %q, want %s", text, u.Code, code)
		}
	}
	for _, text := range []string{"", "furlong", "psi2", "H2O"} {
		if u, ok := units.Find(text); ok {
			t.Errorf("%q was taken for %s", text, u.Code)
		}
	}
	if _, err := units.Between("furlong", "kPa"); err == nil || !strings.Contains(err.Error(), "furlong") {
		t.Errorf("an unknown unit must be named in the error, got %v", err)
	}
}

// Every unit that the record contract names must be in the table under that code.
func TestContractUnitsAreKnown(t *testing.T) {
	for _, table := range records.Tables() {
		for _, c := range table.Columns {
			if c.Unit == "" || c.Unit == records.ByQuantity || c.Unit == records.ByCondition {
				continue
			}
			if u, ok := units.Find(c.Unit); !ok || u.Code != c.Unit {
				t.Errorf("%s.%s: unit %q is not in the table", table.Name, c.Name, c.Unit)
			}
		}
	}
	for _, q := range records.Quantities() {
		if u, ok := units.Find(q.Unit); !ok || u.Code != q.Unit {
			t.Errorf("quantity %s: unit %q is not in the table", q.Name, q.Unit)
		}
	}
}
