package queries

import (
	"fmt"
	"strings"
	"testing"
)

// Transports accepted at noon of 1, 2, … March: an arrest on the 3rd, two on the 6th, one on the 7th.
func TestEventGaps(t *testing.T) {
	f := newFixture(t)
	for day := 1; day <= 9; day++ {
		f.trip(fmt.Sprint(day), cells{"accepted_at": utc(fmt.Sprintf("2026-03-%02d 12:00:00", day))})
	}
	f.trip("cancelled", cells{"accepted_at": utc("2026-03-04 13:00:00"), "disposition": q("cancelled")})
	f.trip("nowhere", cells{"accepted_at": "null"})
	for _, id := range []string{"3", "6", "6", "7", "cancelled", "nowhere"} {
		f.add("events", cells{"transport_id": q(id), "kind": q("cardiac_arrest")})
	}
	r := f.reader()
	got, err := r.EventGaps(t.Context(), "cardiac_arrest", "2026-03")
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, g := range got.Gaps {
		lines = append(lines, fmt.Sprintf("%s %s %d %g", g.TransportID, g.Month, g.Transports, g.Hours))
	}
	// 4 and 5 lie between the 3rd and the 6th; the second event of the 6th has nothing between.
	if want := "6 2026-03 2 72; 6 2026-03 0 0; 7 2026-03 0 24"; strings.Join(lines, "; ") != want || got.Events != 4 {
		t.Errorf("got %q and %d events, want %q and 4", lines, got.Events, want)
	}
	// Since the 7th at noon: the 8th and 9th; to the end of March 24 d 12 h.
	if got.SinceTransports != 2 || got.SinceHours != 24*24+12 {
		t.Errorf("since: got %d transports and %v h, want 2 and 588", got.SinceTransports, got.SinceHours)
	}
	none, err := r.EventGaps(t.Context(), "medication_error", "")
	if err != nil || none.Events != 0 || none.SinceTransports != 9 || none.SinceHours != 30*24+12 {
		t.Errorf("no event: got %+v, %v, want 9 transports and 732 h", none, err)
	}
	before, err := r.EventGaps(t.Context(), "cardiac_arrest", "2026-02")
	if err != nil || before.Events != 0 || before.SinceTransports != 0 || before.SinceHours != 0 {
		t.Errorf("before the first: got %+v, %v, want nothing", before, err)
	}
	if _, err := r.EventGaps(t.Context(), "device_failures", ""); err == nil {
		t.Error("device_failures: got no error, want one, since it does not count transports")
	}
}
