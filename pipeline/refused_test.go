package pipeline_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tripwake/pipeline"
	"tripwake/pipeline/store"
)

func refusedFiles(t *testing.T, st *store.Store) []string {
	t.Helper()
	paths, err := pipeline.WriteRefused(t.Context(), st, 0, filepath.Join(t.TempDir(), "mend"))
	if err != nil {
		t.Fatal(err)
	}
	return paths
}

// Refused rows go out, are mended, come in again, and then all that was exported is stored.
func TestRefusedRowsAreMendedAndLoadedAgain(t *testing.T) {
	st := newStore(t)
	load(t, st,
		"transports.csv", "transport_id;weight;team\nT1;3000,5;a\n;2500,5;b\nT3;1000;c;d\nT4;\"12,5\"\n",
		"events.csv", "event_id,transport_id,kind,narrative\nE1,T1,unplanned,\"=1+1\n\"\"said\"\"\"\nE2,T1,other,-5\nE3,T1,bad,-5\nE4,T1,bad,@x\n")
	mend := map[string]string{";2500,5;b": "T2;2500,5;b", "T3;1000;c;d": "T3;1000;c", "T4;12,5": "T4;1200,5;e", "unplanned,": "unplanned_extubation,", ",bad,": ",air_leak,"}
	for _, path := range refusedFiles(t, st) {
		if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
			t.Errorf("%s: %v, %v: readable by others", path, info.Mode(), err)
		}
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		mended := string(text)
		for from, to := range mend {
			mended = strings.ReplaceAll(mended, from, to)
		}
		if err := os.WriteFile(path, []byte(mended), 0o600); err != nil {
			t.Fatal(err)
		}
		for _, e := range loadPaths(t, st, path) {
			if e.Refused != 0 || e.CellsRefused != 0 || e.Repeated != 0 {
				t.Errorf("%+v from\n%s", e, mended)
			}
		}
	}
	if got, want := rows(t, st, "select transport_id, weight, team from kept.transports order by all"), "T1|3000.5|a\nT2|2500.5|b\nT3|1000|c\nT4|1200.5|e"; got != want {
		t.Errorf("transports\n%s\nwant\n%s", got, want)
	}
	if got, want := rows(t, st, "select event_id, kind, narrative from kept.events order by all"), "E1|unplanned_extubation|=1+1\n\"said\"\nE2|other|-5\nE3|air_leak|-5\nE4|air_leak|@x"; got != want {
		t.Errorf("events\n%s\nwant\n%s", got, want)
	}
}

// A refused row keeps its text, file, record number, column and reason (DESIGN.md, What makes it right).
func TestRefusalsSayWhereAndWhy(t *testing.T) {
	st := newStore(t)
	load(t, st, "a/readings-1.csv", "device_id,recorded_at,quantity,value,unit\n"+
		"V1,2026-03-01 10:00,spo2,95,\n"+
		"V1,,spo2,95,\n"+
		"V1,01.03.2026 10:00,spo2,95,\n\n"+
		"V1,2026-03-01 10:00,pulse,95,\n"+
		"V1,2026-03-01 10:00,spo2,,\n"+
		"V1,2026-03-01 10:00,spo2,95,cubits\n"+
		"V1,2026-03-01 10:00,spo2,101,\n"+
		"V1,2026-03-01 10:00,spo2\n"+
		"V1,2026-03-01 10:00,spo2,95,,,x\n")
	refusals, err := st.Refusals(t.Context(), 0, 0)
	if err != nil {
		t.Fatal(err)
	}
	want := []string{"3 recorded_at empty", "4 recorded_at unreadable", "6 quantity unknown_code", "7 value empty", "8 value unknown_unit", "9 value out_of_range", "10  field_count", "11  field_count"}
	for i, r := range refusals {
		if got := fmt.Sprintf("%d %s %s", r.Record, r.Column, r.Reason); i >= len(want) || got != want[i] || r.File != "a/readings-1.csv" || r.Expected == "" {
			t.Errorf("refusal %d is %q of %s, expected %q", i, got, r.File, r.Expected)
		}
	}
	if len(refusals) != len(want) {
		t.Errorf("%d refusals, want %d", len(refusals), len(want))
	}
}

// DESIGN.md, Privacy: cells of a CSV that a spreadsheet would run as a formula are defused.
func TestRefusedFilesHoldNoFormula(t *testing.T) {
	st := newStore(t)
	load(t, st, "events.csv", "event_id,transport_id,kind,narrative,=HYPERLINK()\n"+
		"=1+1,@SUM(A1),no,+cmd|' /C calc'!A0,-2+3\n=x,T,no,\"\t=1\",\"-5\"\n=y,T,no,a,b,=c\n")
	paths := refusedFiles(t, st)
	if len(paths) != 1 {
		t.Fatalf("%d files, want 1", len(paths))
	}
	f, err := os.Open(paths[0])
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.FieldsPerRecord = -1
	records, err := r.ReadAll()
	if err != nil || len(records) != 4 {
		t.Fatalf("%d records, %v: want 4", len(records), err)
	}
	for _, record := range records {
		for _, cell := range record {
			if cell != "" && cell != "-5" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
				t.Errorf("cell %q would be run", cell)
			}
		}
	}
}

// A file that is loaded twice has its refused rows exported once.
func TestRefusedRowsAreExportedOnce(t *testing.T) {
	st := newStore(t)
	for range 2 {
		if _, err := pipeline.Load(t.Context(), st, []string{folder(t, "events.csv", "transport_id,kind\nT1,no\n")}, options()); err != nil {
			t.Fatal(err)
		}
	}
	text, err := os.ReadFile(refusedFiles(t, st)[0])
	if err != nil || strings.Count(string(text), "T1") != 1 {
		t.Errorf("exported %q, %v", text, err)
	}
}
