package queries

import (
	"fmt"
	"slices"
	"strconv"
	"testing"
)

func number0(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) + "::double" }

// E: 280 L used where 100 min and 140 L were planned: 2.8 L/min, twice the plan. The class is that at leaving, minute 120.
func TestGasMargins(t *testing.T) {
	f := newFixture(t)
	if none, err := f.reader().GasMargins(t.Context(), "oxygen", "", ""); err != nil || len(none) != 0 {
		t.Errorf("no transport: got %+v, %v, want no row", none, err)
	}
	use := func(id, vehicle string, psi float64) {
		f.trip(id, cells{"vehicle": q(vehicle), "planned_oxygen": "140", "planned_duration": "100"})
		f.cylinder(id, "E", kPa(2000), kPa(2000-psi), nil)
	}
	use("A", "ground", 1000)
	f.setting("A", 60, "cpap", "nasal")
	f.setting("A", 110, "simv", "tube")
	f.setting("A", 140, "cpap", "nasal")
	use("B", "ground", 500)
	f.setting("B", 150, "cpap", "nasal")
	use("C", "rotor", 2000)
	f.trip("no plan", nil)
	f.cylinder("no plan", "E", kPa(2000), kPa(1000), nil)
	got, err := f.reader().GasMargins(t.Context(), "oxygen", "", "")
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, m := range got {
		lines = append(lines, fmt.Sprintf("%s %s %.2f %.2f", m.Vehicle, m.Class, m.PerMinute, m.OfPlan))
	}
	want := []string{
		"ground cpap [1.40] [1.00]", "ground invasive [2.80] [2.00]", "ground all [1.40 2.80] [1.00 2.00]",
		"rotor not recorded [5.60] [4.00]", "rotor all [5.60] [4.00]",
		"all cpap [1.40] [1.00]", "all invasive [2.80] [2.00]", "all not recorded [5.60] [4.00]", "all all [1.40 2.80 5.60] [1.00 2.00 4.00]",
	}
	if !slices.Equal(lines, want) {
		t.Errorf("got  %q\nwant %q", lines, want)
	}
}
