package queries

import (
	"math"
	"strings"
	"testing"
)

// measures.csv and definitions.md give the defaults.
func TestDefaults(t *testing.T) {
	s := Defaults()
	if err := s.Validate(); err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]float64{
		"mobilization_target": 30, "gauge_division": 50, "oxygen_reserve": 30, "liquid_factor": 344, "battery_share": 0.8,
		"episode_minimum": 2, "flood_onsets": 11, "flood_window": 10, "repeat_within": 1, "leak_check_before": 720,
		"hypothermia": 36.5, "hyperthermia": 37.5, "hypocarbia": 30, "hypercarbia": 52.5, "acidosis": 7.2, "glucose_low": 45,
		"residual_pressure": 0, "leak_allowance": 0, "bleed_flow": 0, "temperature_correction": 0, "contents_temperature": 21.1,
		"battery_fade": 0.8, "charge_floor": 5,
	} {
		found := false
		for _, n := range s.numbers() {
			if n.key == key {
				found = n.value == want
			}
		}
		if !found {
			t.Errorf("%s: want %v", key, want)
		}
	}
}

func TestValidateNamesTheKey(t *testing.T) {
	for key, spoil := range map[string]func(*Settings){
		"time_zone":          func(s *Settings) { s.TimeZone = nil },
		"battery_share":      func(s *Settings) { s.BatteryShare = -1 },
		"hypothermia":        func(s *Settings) { s.Hypothermia = 98 },
		"oxygen_reserve":     func(s *Settings) { s.OxygenReserve = math.NaN() },
		"flood_onsets":       func(s *Settings) { s.FloodOnsets = 0 },
		"cylinder_factors.E": func(s *Settings) { s.CylinderFactors = map[string]float64{"E": 0} },
		"cylinder_factors.M": func(s *Settings) { s.CylinderFactors = map[string]float64{"M": math.NaN()} },
	} {
		s := Defaults()
		spoil(&s)
		if err := s.Validate(); err == nil || !strings.HasPrefix(err.Error(), key+": expected") {
			t.Errorf("%s: got %v", key, err)
		}
	}
	if _, err := Open(t.Context(), nil, Defaults()); err == nil {
		t.Error("no store: got no error")
	}
	f := newFixture(t)
	f.set.BatteryShare = 99
	if _, err := Open(t.Context(), f.store, f.set); err == nil {
		t.Error("battery_share 99: got no error")
	}
}

func TestSettingsReachTheQuestions(t *testing.T) {
	f := newFixture(t)
	f.set.Hypothermia = 36.0
	f.set.CylinderFactors = map[string]float64{"e": 0.35} // the other published factor, in any letter case
	f.trip("A", cells{"planned_oxygen": "100"})
	f.assess("A", cells{"temperature": "36.2"})
	f.cylinder("A", "E", kPa(2000), kPa(1000), nil)
	f.want("hypothermia_on_arrival", map[string]string{"A": "0.0/1.0"})
	f.want("oxygen_ratio", map[string]string{"A": "350.0/100.0"})
}
