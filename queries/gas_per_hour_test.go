package queries

import "testing"

// E, 2000 to 1000 psi, is 280 L. Under way is minute 60 to 180, off at 120.
func TestOxygenPerHour(t *testing.T) {
	f := newFixture(t)
	use := func(id string, more cells) {
		f.trip(id, more)
		f.cylinder(id, "E", kPa(2000), kPa(1000), nil)
	}
	wall := func(id string, more cells) {
		row := cells{"supply": q("wall")}
		for k, v := range more {
			row[k] = v
		}
		f.cylinder(id, "", "null", "null", row)
	}
	use("plain", nil) // 280 L in 2 h
	// Both ends open: from the start of under way to leaving the hospital, 60 to 120: 1 h left.
	use("wall", nil)
	wall("wall", nil)
	// 60–90 (open start), 80–100 over it, 170 to after the end: 40 + 10 min on the wall, 70 min left: 240 L/h.
	use("union", nil)
	wall("union", cells{"closed_at": at(90)})
	wall("union", cells{"opened_at": at(80), "closed_at": at(100)})
	wall("union", cells{"opened_at": at(170), "closed_at": at(200)})
	// The wall of another gas does not count.
	use("air wall", nil)
	wall("air wall", cells{"gas": q("air")})
	// A vehicle's cylinder is no wall, whatever its times say; K, 10 psi × 3.14 is 31.4 L more.
	use("vehicle", nil)
	f.cylinder("vehicle", "K", kPa(1010), kPa(1000), cells{"supply": q("vehicle"), "opened_at": at(60), "closed_at": at(120)})
	use("all wall", nil)
	wall("all wall", cells{"opened_at": at(0), "closed_at": at(200)})
	use("unknown end", cells{"departed_referring_at": "null"})
	wall("unknown end", nil)
	use("no time", cells{"handed_over_at": "null"})
	// Nothing used, and less than nothing, stay: 0 and -28 L in 2 h.
	f.trip("nothing", nil)
	f.cylinder("nothing", "E", kPa(1000), kPa(1000), nil)
	f.trip("filled", nil)
	f.cylinder("filled", "E", kPa(1000), kPa(1100), nil)
	f.trip("no end", nil)
	f.cylinder("no end", "E", kPa(1000), "null", nil)
	f.trip("no cylinder", nil)
	f.want("oxygen_per_hour", map[string]string{
		"plain": "140.0", "wall": "280.0", "union": "240.0", "air wall": "140.0", "vehicle": "155.7", "all wall": "out: no time on carried gas",
		"unknown end": "out: end of wall supply unknown", "no time": "out: under way missing", "nothing": "0.0", "filled": "-14.0",
		"no end": "out: cylinder without a pressure",
	})
}
