package queries

import (
	"fmt"
	"slices"
	"testing"
)

func TestCases(t *testing.T) {
	f := newFixture(t)
	f.trip("B", cells{"died_in_transit": "true", "died_within_7_days": "true"})
	f.add("events", cells{"transport_id": q("B"), "kind": q("cardiac_arrest"), "harm": q("death")})
	f.trip("A", cells{"accepted_at": at(5), "planned_oxygen": "100"})
	f.cylinder("A", "E", kPa(2000), kPa(1000), nil)
	f.assess("A", cells{"temperature": "35"})
	f.setting("A", 60, "cpap", "nasal")
	f.setting("A", 90, "simv", "tube")
	f.trip("quiet", nil)
	f.add("events", cells{"transport_id": q("quiet"), "kind": q("desaturation"), "harm": q("mild")})
	// Outside every population, to be read all the same.
	f.trip("off", cells{"accepted_at": at(9), "disposition": q("cancelled")})
	f.add("events", cells{"transport_id": q("off"), "kind": q("unplanned_extubation")})
	f.trip("april", cells{"accepted_at": utc("2026-04-01 00:00:00"), "died_in_transit": "true"})
	got, err := f.reader().Cases(t.Context(), "2026-03")
	want := []Case{
		{"B", "2026-03", []string{"cardiac_arrest", "died_in_transit", "died_within_7_days", "serious_events"}},
		{"A", "2026-03", []string{"escalations", "hypothermia_on_arrival", "oxygen_over_plan"}},
		{"off", "2026-03", []string{"unplanned_extubation"}},
	}
	if err != nil || fmt.Sprint(got) != fmt.Sprint(want) {
		t.Errorf("got %v, %v, want %v", got, err, want)
	}
	of, err := f.reader().CasesOf(t.Context(), "adverse_events", "2026-03", "2026-03")
	ids := []string{}
	for _, c := range of {
		ids = append(ids, c.TransportID)
	}
	if err != nil || !slices.Equal(ids, []string{"B", "quiet"}) {
		t.Errorf("adverse events: got %v, %v, want B and quiet", ids, err)
	}
}
