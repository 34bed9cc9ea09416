package queries

import (
	"fmt"
	"math"
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
	// B arrived before it left: its leg is not known, and its one hour counts there.
	f.trip("B", cells{"arrived_receiving_at": at(100), "vehicle": q("ground")})
	f.reading("B", "V", 60, "spo2", "90")
	f.reading("B", "V", 120, "spo2", "90")
	for by, want := range map[string][]string{
		"leg": {"before the patient 0 1.0000", "at the referring hospital 1 1.0000", "patient leg 2 0.8333", "at the receiving hospital 0 0.6667",
			"after hand-over 1 1.0000", "not known 0 1.0000"},
		"device":    {"V 3 5.0000", "M 1 0.5000"},
		"vehicle":   {"not recorded 4 4.5000", "ground 0 1.0000"},
		"condition": {"apnea 3 5.5000", "spo2_low 1 5.5000"},
		"priority":  {"not recorded 2 5.5000", "high 1 5.5000", "low 1 5.5000"},
	} {
		groups, err := f.reader().AlarmGroups(t.Context(), by, "", "")
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, g := range groups {
			got = append(got, fmt.Sprintf("%s %d %.4f", g.Name, g.Onsets, g.Hours))
			x, h := 0.0, 0.0
			for i := range g.Xs {
				x, h = x+g.Xs[i], h+g.Ts[i]
			}
			if int(x) != g.Onsets || math.Abs(h-g.Hours) > 1e-9 {
				t.Errorf("%s %s: transports add up to %v onsets in %v h, want %d in %v", by, g.Name, x, h, g.Onsets, g.Hours)
			}
		}
		if !slices.Equal(got, want) {
			t.Errorf("by %s:\n got %q\nwant %q", by, got, want)
		}
	}
	if _, err := f.reader().AlarmGroups(t.Context(), "colour", "", ""); err == nil {
		t.Error("a grouping that is none was taken")
	}
}
