package main

import (
	"encoding/csv"
	"path/filepath"
	"strings"
	"testing"

	"tripwake/pipeline/draft"
)

// export is the folder of one invented export.
func export(t *testing.T, name string) string {
	t.Helper()
	path, err := filepath.Abs(filepath.Join(invented, name, "in"))
	if err != nil {
		t.Fatal(err)
	}
	return path
}

// A draft goes to standard output, or to a new file; a file that is there is never written over.
func TestDraftOut(t *testing.T) {
	p := newPlace(t)
	text := p.good("draft", export(t, "dispatch-us"))
	if p.good("draft", export(t, "dispatch-us"), "--out", "layout.yaml") != "" || p.read("layout.yaml") != text || !strings.Contains(text, "table: transports") {
		t.Errorf("the file and standard output differ:\n%s", text)
	}
	p.bad(exitFailed, "the file exists", "draft", export(t, "kit-list"), "--out", "layout.yaml")
	if p.read("layout.yaml") != text {
		t.Error("a layout was written over")
	}
	p.bad(exitUsage, "missing PATH", "draft")
	p.bad(exitFailed, "no such file", "draft", "nowhere")
}

// A draft without open decisions loads as it is; one with a decision is refused on the line that was named, until it is decided.
func TestDraftThenLoad(t *testing.T) {
	p := newPlace(t)
	p.good("draft", export(t, "dispatch-us"), "--out", "us.yaml")
	lines := objects[ledgerLine](t, p.good("load", export(t, "dispatch-us"), "--layout", "us.yaml", "--format", "json"))
	if lines[0].Stored != 70 || lines[0].CellsRefused > 0 {
		t.Errorf("%+v, expected 70 rows without a refused cell", lines[0])
	}
	got := p.run("draft", export(t, "dispatch-undecided-dates"), "--out", "dates.yaml")
	if got.code != 0 || !strings.Contains(got.messages, "line 10, time_format, must be decided") {
		t.Errorf("exit %d\n%s", got.code, got.messages)
	}
	refused := p.run("load", export(t, "dispatch-undecided-dates"), "--layout", "dates.yaml")
	if refused.code == 0 || !strings.Contains(refused.messages, "line 10") {
		t.Errorf("exit %d\n%s", refused.code, refused.messages)
	}
	p.write("decided.yaml", strings.Replace(p.read("dates.yaml"), "time_format: decide", `time_format: "%d/%m/%Y %H:%M"`, 1))
	lines = objects[ledgerLine](t, p.good("load", export(t, "dispatch-undecided-dates"), "--layout", "decided.yaml", "--format", "json"))
	if lines[0].Stored != 57 || lines[0].CellsRefused > 0 {
		t.Errorf("%+v, expected 57 rows without a refused cell", lines[0])
	}
}

// The scores come in three formats that say the same.
func TestDraftScores(t *testing.T) {
	p := newPlace(t)
	folder := export(t, "cylinders-psi")
	all := objects[draft.Score](t, p.good("draft", folder, "--scores", "--format", "json"))
	rows, err := csv.NewReader(strings.NewReader(p.good("draft", folder, "--scores", "--format", "csv"))).ReadAll()
	if err != nil || len(rows) != len(all)+1 || len(strings.Split(strings.TrimSpace(p.good("draft", folder, "--scores")), "\n")) != len(rows) {
		t.Errorf("%d scores in JSON, %d lines of CSV (%v)", len(all), len(rows), err)
	}
	taken := 0
	for _, s := range all {
		if s.Total < 0 || s.Total > 1 {
			t.Errorf("%+v: a score lies from 0 to 1", s)
		}
		if s.Taken {
			taken++
		}
	}
	if taken != 6 {
		t.Errorf("%d columns are taken, expected 6", taken)
	}
	p.bad(exitUsage, "--format", "draft", folder, "--scores", "--format", "xml")
}
