package queries

import (
	"fmt"
	"math"
	"strings"
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
	return f.rows(`select concat_ws(' ', round(total_flow, 4), round(total_flow * oxygen_share, 3),
		round(total_flow * (1 - oxygen_share), 3)) from gas_demand order by from_at`)[0]
}

// checks.md, Gas: 10 L/min of air and 6 of oxygen are FiO2 0.50625 (Loewen 2009 prints 0.506); blends of FiO2 0.60 at 8 and 0.40 at 10 L/min; constant flow off, 30/min × 0.3 s × 8 L/min: 1.2 L/min.
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
		"blend 0.60":            {cells{"flow": "8", "fio2": "60"}, "8.0 3.949 4.051"},
		"blend 0.40":            {cells{"flow": "10", "fio2": "40"}, "10.0 2.405 7.595"},
		"blend of 10 air and 6": {cells{"flow": "16", "fio2": "50.625"}, "16.0 6.0 10.0"},
		"room air":              {cells{"flow": "10", "fio2": "20.9"}, "10.0 0.0 10.0"},
		"empty is on":           {with(stopped, "continuous_flow", "null"), "8.0 8.0 0.0"},
		"flow stops":            {stopped, "1.2 1.2 0.0"},
		"cpap runs through":     {cells{"flow": "8", "continuous_flow": "false"}, "8.0 8.0 0.0"},
		"oscillation likewise":  {with(with(stopped, "mode", "'hfov'"), "rate", "null"), "8.0 8.0 0.0"},
		"none asks nothing":     {cells{"mode": q("standby"), "flow": "8"}, "0.0 0.0 0.0"},
		"unknown class":         {cells{"mode": q("simv"), "interface": "null", "flow": "8"}, "8.0 8.0 0.0"},
		"no timing":             {with(stopped, "rate", "null"), ""},
	} {
		t.Run(name, func(t *testing.T) {
			f := newFixture(t)
			f.trip("A", nil)
			f.demand("A", 60, c.row)
			if got := f.flows(); got != c.want {
				t.Errorf("got %q, want %q", got, c.want)
			}
		})
	}
}

// Settings of 30/min × 0.3 s × 8 L/min, 0.04 L a breath, hold from 60 to 180. Nothing is read until 90; 90–150: 60/min in
// all; from 150: 20/min, below the set rate. FiO2 alone changes at 120: the rate read before still holds.
func TestLeakBleedAndExtraBreaths(t *testing.T) {
	f := newFixture(t)
	f.set.LeakAllowance, f.set.BleedFlow = 0.1, 0.5
	f.trip("A", nil)
	stopped := cells{"mode": q("simv"), "interface": q("tube"), "continuous_flow": "false", "rate": "30", "inspiratory_time": "0.3", "flow": "8"}
	f.demand("A", 60, stopped)
	stopped["fio2"] = "40"
	f.demand("A", 120, stopped)
	f.reading("A", "V", 90, "rate", "60")
	f.reading("A", "V", 150, "rate", "20")
	f.reading("A", "M", 170, "rate", "90") // the monitor's rate is not the ventilator's
	want := fmt.Sprintf("30 %.2f, 30 %.2f, 30 %.2f, 30 %.2f", 1.2*1.1+0.5, 2.4*1.1+0.5, 2.4*1.1+0.5, 1.2*1.1+0.5)
	got := strings.Join(f.rows(`select concat_ws(' ', held_us // 60000000, round(total_flow, 4)) from gas_demand order by from_at`), ", ")
	if got != want {
		t.Errorf("got %q, want %q", got, want)
	}
}

// A device's own factors stand before those of its kind, and these before those of all; letter case tells nothing apart.
func TestFactorsOfDevices(t *testing.T) {
	f := newFixture(t)
	f.set.BleedFlow = 9
	f.set.DeviceGas = map[string]DeviceGas{"v": {Leak: 0.5, Bleed: 1}, "Ventilator": {Bleed: 2}}
	f.add("devices", cells{"device_id": q("V"), "kind": q("ventilator")})
	f.add("devices", cells{"device_id": q("W"), "kind": q("ventilator")})
	for id, device := range map[string]string{"own": "V", "kind": "W", "neither": "X"} {
		f.trip(id, cells{"ventilator_id": q(device)})
		f.add("settings", cells{"transport_id": q(id), "device_id": q(device), "recorded_at": at(60), "mode": q("cpap"), "flow": "8", "fio2": "100"})
	}
	got := strings.Join(f.rows("select transport_id || ' ' || round(total_flow, 3) from gas_demand order by transport_id"), ", ")
	if want := "kind 10.0, neither 17.0, own 13.0"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	for name, devices := range map[string]map[string]DeviceGas{
		"": {"": {}}, "V": {"V": {Leak: -1}}, "W": {"W": {Bleed: 101}}, "v": {"V": {}, "v": {}},
	} {
		s := Defaults()
		s.DeviceGas = devices
		if err := s.Validate(); err == nil || !strings.HasPrefix(err.Error(), "device_gas."+name+": expected") {
			t.Errorf("%v: got %v", devices, err)
		}
	}
}

// checks.md, Gas: 20 ppm into 10 L/min from 800 ppm is 0.2564 L/min (dilution; 0.250 where 10 is the total).
func TestNitricOxide(t *testing.T) {
	f := newFixture(t)
	row := cells{"flow": "10", "nitric_oxide": "20"}
	concentrations := map[string][]string{"one": {"800"}, "two alike": {"800", "800"}, "two": {"800", "400"}, "none": {"null"}, "weak": {"20"}}
	for id, ppm := range concentrations {
		f.trip(id, nil)
		f.demand(id, 60, row)
		for _, c := range ppm {
			f.cylinder(id, "D", kPa(2000), kPa(1900), cells{"gas": q("nitric_oxide"), "concentration": c})
		}
	}
	f.trip("no cylinder", nil)
	f.demand("no cylinder", 60, row)
	got := strings.Join(f.rows(`select transport_id || ' ' || coalesce(round(flow, 4)::varchar, 'unknown')
		from carried_demand where gas = 'nitric_oxide' order by transport_id`), ", ")
	if want := "none unknown, one 0.2564, two unknown, two alike 0.2564, weak unknown"; got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	groups, err := f.reader().GasGroups(t.Context(), "nitric_oxide", "", "")
	if err != nil || len(groups) == 0 || groups[0].Kind != GasAll || groups[0].Transports != 2 {
		t.Fatalf("got %+v, %v, want two transports", groups, err)
	}
	// 120 min × 0.25641 L/min = 30.769 L each; used 16 L and 32 L.
	if all := groups[0]; !near(all.Hindsight, 61.538, 1e-3) || !near(all.Used, 48, 1e-9) || all.Plan.Transports != 0 {
		t.Errorf("got %+v, want 61.538 L asked for, 48 L used and no plan", all)
	}
}
