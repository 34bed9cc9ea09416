package queries

import (
	"fmt"
	"math"
	"testing"
)

func near(a, b, tolerance float64) bool { return math.Abs(a-b) <= tolerance }

// checks.md, Gas: CPAP 8 L/min, FiO2 0.35, 90 min: oxygen 127.6 L, air 592.4 L (127.5949 and 592.4051 unrounded).
func TestHindsightAndBridge(t *testing.T) {
	f := newFixture(t)
	// Under way 60 to 150. Planned 200 L in 100 min, 2 L/min. E, 500 psi less: 140 L used.
	f.trip("A", cells{"handed_over_at": at(150), "planned_oxygen": "200", "planned_air": "900", "planned_duration": "100"})
	f.demand("A", 60, cells{"flow": "8", "fio2": "35"})
	f.cylinder("A", "E", kPa(2000), kPa(1500), nil)
	f.cylinder("A", "H", kPa(2000), kPa(1900), cells{"gas": q("air")})
	// No planned duration: no bridge.
	f.trip("B", cells{"planned_oxygen": "200"})
	f.cylinder("B", "E", kPa(2000), kPa(1500), nil)
	r := f.reader()
	got, err := r.OxygenPlan(t.Context(), "2026-03", "2026-03")
	if err != nil || len(got) != 2 || got[0].Bridge == nil {
		t.Fatalf("got %+v, %v, want two plans, the first with a bridge", got, err)
	}
	b := *got[0].Bridge
	// Duration 2 × (90 − 100) = −20; settings 127.5949 − 2 × 90 = −52.4051; unexplained 140 − 127.5949 = 12.4051.
	for name, pair := range map[string][2]float64{
		"gas time": {b.GasTime, 90}, "hindsight": {b.Hindsight, 127.594936709}, "duration": {b.DurationEffect, -20},
		"settings": {b.SettingsEffect, -52.405063291}, "unexplained": {b.Unexplained, 12.405063291},
		"bridge": {got[0].Planned + b.DurationEffect + b.SettingsEffect + b.Unexplained, got[0].Used},
	} {
		if !near(pair[0], pair[1], 1e-6) {
			t.Errorf("%s: got %v, want %v", name, pair[0], pair[1])
		}
	}
	if got[1].Bridge != nil || got[1].Used != 140 {
		t.Errorf("B: got %+v, want 140 L used and no bridge", got[1])
	}
	air, err := r.AirPlan(t.Context(), "", "")
	if err != nil || len(air) != 1 || !near(air[0].Bridge.Hindsight, 592.405063291, 1e-6) {
		t.Errorf("air: got %+v, %v, want a hindsight of 592.405 L", air, err)
	}
}

// Flow and oxygen share of the first stretch of A.
func (f *fixture) flows() string {
	f.t.Helper()
	return f.rows(`select concat_ws(' ', round(mean_flow, 4), round(last_flow, 4), round(mean_flow * oxygen_share, 3),
		round(mean_flow * (1 - oxygen_share), 3)) from gas_demand order by from_at`)[0]
}

// checks.md, Gas: blends of FiO2 0.60 at 8 and 0.40 at 10 L/min; constant flow off, 30/min × 0.3 s × 8 L/min: 1.2 L/min.
func TestDemand(t *testing.T) {
	stopped := cells{"mode": q("simv"), "interface": q("tube"), "continuous_flow": "false", "rate": "30", "inspiratory_time": "0.3", "flow": "8"}
	with := func(row cells, key, value string) cells {
		changed := cells{key: value}
		for k, v := range row {
			if k != key {
				changed[k] = v
			}
		}
		return changed
	}
	for name, c := range map[string]struct {
		row  cells
		want string
	}{
		"blend 0.60":           {cells{"flow": "8", "fio2": "60"}, "8.0 8.0 3.949 4.051"},
		"blend 0.40":           {cells{"flow": "10", "fio2": "40"}, "10.0 10.0 2.405 7.595"},
		"room air":             {cells{"flow": "10", "fio2": "20.9"}, "10.0 10.0 0.0 10.0"},
		"empty is on":          {with(stopped, "continuous_flow", "null"), "8.0 8.0 8.0 0.0"},
		"flow stops":           {stopped, "1.2 1.2 1.2 0.0"},
		"cpap runs through":    {cells{"flow": "8", "continuous_flow": "false"}, "8.0 8.0 8.0 0.0"},
		"oscillation likewise": {with(with(stopped, "mode", "'hfov'"), "rate", "null"), "8.0 8.0 8.0 0.0"},
		"none asks nothing":    {cells{"mode": q("standby"), "flow": "8"}, "0 0 0.0 0.0"},
		"unknown class":        {cells{"mode": q("simv"), "interface": "null", "flow": "8"}, "8.0 8.0 8.0 0.0"},
		"no timing":            {with(stopped, "rate", "null"), ""},
	} {
		t.Run(name, func(t *testing.T) {
			f := newFixture(t)
			f.trip("A", nil)
			f.demand("A", 60, c.row)
			if got := f.flows(); got != c.want && !(name == "none asks nothing" && got == "0.0 0.0 0.0 0.0") {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

func TestLeakBleedAndExtraBreaths(t *testing.T) {
	f := newFixture(t)
	f.set.LeakAllowance, f.set.BleedFlow = 0.1, 0.5
	f.trip("A", nil)
	// Set 30/min × 0.3 s × 8 L/min; 0.04 L a breath. 60–90 nothing read; 90–150: 60/min in all, so 30 extra for 60 min;
	// 150–180: 20/min, below the set rate: none. Mean extra 30 × 60/120 = 15: 45 × 0.04 = 1.8; last 1.2.
	f.demand("A", 60, cells{"mode": q("simv"), "interface": q("tube"), "continuous_flow": "false", "rate": "30", "inspiratory_time": "0.3", "flow": "8"})
	f.reading("A", "V", 90, "rate", "60")
	f.reading("A", "V", 150, "rate", "20")
	f.reading("A", "M", 170, "rate", "90") // the monitor's rate is not the ventilator's
	want := fmt.Sprintf("%.2f %.2f", 1.8*1.1+0.5, 1.2*1.1+0.5)
	if got := f.rows("select concat_ws(' ', round(mean_flow, 4), round(last_flow, 4)) from gas_demand")[0]; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}
