package queries

import (
	"fmt"
	"testing"
)

// kPa is a gauge pressure in psi as the store keeps it (NIST SP 811: 1 psi = 6.894757293168 kPa).
func kPa(psi float64) string { return fmt.Sprintf("%v::double", psi*6.894757293168) }

func (f *fixture) cylinder(id, size string, start, end string, more cells) {
	f.t.Helper()
	row := cells{"transport_id": q(id), "gas": q("oxygen"), "start_pressure": start, "end_pressure": end}
	if size != "" {
		row["size"] = q(size)
	}
	for k, v := range more {
		row[k] = v
	}
	f.add("cylinders", row)
}

func TestGasPlans(t *testing.T) {
	f := newFixture(t)
	planned := cells{"planned_oxygen": "200"}
	// E, 2000 to 1000 psi: 0.28 × 1000 = 280 L. Gauge error 9.90 L (checks.md, Gas: 0.28 × 25 × sqrt 2).
	f.trip("E", planned)
	f.cylinder("E", "E", kPa(2000), kPa(1000), nil)
	// Two: carried e (280 L) and vehicle H, 100 psi × 3.14 = 314 L; the wall outlet is none of them.
	f.trip("two", planned)
	f.cylinder("two", "e", kPa(2000), kPa(1000), cells{"supply": q("carried")})
	f.cylinder("two", "H", kPa(2000), kPa(1900), cells{"supply": q("vehicle")})
	f.cylinder("two", "", "null", "null", cells{"supply": q("wall")})
	// Metric: 10 L of water, 200 to 150 bar (20000 to 15000 kPa): 500 L. "2.5L": 2.5 × 50 = 125 L.
	f.trip("metric", planned)
	f.cylinder("metric", "10 L", "20000", "15000", nil)
	f.trip("small", planned)
	f.cylinder("small", "2.5L", "20000", "15000", nil)
	// Liquid: 2 lb less is 688 L (344 L per lb); both masses win over the pressures.
	f.trip("liquid", planned)
	f.cylinder("liquid", "E", kPa(2000), kPa(1999), cells{"start_mass": "10 * 0.45359237", "end_mass": "8 * 0.45359237"})
	f.trip("half liquid", planned)
	f.cylinder("half liquid", "liquid", "null", "null", cells{"start_mass": "10"})
	f.trip("no end", planned)
	f.cylinder("no end", "E", kPa(2000), kPa(1000), nil)
	f.cylinder("no end", "E", kPa(2000), "null", nil)
	f.trip("odd", planned)
	f.cylinder("odd", "XXL", kPa(2000), kPa(1000), nil)
	f.trip("none used", planned)
	f.cylinder("none used", "E", kPa(1000), kPa(1000), nil)
	f.trip("filled", planned)
	f.cylinder("filled", "E", kPa(1000), kPa(1100), nil)
	f.trip("no sheet", planned)
	f.trip("no plan", nil)
	f.cylinder("no plan", "E", kPa(2000), kPa(1000), nil)
	f.trip("zero plan", cells{"planned_oxygen": "0"})
	f.cylinder("zero plan", "E", kPa(2000), kPa(1000), nil)
	// Each gas by its own cylinders: the air cylinder without a pressure leaves the oxygen alone.
	f.trip("both", cells{"planned_oxygen": "200", "planned_air": "100"})
	f.cylinder("both", "E", kPa(2000), kPa(1000), nil)
	f.cylinder("both", "E", kPa(2000), "null", cells{"gas": q("air")})
	f.trip("air", cells{"planned_air": "100"})
	f.cylinder("air", "D", kPa(2000), kPa(1000), cells{"gas": q("air")}) // 160 L

	left := map[string]string{
		"half liquid": "out: cylinder without a mass", "no end": "out: cylinder without a pressure",
		"odd": "out: cylinder size unknown", "none used": "out: used at or below 0", "filled": "out: used at or below 0",
		"no sheet": "out: no oxygen cylinder recorded",
	}
	with := func(judged map[string]string) map[string]string {
		for k, v := range left {
			judged[k] = v
		}
		return judged
	}
	f.want("oxygen_ratio", with(map[string]string{
		"E": "280.0/200.0", "two": "594.0/200.0", "metric": "500.0/200.0", "small": "125.0/200.0", "liquid": "688.0/200.0", "both": "280.0/200.0",
	}))
	f.want("oxygen_over_plan", with(map[string]string{
		"E": "1.0/1.0", "two": "1.0/1.0", "metric": "1.0/1.0", "small": "0.0/1.0", "liquid": "1.0/1.0", "both": "1.0/1.0",
	}))
	f.want("air_ratio", map[string]string{"both": "out: cylinder without a pressure", "air": "160.0/100.0"})
}

// Over the plan by less than the gauge error is not over it: E 280 L used, gauges ± 9.8995 L.
func TestOverPlanAllowsForTheGauges(t *testing.T) {
	f := newFixture(t)
	for id, planned := range map[string]string{"within": "270.2", "beyond": "270.05", "exact": "280 - sqrt(2) * 0.28 * 25"} {
		f.trip(id, cells{"planned_oxygen": planned})
		f.cylinder(id, "E", kPa(2000), kPa(1000), nil)
	}
	// Two cylinders in quadrature: sqrt(2) × 9.8995 = 14.0 L over 560 L.
	f.trip("two", cells{"planned_oxygen": "546.1"})
	f.cylinder("two", "E", kPa(2000), kPa(1000), nil)
	f.cylinder("two", "E", kPa(2000), kPa(1000), nil)
	// A liquid vessel has no gauge: any litre over is over.
	f.trip("liquid", cells{"planned_oxygen": "343"})
	f.cylinder("liquid", "", "null", "null", cells{"start_mass": "2 * 0.45359237", "end_mass": "0.45359237"})
	f.want("oxygen_over_plan", map[string]string{
		"within": "0.0/1.0", "beyond": "1.0/1.0", "exact": "0.0/1.0", "two": "0.0/1.0", "liquid": "1.0/1.0",
	})
}

// checks.md, Gas: gauge error of an E cylinder, two readings ± 25 psi: 9.90 L. Metric: 10 L × 25 psi in bar × sqrt 2 = 24.377 L.
func TestGaugeError(t *testing.T) {
	f := newFixture(t)
	f.trip("E", nil)
	f.cylinder("E", "E", kPa(2000), kPa(1000), nil)
	f.trip("metric", nil)
	f.cylinder("metric", "10", "20000", "15000", nil)
	got := f.rows("select transport_id || ' ' || round(gauge_error, 3) from gas_used order by transport_id")
	if got[0] != "E 9.899" || got[1] != "metric 24.377" {
		t.Errorf("got %v, want E 9.899 and metric 24.377", got)
	}
}
