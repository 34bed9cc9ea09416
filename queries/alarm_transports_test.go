package queries

import "testing"

func TestAlarmTransports(t *testing.T) {
	f := newFixture(t)
	for i, id := range []string{"A", "B", "C"} {
		f.trip(id, nil)
		f.many(id, i+1, 60, 5)
	}
	f.alarm("C", 100, unended, cells{"condition": q("leak")})
	found, err := f.reader().AlarmTransports(t.Context(), "2026-03", "2026-03", 2)
	if err != nil || len(found) != 2 {
		t.Fatalf("got %v, %v: want two transports", found, err)
	}
	if c := found[0]; c.TransportID != "C" || c.Onsets != 4 || c.Leading != "apnea" || c.OfThese != 3 || c.Hours != 2 {
		t.Errorf("got %+v: want C with 4 onsets in 2 h, 3 of them apnea", c)
	}
	if found[1].TransportID != "B" {
		t.Errorf("got %s second, want B", found[1].TransportID)
	}
	if none, err := f.reader().AlarmTransports(t.Context(), "2026-04", "2026-04", 2); err != nil || len(none) != 0 {
		t.Errorf("got %v, %v: nothing alarmed in April", none, err)
	}
}
