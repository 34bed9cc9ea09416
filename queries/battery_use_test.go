package queries

import "testing"

func (f *fixture) power(id, device string, minute float64, source string, more cells) {
	f.t.Helper()
	row := cells{"trip": q(id), "device_id": q(device), "recorded_at": at(minute), "source": q(source)}
	for k, v := range more {
		row[k] = v
	}
	f.add("power", row)
}

// Under way is minute 60 to 180.
func TestBattery(t *testing.T) {
	f := newFixture(t)
	f.add("devices", cells{"device_id": q("V"), "kind": q("ventilator"), "battery_endurance": "100", "battery_endurance_display_dimmed": "200"})
	f.add("devices", cells{"device_id": q("W"), "kind": q("ventilator"), "battery_endurance": "100", "superseded": "true"})
	f.add("devices", cells{"device_id": q("W"), "kind": q("ventilator"), "battery_endurance": "50"})
	f.add("devices", cells{"device_id": q("X"), "kind": q("ventilator"), "battery_endurance_display_dimmed": "200"})
	dimmed := cells{"display_dimmed": "true"}
	// In force before under way: battery 60–100 (lit, 0.4), dimmed 100–180 (0.4): 120 min, 0.8 is not over 0.8.
	f.trip("edge", nil)
	f.power("edge", "V", 30, "battery", cells{"display_dimmed": "false"})
	f.power("edge", "V", 100, "battery", dimmed)
	f.power("edge", "V", 180, "battery", nil)
	// One second more lit, one less dimmed: over.
	f.trip("over", nil)
	f.power("over", "V", 30, "battery", nil)
	f.power("over", "V", 100+1.0/60, "battery", dimmed)
	// External 90–120 and off from 150: battery 60–90 and 120–150.
	f.trip("parts", nil)
	for minute, source := range map[float64]string{60: "battery", 90: "external", 120: "battery", 150: "off"} {
		f.power("parts", "V", minute, source, nil)
	}
	// Equal times: the later record wins.
	f.trip("equal", nil)
	f.power("equal", "V", 60, "battery", nil)
	f.power("equal", "V", 60, "external", nil)
	// Only an undimmed rating: dimmed falls back to it. 40 of 50 min is 0.8; the earlier rating of W is superseded.
	f.trip("fallback", cells{"ventilator_id": q("W")})
	f.power("fallback", "W", 60, "battery", dimmed)
	f.power("fallback", "W", 100.5, "external", nil)
	f.trip("unrated", cells{"ventilator_id": q("X")})
	f.power("unrated", "X", 60, "battery", dimmed)
	f.trip("no time", cells{"handed_over_at": "null"})
	f.power("no time", "V", 60, "battery", nil)
	// Another device's power, a row outside the widened window, no row at all: not in the population.
	f.trip("monitor", nil)
	f.power("monitor", "M", 60, "battery", nil)
	f.trip("early", nil)
	f.power("early", "V", -31, "battery", nil)
	f.trip("bare", nil)
	f.want("battery_time", map[string]string{
		"edge": "120.0", "over": "120.0", "parts": "60.0", "equal": "0.0", "fallback": "40.5", "unrated": "120.0", "no time": "out: under way missing",
	})
	f.want("battery_overdrawn", map[string]string{
		"edge": "0.0/1.0", "over": "1.0/1.0", "parts": "0.0/1.0", "equal": "0.0/1.0", "fallback": "1.0/1.0",
		"unrated": "out: no battery rating", "no time": "out: under way missing",
	})
}
