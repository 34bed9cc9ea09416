package queries

import (
	"slices"
	"testing"
)

func TestPeriodAndMonths(t *testing.T) {
	f := newFixture(t)
	if first, last, err := f.reader().Period(t.Context()); err != nil || first != "" || last != "" {
		t.Errorf("empty store: got %q to %q, %v", first, last, err)
	}
	if months, err := f.reader().Months(t.Context(), "2026-01", ""); err != nil || len(months) != 0 {
		t.Errorf("empty store, open end: got %v, %v", months, err)
	}
	f.trip("A", cells{"accepted_at": utc("2025-11-30 00:00:00"), "disposition": q("declined")}) // any disposition has a month
	f.trip("B", cells{"accepted_at": utc("2026-02-01 00:00:00")})
	f.trip("old", cells{"accepted_at": utc("2020-01-01 00:00:00"), "superseded": "true"})
	r := f.reader()
	for _, c := range []struct {
		from, to string
		want     []string
	}{
		{"", "", []string{"2025-11", "2025-12", "2026-01", "2026-02"}},
		{"2026-01", "", []string{"2026-01", "2026-02"}},
		{"", "2025-10", nil},
		{"2026-12", "2027-01", []string{"2026-12", "2027-01"}},
	} {
		if got, err := r.Months(t.Context(), c.from, c.to); err != nil || !slices.Equal(got, c.want) {
			t.Errorf("%q to %q: got %v, %v, want %v", c.from, c.to, got, err, c.want)
		}
	}
	if _, err := r.Months(t.Context(), "2026-1", ""); err == nil {
		t.Error("2026-1: got no error")
	}
}
