package queries

import "testing"

func TestVentilationOnArrival(t *testing.T) {
	f := newFixture(t)
	ventilated := func(id string, row cells) {
		f.trip(id, nil)
		f.setting(id, 60, "simv", "tube")
		f.assess(id, row)
	}
	ventilated("low", cells{"pco2": "29.9", "ph": "7.5"})
	ventilated("edge", cells{"pco2": "30.0", "ph": "7.2"}) // neither below 30.0 nor above 52.5
	ventilated("high", cells{"pco2": "52.6", "ph": "7.19"})
	ventilated("compensated", cells{"pco2": "60", "ph": "7.2"}) // pH 7.2 is not below 7.2
	ventilated("limit", cells{"pco2": "52.5", "ph": "7.0"})     // 52.5 is not above 52.5
	ventilated("no ph", cells{"pco2": "25"})
	ventilated("no gas", cells{"ph": "7.1"})
	// Extubated to cpap under way: the last class is not ventilated.
	f.trip("cpap", nil)
	f.setting("cpap", 60, "simv", "tube")
	f.setting("cpap", 170, "cpap", "nasal")
	f.assess("cpap", cells{"pco2": "20"})
	f.trip("lost", cells{"handed_over_at": "null"})
	f.setting("lost", 60, "hfov", "")
	f.assess("lost", cells{"pco2": "20"})
	f.want("hypocarbia_on_arrival", map[string]string{
		"low": "1.0/1.0", "edge": "0.0/1.0", "high": "0.0/1.0", "compensated": "0.0/1.0", "limit": "0.0/1.0",
		"no ph": "1.0/1.0", "no gas": "out: pco2 not recorded", "lost": "out: under way missing",
	})
	f.want("hypercarbia_on_arrival", map[string]string{
		"low": "0.0/1.0", "edge": "0.0/1.0", "high": "1.0/1.0", "compensated": "0.0/1.0", "limit": "0.0/1.0",
		"no ph": "out: ph not recorded", "no gas": "out: pco2 not recorded", "lost": "out: under way missing",
	})
}
