package main

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
)

// The whole-run cases: exports in mixed delimiters, encodings, units and clocks, with many of the device logs naming no
// transport, and what they ought to give. What they ought to give was computed by testdata/recompute, a second reading of
// the contract in another language that shares no code, statistics or libraries with the program.

// wholeZone is the zone of the invented teams in the cases.
const wholeZone = "TRIPWAKE_TIME_ZONE=America/Chicago"

// wholeDigits is how near two numbers must be: relative, or absolute below 1.
const wholeDigits = 1e-6

// everyBy are the ways of grouping in which the cases were computed.
var everyBy = []string{"", "month", "vehicle", "team", "urgency", "referring_site", "device", "diagnosis", "gestation_band",
	"age_band", "month,vehicle"}

func TestWholeRuns(t *testing.T) {
	for _, name := range []string{"mixed-exports-a", "mixed-exports-b"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			folder, err := filepath.Abs(filepath.Join("..", "..", "testdata", name))
			if err != nil {
				t.Fatal(err)
			}
			holdToCase(t, folder)
		})
	}
}

// holdToCase loads folder/in and holds ledger and measures to folder/want.
func holdToCase(t *testing.T, folder string) {
	t.Helper()
	p := newPlace(t, wholeZone)
	loaded := p.ledgerOf("load", filepath.Join(folder, "in"))
	stored := p.ledgerOf("ledger")
	wanted := readTable(t, filepath.Join(folder, "want", "ledger.csv"))
	if len(loaded) != len(wanted) || len(stored) != len(wanted) {
		t.Errorf("%d files loaded, %d in the ledger, want %d", len(loaded), len(stored), len(wanted))
	}
	for _, want := range wanted {
		for name, got := range map[string]ledgerLine{"load": loaded[want["file"]], "ledger": stored[want["file"]]} {
			holdLedger(t, name, got, want)
		}
	}
	holdMeasures(t, measured(t, p), readTable(t, filepath.Join(folder, "want", "measures.csv")))
	holdShapes(t, p)
}

// addedInOrder are the measures whose facts are fractions (package queries, shape). Those of the others must be whole numbers, one
// for each transport: they are added in any order and counted without looking for doubles.
var addedInOrder = []string{"air_ratio", "alarming_time", "alarms_per_hour", "battery_time", "care_time", "high_priority_alarms_per_hour",
	"mobilization_time", "oxygen_per_hour", "oxygen_ratio", "patient_leg_time", "response_time", "stabilization_time", "trip_time",
	"unplanned_extubation_hours"}

func holdShapes(t *testing.T, p *place) {
	t.Helper()
	type shape struct {
		Measure            string
		Fractions, Doubles int
	}
	const text = "select measure, count_if(x <> trunc(x) or t <> trunc(t)) as fractions, count(*) - count(distinct transport_id) as doubles " +
		"from measure_facts where left_out is null group by measure order by measure"
	seen := objects[shape](t, p.good("query", text, "--format", "json"))
	if len(seen) < len(addedInOrder) {
		t.Errorf("facts of %d measures, want more", len(seen))
	}
	for _, s := range seen {
		if s.Fractions > 0 && !slices.Contains(addedInOrder, s.Measure) {
			t.Errorf("%s: %d facts that are no whole numbers", s.Measure, s.Fractions)
		}
		if s.Doubles > 0 && s.Measure != "record_linked" {
			t.Errorf("%s: %d facts beyond the first of a transport", s.Measure, s.Doubles)
		}
	}
}

func holdLedger(t *testing.T, name string, got ledgerLine, want map[string]string) {
	t.Helper()
	counts := map[string]int{"read": got.Read, "stored": got.Stored, "repeated": got.Repeated, "refused": got.Refused,
		"cells_refused": got.CellsRefused, "superseded": got.Superseded}
	for key, count := range counts {
		if fmt.Sprint(count) != want[key] {
			t.Errorf("%s: %s: %s %d, want %s (reasons %v)", name, want["file"], key, count, want[key], got.Reasons)
		}
	}
	if got.Table != want["table"] {
		t.Errorf("%s: %s: table %q, want %q", name, want["file"], got.Table, want["table"])
	}
	reasons := 0
	for _, n := range got.Reasons {
		reasons += n
	}
	if got.Read != got.Stored+got.Repeated+got.Refused || reasons != got.Refused {
		t.Errorf("%s: %s: the row does not balance: %+v", name, want["file"], got)
	}
}

// answer is what is compared of a line of `measure --format json`; a number that does not exist is null there.
type answer map[string]any

// key says which answer it is.
func key(cell func(string) string) string {
	return fmt.Sprintf("%s, month %s, by %q, group %q", cell("measure"), cell("month"), cell("by"), cell("group"))
}

// measured are all answers that have data, in every way of grouping.
func measured(t *testing.T, p *place) map[string]answer {
	t.Helper()
	found := map[string]answer{}
	for _, by := range everyBy {
		for _, a := range objects[answer](t, p.good("measure", "--format", "json", "--by", by)) {
			if a["n"].(float64) > 0 {
				found[key(func(name string) string { return a[name].(string) })] = a
			} else if a["value"] != nil {
				t.Errorf("no data and yet a value: %v", a)
			}
		}
	}
	return found
}

func holdMeasures(t *testing.T, got map[string]answer, wanted []map[string]string) {
	t.Helper()
	for _, want := range wanted {
		name := key(func(column string) string { return want[column] })
		have, ok := got[name]
		if !ok {
			t.Errorf("%s: no answer, want n %s", name, want["n"])
			continue
		}
		delete(got, name)
		for _, column := range []string{"n", "numerator", "denominator", "value", "low", "high", "mean", "p90", "on_target"} {
			if !near(t, have[column], want[column]) {
				t.Errorf("%s: %s %v, want %q", name, column, have[column], want[column])
			}
		}
	}
	for name, extra := range got {
		t.Errorf("%s: n %v, want no data", name, extra["n"])
	}
}

// near compares a JSON number or null with a CSV cell.
func near(t *testing.T, got any, want string) bool {
	t.Helper()
	if got == nil || want == "" {
		return got == nil && want == ""
	}
	number, err := strconv.ParseFloat(want, 64)
	if err != nil {
		t.Fatal(err)
	}
	return math.Abs(got.(float64)-number) <= wholeDigits*max(1, math.Abs(number))
}

// readTable reads a CSV file as rows by column name.
func readTable(t *testing.T, path string) (rows []map[string]string) {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	records, err := csv.NewReader(file).ReadAll()
	if err != nil || len(records) < 2 {
		t.Fatalf("%s: expected a header and rows: %v", path, err)
	}
	for _, record := range records[1:] {
		row := map[string]string{}
		for i, name := range records[0] {
			row[name] = record[i]
		}
		rows = append(rows, row)
	}
	return rows
}
