package main

import (
	"math"
	"path/filepath"
	"strings"
	"testing"
)

// purchaseRow is what is read of a line of `measure --purchase --format json`.
type purchaseRow struct {
	Candidate, Kind, Team, Group, Name, Unit, Method, Note string
	N                                                      int
	Value, Low, High                                       *float64
}

// fleetPlace holds six requests for two ventilators on 5 January 2026, worked out by hand. Each is held to half an hour after
// its end: A 10:00–14:00, B 11:00–13:00, C 12:00–15:00, D 13:00–16:00, F 14:00–18:00; E, called at 13:30 and declined for want of
// equipment, stands for the median of these, 3 h: to 16:30. With two: C (A, B out) and E (A, D out) find none free; with three E does
// (A, C, D out); with four nobody.
func fleetPlace(t *testing.T) *place {
	t.Helper()
	p := newPlace(t)
	p.write("in/transports.csv", "transport_id,disposition,disposition_reason,ventilator_id,called_at,accepted_at,available_at\n"+
		"A,completed,,V1,2026-01-05 09:55,2026-01-05 10:00,2026-01-05 13:30\n"+
		"B,completed,,V2,2026-01-05 10:55,2026-01-05 11:00,2026-01-05 12:30\n"+
		"C,completed,,V1,2026-01-05 11:55,2026-01-05 12:00,2026-01-05 14:30\n"+
		"D,cancelled,,V2,2026-01-05 12:55,2026-01-05 13:00,2026-01-05 15:30\n"+
		"E,declined,no_equipment,,2026-01-05 13:30,,\n"+
		"F,completed,,V1,2026-01-05 13:55,2026-01-05 14:00,2026-01-05 17:30\n"+
		"W,declined,weather,,2026-01-05 13:31,,\n")
	p.write("in/devices.csv", "device_id,kind\nV1,ventilator\nV2,ventilator\n")
	p.good("load", "in")
	return p
}

const thirdVentilator = `[{"name": "=Third", "kind": "ventilator", "price": 8000, "life": 8, "service": 500}, ` +
	`{"name": "Fifth", "kind": "ventilator", "units": 4, "price": 8000, "life": 8}]`

func TestMeasurePurchase(t *testing.T) {
	p := fleetPlace(t)
	found := map[string]float64{}
	notes := map[string]string{}
	for _, r := range objects[purchaseRow](t, p.good("measure", "--purchase", "--format", "json", "--candidates", thirdVentilator)) {
		if r.Value != nil {
			found[r.Candidate+" "+r.Kind+" "+r.Name+" "+r.Group] = *r.Value
		}
		if r.Note != "" {
			notes[r.Candidate] = r.Note
		}
	}
	for key, want := range map[string]float64{
		" ventilator requests ": 6, " ventilator declined_no_equipment ": 1, " ventilator units ": 2, " ventilator median_hold ": 3,
		" ventilator mean_hold ": (4 + 2 + 3 + 3 + 3 + 4) / 6.0, " ventilator load ": 19 / 744.0,
		" ventilator none_free 2": 2, " ventilator none_free 3": 1, " ventilator none_free 4": 0, " ventilator none_free_as_it_was 2": 2,
		" ventilator time_at_level 4":   1.5, // E from 13:30, B away since 13:00: A, C, D, E to 14:00, C, D, E, F to 15:00
		"=Third ventilator shortfalls ": 2, "=Third ventilator avoided ": 1, "=Third ventilator cost_per_year ": 1500, "=Third ventilator cost_per_avoided ": 1500 * 31 / 365.25,
		"Fifth ventilator avoided ": 0,
	} {
		if got, ok := found[key]; !ok || math.Abs(got-want) > 1e-9 {
			t.Errorf("%s: %v (%v), want %v", key, got, ok, want)
		}
	}
	if !strings.Contains(notes["=Third"], "served 1 of the 2 requests") || !strings.Contains(notes["Fifth"], "would have changed nothing") {
		t.Errorf("notes %v", notes)
	}
	if text := p.good("measure", "--purchase", "--format", "csv", "--candidates", thirdVentilator); !strings.Contains(text, "\n'=Third,") {
		t.Error("a name that a spreadsheet would run is not defused")
	}
	if text := p.good("measure", "--purchase", "--turnaround", "0s"); !strings.Contains(text, "ventilator: none_free") {
		t.Errorf("table:\n%s", text)
	}
}

