package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// After undoing, ledger and measures are those of a store into which the load never came.
func TestUndoneLoadIsNeverLoaded(t *testing.T) {
	p := newPlace(t, "SOURCE_DATE_EPOCH=1775000000", "TRIPWAKE_TIME_ZONE=America/Chicago")
	p.good("invent", "--out", "all", "--transports", "25", "--every", "1m")
	for name, text := range p.files("all") {
		lines := strings.SplitAfter(text, "\n")
		for part, keep := range map[string]func(i int) bool{
			"first":  func(i int) bool { return i < len(lines)/2 },
			"second": func(i int) bool { return i > len(lines)/4 },
			"third":  func(i int) bool { return i%3 != 0 },
		} {
			kept := lines[0]
			for i, line := range lines[1:] {
				if keep(i + 1) {
					kept += line
				}
			}
			p.write(filepath.Join(part, name), kept)
		}
	}
	for _, part := range []string{"first", "second", "third"} {
		p.good("load", part)
		if part != "second" {
			p.good("load", part, "--store", "never.duckdb")
		}
	}
	got := p.run("load", "--undo", "2", "--format", "json")
	if got.code != 0 || got.out != p.good("ledger", "--store", "never.duckdb", "--format", "json") {
		t.Errorf("exit %d, %s", got.code, got.messages)
	}
	if !strings.HasPrefix(got.messages, "load 2 of 2026-03-31 23:33:20 undone: ") || !strings.Contains(got.messages, "they are rows of those loads now") {
		t.Errorf("messages: %s", got.messages)
	}
	for _, ask := range [][]string{{"measure", "--by", "month", "--format", "json"}, {"ledger", "--format", "json"}} {
		if p.good(ask...) != p.good(append(ask, "--store", "never.duckdb")...) {
			t.Errorf("%v: differs from a store into which the load never came", ask)
		}
	}
	loads := objects[struct {
		Load, Files, Read, Stored int
		UndoneAt                  *string `json:"undone_at"`
	}](t, p.good("ledger", "--loads", "--format", "json"))
	if len(loads) != 3 || loads[0].UndoneAt != nil || loads[1].UndoneAt == nil || loads[1].Files == 0 || loads[1].Read <= loads[1].Stored || loads[1].Stored == 0 {
		t.Errorf("loads: %+v", loads)
	}
	for _, format := range []string{"table", "csv"} {
		if text := p.good("ledger", "--loads", "--format", format); strings.Count(text, "\n") != 4 || !strings.Contains(text, "2026-03-31T23:33:20Z") {
			t.Errorf("%s: %s", format, text)
		}
	}
}

func TestUndoThatCannotBe(t *testing.T) {
	p := smallPlace(t)
	p.bad(exitFailed, "load exports first", "load", "--undo", "1")
	if _, err := os.Stat(filepath.Join(p.dir, defaultStore)); err == nil {
		t.Error("undoing made a store")
	}
	p.good("load", "in")
	p.bad(exitFailed, "load 7: no such load", "load", "--undo", "7")
	p.bad(exitUsage, "--undo 0: expected the number of a load", "load", "--undo", "0")
	p.bad(exitUsage, "--undo", "load", "--undo", "two")
	p.bad(exitUsage, "no PATH beside it", "load", "in", "--undo", "1")
	p.bad(exitUsage, "--loads", "ledger", "--loads", "--strict")
	p.good("load", "--undo", "1")
	p.bad(exitFailed, "was undone before", "load", "--undo", "1")
	if got := p.good("ledger", "--format", "json"); got != "" {
		t.Errorf("a ledger of nothing: %s", got)
	}
	for file, line := range p.ledgerOf("load", "in") {
		if line.Repeated != 0 {
			t.Errorf("%s: %+v: a row of an undone load was found", file, line)
		}
	}
}
