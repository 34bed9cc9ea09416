package main

import (
	"bytes"
	"encoding/json"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// inventedPlace is a folder with a store of invented records.
func inventedPlace(t *testing.T, transports string) *place {
	t.Helper()
	p := newPlace(t, "TRIPWAKE_TIME_ZONE=America/Chicago")
	p.good("invent", "--out", "in", "--transports", transports, "--every", "10m")
	p.good("load", "in")
	return p
}

// Two runs give the same bytes, and standard error says how well transports are hidden and what the extract is not.
func TestExtract(t *testing.T) {
	p := inventedPlace(t, "120")
	got := p.run("extract", "--out", "one")
	if got.code != 0 || strings.Count(got.out, "\n") != 21 {
		t.Fatalf("exit %d, %s%s", got.code, got.out, got.messages)
	}
	for _, words := range []string{"shared by at least", "weight_band withheld", "no legal finding"} {
		if !strings.Contains(got.messages, words) {
			t.Errorf("messages lack %q: %s", words, got.messages)
		}
	}
	p.good("extract", "--out", "two")
	p.good("extract", "--out", "two")
	if !maps.Equal(p.files("one"), p.files("two")) {
		t.Error("two runs gave different bytes")
	}
	p.bad(exitUsage, "--out", "extract")
	p.bad(exitUsage, "extract_k", "extract", "--out", "three", "--extract-k", "0")
	p.bad(exitUsage, "extract_age_limits", "extract", "--out", "three", "--extract-age-limits", "29, 7")
	p.write("mine/thesis.txt", "do not touch")
	p.bad(exitFailed, "holds no earlier extract", "extract", "--out", "mine")
	p.bad(exitFailed, "nothing can be released", "extract", "--out", "three", "--extract-k", "1000")
}

// The cohort of the settings bounds the extract, and its hash stands in the manifest; its words do not.
func TestExtractOfACohort(t *testing.T) {
	p := inventedPlace(t, "120")
	of := func(out string, args ...string) (m struct {
		Cohort  string `json:"cohort_sha256"`
		Classes struct{ Transports, Released int }
	}) {
		p.good(append([]string{"extract", "--out", out}, args...)...)
		if err := json.Unmarshal([]byte(p.read(out+"/manifest.json")), &m); err != nil {
			t.Fatal(err)
		}
		return m
	}
	all, some := of("all"), of("some", "--cohort-only")
	if all.Cohort != "" || len(some.Cohort) != 64 || some.Classes.Transports >= all.Classes.Transports || some.Classes.Transports == 0 {
		t.Errorf("%+v, %+v: want fewer transports with --cohort-only", all, some)
	}
	if text := p.read("some/manifest.json"); strings.Contains(text, "Completed transports") {
		t.Error("the manifest holds the words of the cohort")
	}
}

func TestForgetCommand(t *testing.T) {
	p := smallPlace(t)
	p.good("load", "in")
	p.bad(exitUsage, "either a transport", "forget")
	p.bad(exitUsage, "either a transport", "forget", "--transport", "T1", "--patient", "P")
	p.bad(exitFailed, "no such file", "forget", "--transport", "T1", "--store", "none.duckdb")
	if out := p.good("forget", "--transport", "T1"); !strings.Contains(out, "transports: 1 rows erased") || !strings.Contains(out, "readings: 1 rows erased") {
		t.Errorf("printed %q", out)
	}
	if got := p.run("ledger"); !strings.Contains(got.messages, "forgotten on request: 1 transports") || strings.Contains(got.out+got.messages, "T1") {
		t.Errorf("ledger: %s%s", got.out, got.messages)
	}
	before := p.ledgerOf("ledger")
	p.good("load", "in")
	for name, line := range p.ledgerOf("ledger") {
		if line.Stored != before[name].Stored || line.Read != line.Stored+line.Repeated+line.Refused {
			t.Errorf("%s: %+v, before %+v", name, line, before[name])
		}
	}
	if err := os.Remove(filepath.Join(p.dir, "tripwake.duckdb.key")); err != nil {
		t.Fatal(err)
	}
	p.bad(exitFailed, "key", "forget", "--transport", "T2")
	p.bad(exitFailed, "key", "load", "in")
}

// Killed at any moment, a forgetting leaves a store that works; run again, it ends with no byte left.
func TestForgetKilled(t *testing.T) {
	p := inventedPlace(t, "40")
	path := filepath.Join(p.dir, "tripwake.duckdb")
	whole, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	id := strings.Split(strings.SplitN(p.read("in/"+firstTransports(t, p)), "\n", 3)[1], ",")[0]
	if !bytes.Contains(whole, []byte(id)) {
		t.Fatalf("%q is not in the store", id)
	}
	for _, after := range []time.Duration{0, 30, 60, 90, 120, 160, 200, 300} {
		if err := os.WriteFile(path, whole, 0o600); err != nil {
			t.Fatal(err)
		}
		cmd := exec.Command(os.Args[0], "forget", "--transport", id)
		cmd.Dir, cmd.Env = p.dir, append(os.Environ(), asProgram+"=1")
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(after * time.Millisecond)
		_ = cmd.Process.Kill() // it may have ended
		_ = cmd.Wait()
		p.good("ledger")
		p.good("forget", "--transport", id)
		names, err := filepath.Glob(path + "*")
		if err != nil {
			t.Fatal(err)
		}
		for _, name := range names {
			if text, err := os.ReadFile(name); err != nil || bytes.Contains(text, []byte(id)) {
				t.Errorf("killed after %v: %s still holds %q (%v)", after*time.Millisecond, filepath.Base(name), id, err)
			}
		}
	}
}

// firstTransports names the export whose header is that of the contract.
func firstTransports(t *testing.T, p *place) string {
	t.Helper()
	found := p.files("in")
	for _, name := range slices.Sorted(maps.Keys(found)) {
		if strings.HasPrefix(name, "transports") && strings.HasPrefix(found[name], "transport_id,") {
			return name
		}
	}
	t.Fatal("no plain export of transports")
	return ""
}
