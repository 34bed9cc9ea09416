package pipeline_test

import (
	"archive/zip"
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tripwake/pipeline"
	"tripwake/pipeline/layout"
)

// What a file holds beside its records, and how it was read where that is not plain, is said; every record is in the balance.
func TestWhatIsSaidOfDialects(t *testing.T) {
	st := newStore(t)
	dir := folder(t,
		"transports.csv", "Transports of 2025\n\ntransport_id;weight\nT1;1.250,5\nT2;1.250\nT3;\"a\"b,\"\"\nT4;<500\nT5;500 g\nTotal rows: 5\n",
		"events.csv", "transport_id,kind,narrative\nT1,other,\"say \\\"hi\\\", twice\"\n",
		"events-2.csv", "transport_id,kind,narrative\nT2,other,caf\xe9\n")
	out, err := pipeline.Load(t.Context(), st, []string{dir}, options())
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"transports.csv: 2 lines were before the header and not read; record 1 is line 3", "transports.csv: 1 line was after the last record and not read",
		"transports.csv: the point was read as the mark of thousands", "transports.csv: the comma was read as the decimal sign",
		"events.csv: quotes were read as escaped by backslashes", "events-2.csv: is not UTF-8 and was read as Windows-1252",
	} {
		if !slices.Contains(out.Remarks, want) {
			t.Errorf("%q is not said: %q", want, out.Remarks)
		}
	}
	entries, err := st.Ledger(t.Context(), out.LoadID)
	if err != nil {
		t.Fatal(err)
	}
	balance(t, st, entries)
	wantCounts(t, entries, "transports.csv 5=4+0+1 s0; events-2.csv 1=1+0+0 s0; events.csv 1=1+0+0 s0")
	if got, want := rows(t, st, "select transport_id, weight from kept.transports order by all"), "T1|1250.5\nT2|1250\nT4|<nil>\nT5|500"; got != want {
		t.Errorf("kept\n%s\nwant\n%s", got, want)
	}
	if got, want := rows(t, st, "select record_no, reason, cells[1] from ledger.refused_rows"), "4|field_count|T3;\"a\"b,\"\""; got != want {
		t.Errorf("refused %s, want %s", got, want)
	}
	if got := rows(t, st, "select column_name, reason, cell from ledger.refused_cells"); got != "weight|bound|<500" {
		t.Errorf("refused cell %s", got)
	}
	if got := rows(t, st, "select narrative from kept.events order by all"); got != "café\nsay \"hi\", twice" {
		t.Errorf("narrative %s", got)
	}
	mend := t.TempDir()
	if paths, err := pipeline.WriteRefused(t.Context(), st, 0, mend); err != nil || len(paths) != 1 {
		t.Fatalf("%v, %v", paths, err)
	}
	if entries := loadPaths(t, st, mend); len(entries) != 1 || entries[0].Read != 1 {
		t.Errorf("what was refused, loaded as it is: %+v", entries)
	}
}

// A file in an archive is the file itself: loaded before by itself, its rows are there already.
func TestArchivesAreTheirFiles(t *testing.T) {
	const text = "transport_id,kind\nT1,other\nT2,other\n"
	st := newStore(t)
	load(t, st, "events.csv", text)
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for _, name := range []string{"a/events.csv", "b/events-2.csv"} {
		f, err := w.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		body := text
		if name == "b/events-2.csv" {
			body = strings.ReplaceAll(text, "T", "U")
		}
		if _, err := f.Write([]byte(body)); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "year.zip")
	if err := os.WriteFile(path, b.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	wantCounts(t, loadPaths(t, st, path), "year.zip/a/events.csv 2=0+2+0 s0; year.zip/b/events-2.csv 2=2+0+0 s0")
}

// A layout may take a bound for its value, and say that the sign alone parts thousands.
func TestNumbersByLayout(t *testing.T) {
	const text = "Run;W\nT1;<2,500\nT2;1.250\nT3;3,2\nT4;>= 3 kg\n"
	for more, want := range map[string]string{
		"bounds: value":                     "T1|<nil>\nT2|<nil>\nT3|<nil>\nT4|3000", // commas and points: neither is the mark of thousands for sure
		"decimal: comma":                    "T1|<nil>\nT2|1250\nT3|<nil>\nT4|<nil>",
		"decimal: point\n    bounds: value": "T1|2500\nT2|<nil>\nT3|<nil>\nT4|3000",
	} {
		by, err := layout.Parse("layout.yaml", []byte("sources:\n  - files: runs.csv\n    table: transports\n    columns: {transport_id: Run, weight: W}\n    "+more+"\n"))
		if err != nil {
			t.Fatal(err)
		}
		o := options()
		o.Layout = by
		st := newStore(t)
		if _, err := pipeline.Load(t.Context(), st, []string{folder(t, "runs.csv", text)}, o); err != nil {
			t.Fatal(err)
		}
		if got := rows(t, st, "select transport_id, weight from kept.transports order by all"); got != want {
			t.Errorf("%s:\n%s\nwant\n%s", more, got, want)
		}
	}
}
