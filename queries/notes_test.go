package queries

import (
	"slices"
	"testing"
)

func TestNotes(t *testing.T) {
	f := newFixture(t)
	note := func(day, kind string, more cells) {
		row := cells{"noted_on": "date '" + day + "'", "kind": q(kind), "text": q("New bag")}
		for k, v := range more {
			row[k] = v
		}
		f.add("notes", row)
	}
	note("2026-03-31", "action", cells{"measure": q("trip_time"), "owner": q("North"), "closed_on": "date '2026-04-20'"})
	note("2026-03-01", "change", nil)
	note("2026-04-01", "change", nil)
	note("2026-02-28", "change", nil)
	got, err := f.reader().Notes(t.Context(), "2026-03", "2026-03")
	want := []Note{
		{"2026-03-01", "2026-03", "", "change", "New bag", "", ""},
		{"2026-03-31", "2026-03", "trip_time", "action", "New bag", "North", "2026-04-20"},
	}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("got %v, %v, want %v", got, err, want)
	}
}
