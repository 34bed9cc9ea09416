package main

import (
	"strings"
	"testing"

	"tripwake/queries/measures"
)

// A list means the same in the file, in the environment and as a flag.
func TestRebaselineFromEverySource(t *testing.T) {
	p := newPlace(t)
	const want = `[{"measure":"declined","month":"2026-01","reason":"second vehicle"}]`
	p.write(settingsFile, "rebaseline:\n  - {month: 2026-01, measure: declined, reason: second vehicle}\n")
	if got := inForce(p, "rebaseline"); got.Value != want || got.From != settingsFile {
		t.Errorf("file: got %+v", got)
	}
	p.env = []string{"TRIPWAKE_REBASELINE=" + want}
	if got := inForce(p, "rebaseline"); got.Value != want || got.From != "TRIPWAKE_REBASELINE" {
		t.Errorf("environment: got %+v", got)
	}
	if got := inForce(p, "rebaseline", "--rebaseline", "[]"); got.Value != "[]" {
		t.Errorf("flag: got %+v", got)
	}
}

func TestLimitSettingsRoundTrip(t *testing.T) {
	p := newPlace(t)
	list := `[{"month":"2026-01","measure":"all","reason":"new: \"quiet\" alarms","until":"2026-06"}]`
	p.write(settingsFile, p.good("settings", "--rebaseline", list, "--baseline-to", "2025-12", "--risk-baseline-to", "2025-11"))
	var s settings
	if err := takeRebaseline(&s, inForce(p, "rebaseline").Value); err != nil || len(s.limits.Restarts) != 1 || s.limits.Restarts[0].Reason != `new: "quiet" alarms` {
		t.Errorf("got %+v, %v", s.limits, err)
	}
	if inForce(p, "baseline_to").Value != "2025-12" || inForce(p, "risk_baseline_to").Value != "2025-11" {
		t.Error("baselines are not kept")
	}
}

func TestLimitSettingsErrorsNameTheKey(t *testing.T) {
	p := newPlace(t)
	for text, want := range map[string]string{
		"rebaseline: [{month: 2026-13, measure: all, reason: x}]":   "setting rebaseline (from tripwake.yaml): entry 1, month: expected a month",
		"rebaseline: [{month: 2026-03, measure: speed, reason: x}]": "entry 1, measure: expected all or the id of a measure",
		"rebaseline: [{month: 2026-03, measure: all}]":              "entry 1, reason: expected",
		"rebaseline: [{month: 2026-03, measure: all, why: x}]":      `unknown field "why"`,
		"rebaseline: soon": "setting rebaseline (from tripwake.yaml): expected a list such as",
		"baseline_from: 2026-03\nbaseline_to: 2026-01":               "setting baseline_to: from 2026-03 to 2026-01",
		"risk_baseline_from: 2026-03":                                "setting risk_baseline_to: expected the last month",
		"risk_baseline_from: 2026-03\nrisk_baseline_to: \"2026-01\"": "setting risk_baseline_to: from 2026-03 to 2026-01",
		"risk_baseline_to: January":                                  "setting risk_baseline_to (from tripwake.yaml): expected a month",
	} {
		p.write(settingsFile, text+"\n")
		p.bad(exitUsage, want, "measure", "declined")
	}
}

// Every key of the JSON form stands in the help, and signals are bounded by --month alone.
func TestMeasureFlagsBesideEachOther(t *testing.T) {
	help := measureHelp()
	for _, key := range []string{"measure", "chart", "rule", "first", "last", "direction", "verdict", "current", "value", "unit", "centre", "lower", "upper", "text"} {
		if !strings.Contains(help, key) {
			t.Errorf("the help does not explain %s", key)
		}
	}
	p := newPlace(t)
	p.bad(exitUsage, "--month: expected --signals or --cases beside it", "measure", "--month", "2026-03")
	p.bad(exitUsage, "--signals: expected no --by", "measure", "--signals", "--by", "vehicle")
	p.bad(exitUsage, "--signals and --explain: expected one of them", "measure", "--signals", "--explain")
	p.bad(exitUsage, "--month: expected a month", "measure", "--signals", "--month", "2026-13")
	p.bad(exitUsage, "--from: expected a month", "measure", "--from", "2026-14")
	p.bad(exitUsage, "--from 2026-04 --to 2026-01: expected a first month", "measure", "--from", "2026-04", "--to", "2026-01")
}

// Explanations need no store.
func TestExplainWithoutAStore(t *testing.T) {
	p := newPlace(t)
	list := objects[measures.Explanation](t, p.good("measure", "--explain", "--format", "json"))
	if len(list) != len(measures.IDs()) || list[0].Source == "" {
		t.Errorf("got %d explanations", len(list))
	}
	if text := p.good("measure", "--explain", "oxygen_per_hour"); !strings.Contains(text, "median over transports of (oxygen used ÷ gas time in hours), in L/h") {
		t.Errorf("got %s", text)
	}
}

// Thirteen months of 40 requests, one declined in each but the last, and 20 in that one: 50 % is beyond any limit of theirs.
func TestSignalsOfAStore(t *testing.T) {
	p := newPlace(t)
	var rows strings.Builder
	rows.WriteString("transport_id,accepted_at,disposition\n")
	for m := range 13 {
		for i := range 40 {
			outcome := "completed"
			if i == 0 || m == 12 && i < 20 {
				outcome = "declined"
			}
			rows.WriteString(strings.Join([]string{month13(m) + "-" + string(rune('A'+i%26)) + string(rune('a'+i/26)), month13(m) + "-10T10:00:00Z", outcome}, ",") + "\n")
		}
	}
	p.write("transports.csv", rows.String())
	p.good("load", "transports.csv")
	found := objects[measures.SignalRow](t, p.good("measure", "declined", "--signals", "--format", "json"))
	if len(found) == 0 || found[0].Measure != "declined" || found[0].First != "2026-01" || !found[0].Current || found[0].Verdict != "worse" || *found[0].Value != 50 {
		t.Errorf("got %+v", found)
	}
	if none := p.good("measure", "declined", "--signals", "--month", "2025-12", "--format", "json"); none != "" {
		t.Errorf("a month before it: got %s", none)
	}
}

// month13 is the month so many after 2025-01.
func month13(m int) string {
	if m == 12 {
		return "2026-01"
	}
	return "2025-" + string(rune('0'+(m+1)/10)) + string(rune('0'+(m+1)%10))
}