func TestPurchaseFlagsAndSettings(t *testing.T) {
	p := fleetPlace(t)
	p.bad(exitUsage, "--purchase: expected no measure", "measure", "--purchase", "declined")
	p.bad(exitUsage, "--purchase: expected no --by", "measure", "--purchase", "--by", "team")
	p.bad(exitUsage, "expected a first month that is not after the last", "report", "purchase", "--from", "2026-02", "--to", "2026-01")
	p.bad(exitUsage, "expected committee, purchase or research", "report", "weather")
	for text, want := range map[string]string{
		"candidates: [{name: A, kind: lamp, price: 1, life: 1}]":          "setting candidates (from tripwake.yaml): entry 1 (A): kind: expected one of",
		"candidates: [{name: A, kind: pump, price: 1, life: 1, lamp: 2}]": `unknown field "lamp"`,
		"candidates: soon": "setting candidates (from tripwake.yaml): expected a list such as",
		"candidates: [{name: A, kind: cylinders, sizes: [Q], price: 1, life: 1}]": "sizes: size \"Q\"",
		"availability_target: 95": "setting availability_target (from tripwake.yaml): expected a probability",
		"turnaround: soon":        "setting turnaround",
		"candidates: [{name: A, kind: battery, endurance: 60, devices: V5, price: 1, life: 1}]": "entry 1: ",
	} {
		p.write(settingsFile, text+"\n")
		p.bad(exitUsage, want, "measure", "--purchase")
	}
}

// A list means the same in the file, in the environment and as a flag, and settings print it so that it can be kept.
func TestCandidatesFromEverySource(t *testing.T) {
	p := newPlace(t)
	p.write(settingsFile, "currency: XTS\ncandidates:\n  - {name: Spare, kind: pump, price: 3100, life: 6.5}\n")
	const want = `[{"kind":"pump","life":6.5,"name":"Spare","price":3100}]`
	if got := inForce(p, "candidates"); got.Value != want || got.From != settingsFile {
		t.Errorf("file: got %+v", got)
	}
	p.write(settingsFile, p.good("settings"))
	if got := inForce(p, "candidates"); got.Value != want {
		t.Errorf("kept: got %+v", got)
	}
	p.env = []string{"TRIPWAKE_CANDIDATES=" + thirdVentilator}
	if got := inForce(p, "candidates"); got.Value != thirdVentilator || got.From != "TRIPWAKE_CANDIDATES" {
		t.Errorf("environment: got %+v", got)
	}
}

func TestReportPurchase(t *testing.T) {
	needBundle(t)
	p := fleetPlace(t)
	path := strings.TrimSpace(p.good("report", "purchase", "--out", "reports", "--candidates", thirdVentilator))
	if path != filepath.Join("reports", "purchase.html") {
		t.Fatalf("wrote %q", path)
	}
	doc := p.read(path)
	for _, text := range []string{"=Third", "served 1 of the 2 requests", "The records speak against it", "of 6 requests found none of 2 free"} {
		if !strings.Contains(doc, text) {
			t.Errorf("%q is not in the report", text)
		}
	}
	p.good("report", "purchase", "--out", "again", "--candidates", thirdVentilator)
	if p.read("again/purchase.html") != doc {
		t.Error("two reports of the same store differ")
	}
	if text := p.read(strings.TrimSpace(p.good("report", "purchase", "--out", "later", "--from", "2027-01", "--candidates", thirdVentilator))); !strings.Contains(text, "No transport of these months is stored") {
		t.Error("months without a transport")
	}
}
