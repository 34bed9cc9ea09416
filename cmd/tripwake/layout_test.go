package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The case layouts-a holds the records of mixed-exports-a as other programs would export them, and a layout: it must give the
// measures that the second implementation gave for mixed-exports-a.
func TestWholeRunByLayout(t *testing.T) {
	t.Parallel()
	data, err := filepath.Abs(filepath.Join("..", "..", "testdata"))
	if err != nil {
		t.Fatal(err)
	}
	p := newPlace(t, wholeZone)
	folder := filepath.Join(data, "layouts-a")
	got := objects[ledgerLine](t, p.good("load", filepath.Join(folder, "in"), "--layout", filepath.Join(folder, "layout.yaml"), "--format", "json"))
	wanted := map[string]map[string]string{}
	for _, want := range readTable(t, filepath.Join(folder, "want", "ledger.csv")) {
		wanted[want["file"]+" "+want["table"]] = want
	}
	for _, line := range got {
		holdLedger(t, "load", line, wanted[line.File+" "+line.Table])
	}
	if len(got) != len(wanted) {
		t.Errorf("%d lines in the ledger, want %d", len(got), len(wanted))
	}
	holdMeasures(t, measured(t, p), readTable(t, filepath.Join(data, "mixed-exports-a", "want", "measures.csv")))
}

// trendLayout and trendText are a small export with a cell and a row that are refused.
const (
	trendLayout = "sources:\n  - files: trend*.csv\n    table: readings\n    time_format: \"%d/%m/%Y %H:%M\"\n    columns: {recorded_at: At, device_id: Dev}\n    quantities: {spo2: Sat}\n"
	trendText   = "Dev,At,Sat\nV1,31/03/2026 14:05,95\nV1,31/03/2026 14:06,195\nV1,soon,94\n"
)

// A trial shows rows as they would be stored and what would be refused, and leaves nothing behind; a store that is there is not
// touched.
func TestDryRun(t *testing.T) {
	p := newPlace(t)
	p.write("in/trend 1.csv", trendText)
	p.write("layout.yaml", trendLayout)
	got := p.run("load", "in", "--layout", "layout.yaml", "--dry-run")
	for _, want := range []string{"record device_id recorded_at quantity value 2 V1 2026-03-31 14:05:00 spo2 95.0 3 spo2 [row refused: out_of_range] 4 [row refused: unreadable]",
		"trend 1.csv readings 3 1 0 2 0 0 out_of_range 1, unreadable 1"} {
		if !strings.Contains(oneLine(got.out), want) {
			t.Errorf("standard output\n%s\nwant %s", got.out, want)
		}
	}
	for _, want := range []string{`layout.yaml line 2: trend 1.csv -> readings, times local to UTC, written %d/%m/%Y %H:%M`, `  readings: spo2 <- "Sat", in %`, "this was a trial: nothing was stored"} {
		if !strings.Contains(got.messages, want) {
			t.Errorf("messages\n%s\nwant %s", got.messages, want)
		}
	}
	if got.code != 0 || len(p.files(".")) != 2 {
		t.Errorf("code %d, files %v", got.code, p.files("."))
	}
	p.good("load", "in", "--layout", "layout.yaml")
	before := p.read(defaultStore)
	p.good("load", "in", "--layout", "layout.yaml", "--dry-run", "--format", "json")
	if p.read(defaultStore) != before {
		t.Error("the store was touched")
	}
	if p.run("load", "in", "--layout", "layout.yaml", "--dry-run", "--strict").code != exitRefused {
		t.Error("a strict trial that refuses rows ends with another code")
	}
}

// A layout that is wrong is wrong use: one line with its file and line.
func TestWrongLayout(t *testing.T) {
	p := newPlace(t)
	p.write("in/trend 1.csv", trendText)
	p.write("layout.yaml", strings.Replace(trendLayout, "spo2", "sp02", 1))
	p.bad(exitUsage, `layout.yaml: line 6, sources[1].quantities.sp02: "sp02" is no quantity; did you mean spo2?`, "load", "in", "--layout", "layout.yaml")
	p.bad(exitUsage, "nowhere.yaml: cannot be read; name a YAML file with --layout", "load", "in", "--layout", "nowhere.yaml")
	if _, err := os.Stat(filepath.Join(p.dir, defaultStore)); err == nil {
		t.Error("a store was made")
	}
}
