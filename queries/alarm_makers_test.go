package queries

import "testing"

func TestAlarmMakers(t *testing.T) {
	f := newFixture(t)
	for i, id := range []string{"A", "B", "C"} {
		f.trip(id, nil)
		f.many(id, i+1, 60, 5)
	}
	f.alarm("A", 100, unended, cells{"condition": q("leak"), "priority": q("high")})
	found, err := f.reader().AlarmMakers(t.Context(), "apnea", "2026-03", "2026-03", 2)
	if err != nil || len(found) != 2 {
		t.Fatalf("got %v, %v: want two transports", found, err)
	}
	if c := found[0]; c.TransportID != "C" || c.Month != "2026-03" || c.Onsets != 3 {
		t.Errorf("got %+v: want C with 3 onsets in March", c)
	}
	if leak, err := f.reader().AlarmMakers(t.Context(), "leak", "", "", 5); err != nil || len(leak) != 1 || leak[0].TransportID != "A" || leak[0].High != 1 {
		t.Errorf("got %v, %v: want A with one leak of high priority", leak, err)
	}
	if none, err := f.reader().AlarmMakers(t.Context(), "apnea", "2026-04", "2026-04", 2); err != nil || len(none) != 0 {
		t.Errorf("got %v, %v: nothing alarmed in April", none, err)
	}
}
