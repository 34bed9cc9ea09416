package queries

import "testing"

func TestBatteryShares(t *testing.T) {
	got, err := batteryFixture(t).reader().BatteryShares(t.Context(), "2026-03", "2026-03")
	if err != nil || len(got) != 2 {
		t.Fatalf("got %+v, %v, want A and B: C has no rating", got, err)
	}
	// 0.8 is not over 0.8.
	a, b := got[0], got[1]
	if a.TransportID != "A" || a.Device != "V" || !near(a.Share, 0.8, 1e-12) || !near(a.Lit, 40, 1e-12) || !near(a.Dim, 80, 1e-12) || a.Overdrawn {
		t.Errorf("got %+v, want A with 40 min lit, 80 dimmed, a share of 0.8", a)
	}
	if b.TransportID != "B" || !near(b.Share, 0.3, 1e-12) {
		t.Errorf("got %+v, want B with 0.3", b)
	}
}
