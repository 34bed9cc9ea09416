package queries

import (
	"slices"
	"testing"
)

func TestActivity(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"vehicle": q("ground"), "disposition": "null", "urgency": q("urgent")})
	f.trip("B", cells{"vehicle": q("ground"), "urgency": q("urgent")})
	f.trip("C", cells{"disposition": q("declined")})
	f.trip("D", cells{"accepted_at": utc("2026-04-01 00:00:00")})
	f.trip("E", cells{"accepted_at": "null"})
	got, err := f.reader().Activity(t.Context(), "2026-03", "2026-03")
	want := []ActivityCount{
		{"2026-03", "ground", "urgent", "completed", 2}, {"2026-03", NotRecorded, NotRecorded, "declined", 1},
	}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("got %v, %v, want %v", got, err, want)
	}
}
