package queries

import (
	"fmt"
	"testing"
)

// A: 100 to 80 % in 40 min on battery, then charging counts for nothing; 80 to 70 % in 20 min. B: 60 to 4 %: the end lies below
// the floor of 5 %. M is no ventilator.
func TestBatterySlopes(t *testing.T) {
	f := newFixture(t)
	f.add("devices", cells{"device_id": q("V"), "kind": q("ventilator"), "battery_endurance": "240"})
	f.add("devices", cells{"device_id": q("M"), "kind": q("monitor"), "battery_endurance": "300"})
	f.trip("A", nil)
	charge := func(id, device string, minute float64, source string, percent int) {
		f.power(id, device, minute, source, cells{"charge": fmt.Sprint(percent)})
	}
	charge("A", "V", 10, "battery", 100)
	charge("A", "V", 50, "external", 80)
	charge("A", "V", 60, "battery", 80)
	charge("A", "V", 80, "external", 70)
	charge("A", "M", 10, "battery", 100)
	charge("A", "M", 50, "battery", 80)
	f.trip("B", nil)
	charge("B", "V", 10, "battery", 60)
	charge("B", "V", 120, "external", 4)
	f.power("B", "V", 130, "battery", nil)
	got, err := f.reader().BatterySlopes(t.Context(), "", "")
	if err != nil || len(got) != 2 {
		t.Fatalf("got %+v, %v, want V over all months and in March", got, err)
	}
	for i, month := range []string{"", "2026-03"} {
		if g := got[i]; g.Device != "V" || g.Month != month || g.Rated != 240 || len(g.MinutesEach) != 1 || g.MinutesEach[0] != 60 || g.LostEach[0] != 30 {
			t.Errorf("%d: got %+v, want 60 min and 30 points", i, g)
		}
	}
}
