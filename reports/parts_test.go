package reports

import (
	"slices"
	"strings"
	"testing"
)

// Whatever is asked for, a report begins with the month and ends with how to read it; parts without content are left away.
func TestPartsInTheOrderAskedFor(t *testing.T) {
	sections := []section{{ID: "section-harm"}, {ID: "section-time"}}
	for asked, want := range map[string]string{
		"notes harm": "month notes harm method", "method month": "month method", "time gas measures harm": "month time measures harm method",
	} {
		var names []string
		for _, p := range partsOf(Input{Parts: strings.Fields(asked)}, sections) {
			names = append(names, p.Name)
			if (p.Section != nil) != slices.Contains([]string{"harm", "time"}, p.Name) {
				t.Errorf("%s: section %v", p.Name, p.Section)
			}
		}
		if got := strings.Join(names, " "); got != want {
			t.Errorf("%s: got %s, want %s", asked, got, want)
		}
	}
	if err := CheckParts(Parts()); err != nil {
		t.Error(err)
	}
}

// A short print has the measures with a signal or apart from before, what stands out, the way on from an alarm signal, and the first cases.
func TestWhatAShortPrintLeavesOut(t *testing.T) {
	sections := []section{
		{ID: "section-harm", Measures: []measureView{{}, {Findings: []finding{{}}}, {apart: true}}, Figures: []figure{{}}},
		{ID: "section-alarms", Measures: []measureView{{Findings: []finding{{}}}}, Figures: []figure{{ofAlarms: true}, {}}},
		{ID: "section-gas", Measures: []measureView{{}}, Figures: []figure{{}, {telling: true}}},
		{ID: "section-time", Measures: []measureView{{}}, Figures: []figure{{ofAlarms: true}}},
		{ID: "section-cases", Figures: make([]figure, printedCases+3)},
	}
	if quiet, cases := shorten(sections); quiet != 3 || cases != 3 {
		t.Errorf("%d measures and %d cases left out, want 3 and 3", quiet, cases)
	}
	harm, alarms, gas, time, cases := sections[0], sections[1], sections[2], sections[3], sections[4]
	for name, wrong := range map[string]bool{
		"harm":   harm.More || !harm.Measures[0].More || harm.Measures[1].More || harm.Measures[2].More || !harm.Figures[0].More,
		"alarms": alarms.Figures[0].More || !alarms.Figures[1].More, "gas": gas.More || gas.Figures[1].More || !gas.Figures[0].More,
		"time": !time.More, "cases": cases.Figures[printedCases-1].More || !cases.Figures[printedCases].More,
	} {
		if wrong {
			t.Errorf("%s: %+v", name, sections)
		}
	}
}

func TestDeadLinksBecomeWords(t *testing.T) {
	got := string(withoutDeadLinks([]byte(`<p id="here"><a href="#here">x</a>, <a href="#gone">y &amp; z</a></p>`)))
	if want := `<p id="here"><a href="#here">x</a>, y &amp; z</p>`; got != want {
		t.Errorf("got %s", got)
	}
}

// A long table says how many rows it leaves out and where they are; totals, what stands out and what links lead to stay.
func TestLongTablesAreCut(t *testing.T) {
	t1 := table{Head: columns("Device", "n#")}
	t1.part("Devices")
	for i := range 10 {
		t1.add("", string(rune('a'+i)), "1")
	}
	t1.Rows[9].Keep = true
	t1.add("total", "all", "10")
	var names []string
	for _, row := range t1.atMost(3, "elsewhere").Rows {
		names = append(names, row.Cells[0].Text)
	}
	if got, want := strings.Join(names, " "), "Devices a b c and 6 others: elsewhere i all"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
	months := table{Head: columns("Month")}
	for _, m := range []string{"2026-01", "2026-02", "2026-03", "2026-04", "2026-05"} {
		months.add("", m)
	}
	cut := months.atMost(2, "elsewhere").Rows
	if len(cut) != 3 || cut[0].Cells[0].Text != "and 3 others: elsewhere" || cut[1].Cells[0].Text != "2026-04" {
		t.Errorf("of months the latest stay: got %+v", cut)
	}
	if same := months.atMost(4, "elsewhere").Rows; len(same) != 5 {
		t.Errorf("one row too many is no reason to cut: got %d rows", len(same))
	}
}
