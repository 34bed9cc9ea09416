package main

import (
	"encoding/csv"
	"math"
	"path/filepath"
	"strings"
	"testing"
)

// supply is what is read of a line of `measure --supplies --format json`.
type supply struct {
	Supply, About, Month, By, Group, Name, Unit string
	N                                           int
	Value                                       *float64
}

// supplyPlace holds two transports of 90 min under way on CPAP of 8 L/min at 35 % oxygen. Each planned 200 L in 100 min. A
// used 500 psi of an E cylinder, 140 L; B 1000 psi, 280 L, and arrived with 50 psi.
func supplyPlace(t *testing.T) *place {
	t.Helper()
	p := newPlace(t)
	p.write("in/transports.csv", "transport_id,vehicle,urgency,ventilator_id,accepted_at,at_patient_at,departed_referring_at,handed_over_at,available_at,planned_oxygen,planned_duration\n"+
		"A,ground,urgent,V1,2026-01-05 10:00,2026-01-05 11:00,2026-01-05 11:30,2026-01-05 12:30,2026-01-05 13:00,200,100\n"+
		"B,ground,urgent,=V2,2026-02-05 10:00,2026-02-05 11:00,2026-02-05 11:30,2026-02-05 12:30,2026-02-05 13:00,200,100\n")
	p.write("in/settings.csv", "transport_id,device_id,recorded_at,mode,interface,flow,fio2\n"+
		"A,V1,2026-01-05 11:00,cpap,nasal,8,35\nB,=V2,2026-02-05 11:00,cpap,nasal,8,35\n")
	p.write("in/cylinders.csv", "transport_id,cylinder_id,supply,gas,size,start_pressure (psi),end_pressure (psi)\n"+
		"A,E-1,carried,oxygen,E,2000,1500\nB,E-2,carried,oxygen,E,1050,50\n")
	p.good("load", "in")
	return p
}

// The bridge of the rows adds up, for all, each month and each ventilator. Worked by hand (definitions, Gas): the settings asked
// for 90 × 8 × (0.35 − 0.21)/0.79 = 127.5949 L, the plan for 2 L/min: duration 2 × (90 − 100), settings 127.5949 − 180.
func TestSupplyBridgeAddsUp(t *testing.T) {
	p := supplyPlace(t)
	bridges := map[string]map[string]float64{}
	for _, r := range objects[supply](t, p.good("measure", "--supplies", "--format", "json")) {
		if r.About != "bridge" {
			continue
		}
		place := strings.TrimSpace(r.Supply + " " + r.Month + " " + r.Group)
		if bridges[place] == nil {
			bridges[place] = map[string]float64{}
		}
		if r.Unit != "L" || r.Value == nil {
			t.Fatalf("%+v: want a number of litres", r)
		}
		bridges[place][r.Name] = *r.Value
	}
	for place, used := range map[string]float64{"oxygen all": 210, "oxygen 2026-01": 140, "oxygen 2026-02": 280, "oxygen all V1": 140, "oxygen all =V2": 280} {
		b := bridges[place]
		if sum := b["planned"] + b["duration_effect"] + b["settings_effect"] + b["unexplained"]; math.Abs(sum-b["used"]) > 1e-6 {
			t.Errorf("%s: %v add up to %v, want the %v used", place, b, sum, b["used"])
		}
		for name, want := range map[string]float64{"planned": 200, "duration_effect": -20, "settings_effect": 127.594936709 - 180, "used": used} {
			if math.Abs(b[name]-want) > 1e-6 {
				t.Errorf("%s: %s %v, want %v", place, name, b[name], want)
			}
		}
	}
	if len(bridges) != 5 {
		t.Errorf("got bridges of %v, want five", bridges)
	}
}

// A transport below its reserve bears the name that the report gives it, its own only where that is asked for. B arrived with
// 50 psi × 0.28 L/psi = 14 L, at 1.4177 L/min 9.875 min.
func TestSupplyTransportsAreNamedAsInTheReport(t *testing.T) {
	p := supplyPlace(t)
	p.good("report", "committee", "--month", "2026-02", "--out", "reports")
	short := func(args ...string) supply {
		t.Helper()
		for _, r := range objects[supply](t, p.good(append([]string{"measure", "--supplies", "--format", "json"}, args...)...)) {
			if r.By == "transport" && r.Name == "minutes_left" {
				return r
			}
		}
		t.Fatalf("%v: no transport below the reserve", args)
		return supply{}
	}
	hidden := short()
	if hidden.Group == "B" || !strings.Contains(p.read(filepath.Join("reports", "committee-2026-02.html")), hidden.Group) || math.Abs(*hidden.Value-9.875) > 1e-6 {
		t.Errorf("got %q with %v min left, want the name of the report and 9.875", hidden.Group, *hidden.Value)
	}
	if named := short("--name-transports"); named.Group != "B" || named.Month != "2026-02" {
		t.Errorf("asked for by its own name: got %+v, want B in 2026-02", named)
	}
}

// --from and --to bound the rows; a spreadsheet runs no cell of the CSV form; flags that mean nothing beside each other are
// refused.
func TestSupplyCommandLine(t *testing.T) {
	p := supplyPlace(t)
	for _, r := range objects[supply](t, p.good("measure", "--supplies", "--format", "json", "--from", "2026-01", "--to", "2026-01")) {
		if r.Month == "2026-02" || r.Group == "=V2" {
			t.Errorf("January alone: got %+v", r)
		}
	}
	rows, err := csv.NewReader(strings.NewReader(p.good("measure", "--supplies", "--format", "csv"))).ReadAll()
	if err != nil || len(rows) < 20 || rows[0][4] != "group" {
		t.Fatalf("got %d rows, %v", len(rows), err)
	}
	for _, row := range rows {
		if strings.HasPrefix(row[4], "=") {
			t.Errorf("a spreadsheet would run %q", row[4])
		}
	}
	if table := p.good("measure", "--supplies"); !strings.Contains(table, "oxygen bridge unexplained") {
		t.Errorf("got\n%s", table)
	}
	p.bad(exitUsage, "--supplies: expected no --by", "measure", "--supplies", "--by", "device")
	p.bad(exitUsage, "--supplies: expected no measure", "measure", "oxygen_ratio", "--supplies")
	p.bad(exitUsage, "--name-transports: expected --supplies", "measure", "--name-transports")
}
