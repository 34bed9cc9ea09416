package queries

import "testing"

// demand adds a settings row with what decides the demand.
func (f *fixture) demand(id string, minute float64, more cells) {
	f.t.Helper()
	row := cells{"trip": q(id), "device_id": q("V"), "recorded_at": at(minute), "mode": q("cpap"), "interface": q("nasal"), "flow": "10", "fio2": "100"}
	for k, v := range more {
		row[k] = v
	}
	f.add("settings", row)
}

func TestOxygenReserve(t *testing.T) {
	f := newFixture(t)
	// 10 L/min of oxygen at the end; E holds 0.28 L/psi: 1071.43 psi are 300 L, 30 min. Short is below 30.
	carry := func(id string, psi float64, more cells) {
		f.trip(id, more)
		f.cylinder(id, "E", kPa(2000), kPa(psi), nil)
	}
	carry("enough", 300/0.28, nil) // 30 min, give or take 1e-13: not below
	f.demand("enough", 60, nil)
	carry("short", 1071, nil)
	f.demand("short", 60, nil)
	// F 0.605 asks for half as much oxygen (0.395/0.79): 59 min.
	carry("half", 1071, nil)
	f.demand("half", 60, nil)
	f.demand("half", 170, cells{"fio2": "60.5"})
	// Standby at the end asks for nothing: the last demand stands.
	carry("standby", 1071, nil)
	f.demand("standby", 60, nil)
	f.demand("standby", 170, cells{"mode": q("standby")})
	// No demand for oxygen at all (room air): not short, even when empty.
	carry("air", 0, nil)
	f.demand("air", 60, cells{"fio2": "21"})
	carry("no settings", 0, nil)
	// Flow unknown at the last demand.
	carry("unknown", 100, nil)
	f.demand("unknown", 60, cells{"flow": "null"})
	// Fraction unknown at the last demand: not the same as none.
	carry("fraction", 100, nil)
	f.demand("fraction", 60, cells{"flow": "8", "fio2": "null"})
	// What the vehicle still holds does not count, and its missing pressure leaves the transport out.
	carry("vehicle", 1071, nil)
	f.demand("vehicle", 60, nil)
	f.cylinder("vehicle", "H", kPa(2000), kPa(2000), cells{"supply": q("vehicle")})
	carry("gauge", 1071, nil)
	f.cylinder("gauge", "H", kPa(2000), "null", cells{"supply": q("vehicle")})
	f.trip("only vehicle", nil)
	f.cylinder("only vehicle", "H", kPa(2000), kPa(0), cells{"supply": q("vehicle")})
	// On the wall from minute 100 with more oxygen: the last demand on the cylinders was 5 L/min.
	carry("wall", 1071, nil)
	f.demand("wall", 60, cells{"fio2": "60.5"})
	f.demand("wall", 100, nil)
	f.cylinder("wall", "", "null", "null", cells{"supply": q("wall"), "opened_at": at(100), "closed_at": at(180)})
	f.want("oxygen_reserve_short", map[string]string{
		"enough": "0.0/1.0", "short": "1.0/1.0", "half": "0.0/1.0", "standby": "1.0/1.0", "air": "0.0/1.0", "no settings": "0.0/1.0",
		"unknown": "out: last oxygen demand unknown", "fraction": "out: last oxygen demand unknown", "vehicle": "1.0/1.0", "gauge": "out: cylinder without a pressure", "wall": "0.0/1.0",
	})
}

// checks.md, Gas (respiratory care textbook form): E, 1200 psi, residual 200, 4 L/min: 70 min.
func TestResidualPressure(t *testing.T) {
	for reserve, want := range map[float64]string{70: "0.0/1.0", 70.001: "1.0/1.0"} {
		f := newFixture(t)
		f.set.ResidualPressure, f.set.OxygenReserve = 200, reserve
		f.trip("A", nil)
		f.cylinder("A", "E", kPa(2000), kPa(1200), nil)
		f.demand("A", 60, cells{"flow": "4"})
		f.want("oxygen_reserve_short", map[string]string{"A": want})
	}
}
