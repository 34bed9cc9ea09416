package queries

import "testing"

// E holds 0.28 L/psi. 1000 psi at 10 L/min: 28 min, short of 30. Least first, those that asked for nothing last.
func TestGasReserves(t *testing.T) {
	f := newFixture(t)
	for id, psi := range map[string]float64{"short": 1000, "long": 2000, "idle": 100, "vehicle": 100, "unread": 100} {
		f.trip(id, nil)
		more := cells{}
		if id == "vehicle" {
			more["supply"] = q("vehicle")
		}
		f.cylinder(id, "E", kPa(2000), kPa(psi), more)
		if id != "idle" && id != "unread" {
			f.demand(id, 60, nil)
		}
	}
	f.demand("unread", 60, cells{"flow": "null"})
	f.demand("idle", 60, cells{"mode": q("standby")})
	got, err := f.reader().GasReserves(t.Context(), "oxygen", "2026-03", "2026-03")
	if err != nil || len(got) != 3 {
		t.Fatalf("got %+v, %v, want three: a vehicle's cylinder and an unknown demand are not judged", got, err)
	}
	for i, want := range []GasReserve{
		{"short", "2026-03", 280, 10, 28, true, true}, {"long", "2026-03", 560, 10, 56, true, false}, {"idle", "2026-03", 28, 0, 0, false, false},
	} {
		g := got[i]
		if g.TransportID != want.TransportID || g.Month != want.Month || !near(g.Left, want.Left, 1e-9) || !near(g.LastFlow, want.LastFlow, 1e-9) ||
			!near(g.Minutes, want.Minutes, 1e-9) || g.Demanded != want.Demanded || g.Short != want.Short {
			t.Errorf("%d: got %+v, want %+v", i, g, want)
		}
	}
	if _, err := f.reader().GasReserves(t.Context(), "oxygen", "March", ""); err == nil {
		t.Error("a month that is none: got no error")
	}
}

// checks.md, Gas: minutes = (psi − residual) × factor / flow, never rounded up.
func TestMinutesOfACylinder(t *testing.T) {
	for name, c := range map[string]struct {
		size                string
		psi, residual, flow float64
		want, within        float64
	}{
		"E, textbook form":                          {"E", 1200, 200, 4, 70, 1e-6},
		"D, respiratory therapy textbook form":      {"D", 2000, 200, 0.5, 576, 1e-6},
		"E, computed":                               {"E", 2000, 500, 15, 28, 1e-6},
		"H, residual 0, computed":                   {"H", 2200, 0, 8, 863.5, 1e-6},
		"H, residual 500, computed":                 {"H", 2200, 500, 8, 667.25, 1e-6},
		"M, pressure for 30 min, Virginia EMS 2010": {"M", 392.3, 200, 10, 30, 0.01},
		"H, pressure for 30 min, Virginia EMS 2010": {"H", 295.5, 200, 10, 30, 0.02},
	} {
		t.Run(name, func(t *testing.T) {
			f := newFixture(t)
			f.set.ResidualPressure = c.residual
			f.trip("A", nil)
			f.cylinder("A", c.size, kPa(2200), kPa(c.psi), nil)
			f.demand("A", 60, cells{"flow": number0(c.flow)})
			got, err := f.reader().GasReserves(t.Context(), "oxygen", "", "")
			if err != nil || len(got) != 1 || !near(got[0].Minutes, c.want, c.within) {
				t.Errorf("got %+v, %v, want %v min", got, err, c.want)
			}
		})
	}
}

// checks.md, Gas: liquid oxygen, 5 lb at 2 L/min last 860 min; 80 lb at 3 L/min for 8 h a day last 19.1 days (344 L/lb, textbook).
func TestMinutesOfLiquid(t *testing.T) {
	f := newFixture(t)
	for id, c := range map[string][2]string{"5 lb": {"5 * 0.45359237", "2"}, "80 lb": {"80 * 0.45359237", "3"}} {
		f.trip(id, nil)
		f.cylinder(id, "liquid", "null", "null", cells{"start_mass": "90 * 0.45359237", "end_mass": c[0]})
		f.demand(id, 60, cells{"flow": c[1]})
	}
	got, err := f.reader().GasReserves(t.Context(), "oxygen", "", "")
	if err != nil || len(got) != 2 || !near(got[0].Minutes, 860, 1e-6) || !near(got[1].Minutes/60/8, 19.1, 0.05) {
		t.Errorf("got %+v, %v, want 860 min and 19.1 days of 8 h", got, err)
	}
}
