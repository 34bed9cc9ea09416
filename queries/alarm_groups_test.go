package queries

import (
	"fmt"
	"math/big"
	"slices"
	"testing"
)

// Legs of the fixture's trip: window -30 to 270 (before the patient to 60), referring hospital 60–120, patient leg 120–150,
// receiving hospital 150–180, then after hand-over.
func (f *fixture) leggedTrip(id string) { f.trip(id, cells{"arrived_receiving_at": at(150)}) }

func TestAlarmGroups(t *testing.T) {
	f := newFixture(t)
	f.leggedTrip("A")
	// V is monitored from 0 to 240: 60, 60, 30, 30 and 60 min of the legs. M from 130 to 160: 20 min of the patient leg, 10 after.
	f.reading("A", "V", 0, "spo2", "90")
	f.reading("A", "V", 240, "spo2", "90")
	f.reading("A", "M", 130, "spo2", "90")
	f.reading("A", "M", 160, "spo2", "90")
	f.alarm("A", 119.99, unended, cells{"priority": q("high")})
	f.alarm("A", 120, unended, nil) // the moment of leaving belongs to the leg that begins
	f.alarm("A", 140, unended, cells{"device_id": q("M"), "condition": q("spo2_low"), "priority": q("low")})
	f.alarm("A", 200, unended, nil)
	f.alarm("A", 100, unended, cells{"device_id": q("W")}) // W has no time, so no cluster
	// B arrived before it left: its leg is not known, and its one hour counts there.
	f.trip("B", cells{"arrived_receiving_at": at(100), "vehicle": q("ground")})
	f.reading("B", "V", 60, "spo2", "90")
	f.reading("B", "V", 120, "spo2", "90")
	for by, want := range map[string][]string{
		"leg": {
			"before the patient 0 in 1.0000 h; of 1 with time 0; sums 0 0 0 1", "at the referring hospital 2 in 1.0000 h; of 1 with time 1; sums 2 4 2 1",
			"patient leg 2 in 0.8333 h; of 1 with time 1; sums 2 4 1.666667 0.694444", "at the receiving hospital 0 in 0.6667 h; of 1 with time 0; sums 0 0 0 0.444444",
			"after hand-over 1 in 1.0000 h; of 1 with time 1; sums 1 1 1 1", "not known 0 in 1.0000 h; of 1 with time 0; sums 0 0 0 1",
		},
		"device":    {"V 3 in 5.0000 h; of 2 with time 1; sums 3 9 12 17", "M 1 in 0.5000 h; of 1 with time 1; sums 1 1 0.5 0.25", "W 1 in 0.0000 h; of 0 with time 0; sums 0 0 0 0"},
		"vehicle":   {"not recorded 5 in 4.5000 h; of 1 with time 1; sums 5 25 22.5 20.25", "ground 0 in 1.0000 h; of 1 with time 0; sums 0 0 0 1"},
		"condition": {"apnea 4 in 5.5000 h; of 2 with time 1; sums 4 16 18 21.25", "spo2_low 1 in 5.5000 h; of 2 with time 1; sums 1 1 4.5 21.25"},
		"priority": {"not recorded 3 in 5.5000 h; of 2 with time 1; sums 3 9 13.5 21.25", "high 1 in 5.5000 h; of 2 with time 1; sums 1 1 4.5 21.25",
			"low 1 in 5.5000 h; of 2 with time 1; sums 1 1 4.5 21.25"},
	} {
		groups, err := f.reader().AlarmGroups(t.Context(), by, "", "")
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, g := range groups {
			c := g.Sums
			xt, _ := new(big.Rat).SetFrac(c.XT, big.NewInt(MicrosecondsPerHour)).Float64()
			tt, _ := new(big.Rat).SetFrac(c.TT, new(big.Int).Mul(big.NewInt(MicrosecondsPerHour), big.NewInt(MicrosecondsPerHour))).Float64()
			got = append(got, fmt.Sprintf("%s %d in %.4f h; of %d with time %d; sums %v %v %.7g %.6g", g.Name, g.Onsets, g.Hours(), c.Clusters, c.Hit, c.X, c.XX, xt, tt))
		}
		if !slices.Equal(got, want) {
			t.Errorf("by %s:\n got %q\nwant %q", by, got, want)
		}
	}
	if _, err := f.reader().AlarmGroups(t.Context(), "colour", "", ""); err == nil {
		t.Error("a grouping that is none was taken")
	}
}
