package queries

import (
	"fmt"
	"maps"
	"testing"
)

// phases counts the courses by phase.
func (f *fixture) phases() map[string]int {
	f.t.Helper()
	courses, err := f.reader().SupportCourses(f.t.Context(), "", "")
	if err != nil {
		f.t.Fatal(err)
	}
	found := map[string]int{}
	for _, c := range courses {
		found[c.Phase]++
	}
	return found
}

// Murray PG, Stewart MJ. Pediatrics 2008;121:e754 (checks.md): 220 on CPAP = 13 intubated before transport + 0 during + 28
// within 24 h + 4 later + 11 for surgery + 164 never.
func TestPublishedCohortByPhase(t *testing.T) {
	f := newFixture(t)
	cohort := []struct {
		phase string
		n     int
		cells cells
	}{
		{"before leaving", 13, nil},
		{"within 24 h", 28, cells{"intubated_after_handover": "24", "intubated_after_for": q("respiratory")}},
		{"later", 4, cells{"intubated_after_handover": "24.5", "intubated_after_for": q("respiratory")}},
		{"for surgery", 11, cells{"intubated_after_handover": "6", "intubated_after_for": q("surgery")}},
		{"never", 164, nil},
	}
	want := map[string]int{}
	for _, group := range cohort {
		want[group.phase] = group.n
		for i := range group.n {
			id := fmt.Sprint(group.phase, i)
			f.trip(id, group.cells)
			f.setting(id, 60, "cpap", "nasal")
			if group.phase == "before leaving" {
				f.setting(id, 100, "simv", "tube")
			}
		}
	}
	if got := f.phases(); !maps.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
}

func TestWhereSupportEscalated(t *testing.T) {
	f := newFixture(t)
	leave := func(id string, minute float64, more cells) {
		f.trip(id, more)
		f.setting(id, 70, "nippv", "nasal")
		f.setting(id, minute, "simv", "tube")
	}
	arrives := cells{"arrived_receiving_at": at(150)}
	leave("before", 119.9, arrives)
	leave("leaving", 120, arrives) // at the moment of leaving: under way
	leave("way", 149.9, arrives)
	leave("door", 150, arrives)
	leave("late", 178.5, arrives) // too short for an episode: never escalated before hand-over
	leave("unknown", 140, nil)    // no arrival: under way or at hand-over, nobody knows
	leave("no leaving", 100, cells{"departed_referring_at": "null", "arrived_receiving_at": at(150)})
	// Begun invasive, or with high flow: not in the cohort. Said to be intubated later without an hour: time not known.
	f.trip("tube", nil)
	f.setting("tube", 60, "simv", "tube")
	f.trip("flow", nil)
	f.setting("flow", 60, "high_flow", "nasal")
	f.trip("reason", cells{"intubated_after_for": q("respiratory")})
	f.setting("reason", 60, "cpap", "nasal")
	want := map[string]int{"before leaving": 1, "under way": 2, "at hand-over": 1, "never": 1, "place not known": 2, "time not known": 1}
	if got := f.phases(); !maps.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	courses, err := f.reader().SupportCourses(t.Context(), "2026-03", "2026-03")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range courses {
		switch c.TransportID {
		case "before":
			if !c.Escalated || c.Minutes != 49.9 || c.FirstClass != "nippv" || c.ToClass != "invasive" {
				t.Errorf("got %+v: want 49.9 min from nippv to invasive", c)
			}
		case "late":
			if c.Escalated || c.Minutes != 110 {
				t.Errorf("got %+v: want censored at 110 min", c)
			}
		}
	}
}
