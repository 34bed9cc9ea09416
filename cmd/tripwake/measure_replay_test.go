package main

import (
	"strings"
	"testing"

	"tripwake/queries/measures"
)

// Four readings of SpO2 a minute apart, of which each holds a minute: 95, 87, 86, 96. Below 88 is one excursion of 2 min, below 87
// one of 1 min, and below 86 none.
func replayPlace(t *testing.T) *place {
	p := smallPlace(t)
	p.write("in/readings-m1.csv", "transport_id,device_id,recorded_at,quantity,value\n"+
		"T1,M1,2026-01-05 11:00,spo2,95\nT1,M1,2026-01-05 11:01,spo2,87\nT1,M1,2026-01-05 11:02,spo2,86\nT1,M1,2026-01-05 11:03,spo2,96\n")
	p.good("load", "in")
	return p
}

func TestReplayCommand(t *testing.T) {
	p := replayPlace(t)
	rows := objects[measures.ReplayRow](t, p.good("measure", "--replay", "spo2", "--side", "low", "--limits", "86:88:1", "--delays", "0s,90s", "--format", "json"))
	if len(rows) != 6 {
		t.Fatalf("got %d rows, want three limits with two delays", len(rows))
	}
	for i, want := range []int{0, 0, 1, 0, 1, 1} {
		r := rows[i]
		if r.Onsets != want || r.Limit != float64(86+i/2) || r.Delay != float64(90*(i%2)) || r.Side != "low" || r.Unit != "%" || r.Population != 1 {
			t.Errorf("row %d: got %+v, want %d onsets", i, r, want)
		}
	}
	if got := p.good("measure", "--replay", "spo2", "--side", "high", "--limits", "90:90:1", "--format", "csv"); !strings.HasPrefix(got, "quantity,side,limit,unit,delay,onsets") || !strings.Contains(got, "spo2,high,90,%,0,3,1,1,") {
		t.Errorf("got %s", got)
	}
	if got := p.good("measure", "--replay", "spo2", "--side", "low", "--limits", "80:90:2"); !strings.Contains(got, "per hour") {
		t.Errorf("got %s", got)
	}
}

func TestReplayCommandRefuses(t *testing.T) {
	p := replayPlace(t)
	for words, args := range map[string][]string{
		"charm":                                 {"--replay", "charm", "--side", "low", "--limits", "1:2:1"},
		"--side":                                {"--replay", "spo2", "--limits", "1:2:1"},
		"--limits":                              {"--replay", "spo2", "--side", "low", "--limits", "1:2"},
		"at most 200":                           {"--replay", "spo2", "--side", "low", "--limits", "1:90:0.1"},
		"--delays":                              {"--replay", "spo2", "--side", "low", "--limits", "1:2:1", "--delays", "-3s"},
		"different":                             {"--replay", "spo2", "--side", "low", "--limits", "1:2:1", "--delays", "3s,3s"},
		"--delays: expected --replay beside it": {"--delays", "3s"},
		"no measure":                            {"--replay", "spo2", "--side", "low", "--limits", "1:2:1", "trip_time"},
		"--cases":                               {"--cases", "--by", "month"},
		"--name-transports: expected --supplies or --cases beside it": {"--name-transports"},
	} {
		p.bad(exitUsage, words, append([]string{"measure"}, args...)...)
	}
}

// The cases that the report names are those of the command, under the same names.
func TestCasesCommand(t *testing.T) {
	p := smallPlace(t)
	p.write("in/events.csv", "event_id,transport_id,kind,harm\nE1,T1,unplanned_extubation,severe\n")
	p.good("load", "in")
	rows := objects[measures.CaseRow](t, p.good("measure", "--cases", "--format", "json", "--name-transports"))
	if len(rows) != 1 || rows[0].Transport != "T1" || rows[0].Reasons[0] != "serious_events" || rows[0].Month != "2026-01" {
		t.Errorf("got %+v, want T1 with a serious event in January", rows)
	}
	if got := p.good("measure", "--cases"); strings.Contains(got, "T1") {
		t.Errorf("a transport under its own name: %s", got)
	}
	if got := p.good("measure", "--cases", "--month", "2026-02", "--format", "csv"); got != "transport,month,reasons\n" {
		t.Errorf("February has no case, got %q", got)
	}
}
