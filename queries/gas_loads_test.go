package queries

import (
	"math"
	"testing"
)

// Under way from minute 60 to 180 at 8 L/min of pure oxygen: the last demand is 8. A takes 500 psi × 0.28 L of an E cylinder
// that it carries, 140 L, and 100 psi of a vehicle's H, which is not carried; 500 psi are left: 140 L, 17.5 min: short. B's
// cylinder lacks a pressure.
func TestGasLoads(t *testing.T) {
	f := newFixture(t)
	psi := func(v float64) string { return number0(v * 6.894757293168) }
	for _, id := range []string{"A", "B"} {
		f.trip(id, cells{"team": q("North")})
		f.add("settings", cells{"transport_id": q(id), "device_id": q("V"), "recorded_at": at(50), "mode": q("cpap"), "interface": q("nasal"), "continuous_flow": "true",
			"flow": "8", "fio2": "100"})
	}
	f.add("cylinders", cells{"transport_id": q("A"), "gas": q("oxygen"), "size": q("E"), "start_pressure": psi(1000), "end_pressure": psi(500)})
	f.add("cylinders", cells{"transport_id": q("A"), "gas": q("oxygen"), "size": q("H"), "supply": q("vehicle"), "start_pressure": psi(1000), "end_pressure": psi(900)})
	f.add("cylinders", cells{"transport_id": q("B"), "gas": q("oxygen"), "size": q("E"), "start_pressure": psi(1000)})
	got, err := f.reader().GasLoads(t.Context(), "oxygen", "2026-03", "2026-03")
	if err != nil || len(got) != 2 {
		t.Fatalf("%+v, %v", got, err)
	}
	if a := got[0]; math.Abs(a.Used-140) > 1e-6 || math.Abs(a.LastFlow-8) > 1e-9 || !a.Short || a.LeftOut != "" || a.Team != "North" {
		t.Errorf("A: %+v", a)
	}
	if b := got[1]; b.LeftOut != "cylinder without a pressure" {
		t.Errorf("B: %+v", b)
	}
}

// 1800 psi of an E above a residual of 200: 504 L (0.28 L/psi, Virginia EMS 2010). 2 L of water volume at the same: 1800 psi are
// 124.1 bar (1 bar = 14.503774 psi, NIST SP 811): 248.2 L.
func TestUsable(t *testing.T) {
	s := Defaults()
	s.ResidualPressure = 200
	for size, want := range map[string]float64{"E": 504, " e ": 504, "2 L": 2 * 1800 / 14.503774, "2,5": 2.5 * 1800 / 14.503774} {
		if got, err := s.Usable(size, 2000); err != nil || math.Abs(got-want) > 1e-4 {
			t.Errorf("%q: %v, %v, want %v", size, got, err, want)
		}
	}
	if got, err := s.Usable("E", 100); err != nil || got != 0 {
		t.Errorf("below the residual pressure: %v, %v", got, err)
	}
	if _, err := s.Usable("Z", 2000); err == nil {
		t.Error("an unknown size was taken")
	}
}
