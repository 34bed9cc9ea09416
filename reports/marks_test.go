package reports

import (
	"slices"
	"strings"
	"testing"

	"tripwake/queries"
	"tripwake/queries/measures"
)

func seriesOfMonths(measure string, kind measures.ChartKind, months ...string) measures.Series {
	d, err := measures.Find(measure)
	if err != nil {
		panic(err)
	}
	s := measures.Series{Definition: d, Kind: kind}
	for _, m := range months {
		s.Points = append(s.Points, measures.Point{Month: m})
	}
	return s
}

var agreed = []queries.Note{
	{NotedOn: "2026-01-10", Month: "2026-01", Measure: "declined", Kind: "change", Text: "Second crew"},
	{NotedOn: "2026-02-01", Month: "2026-02", Kind: "action", Text: "Ask dispatch", Owner: "Lead"},
	{NotedOn: "2026-02-03", Month: "2026-02", Kind: "action", Text: "Read", ClosedOn: "2026-03-01", Measure: "trip_time"},
	{NotedOn: "2026-02-04", Month: "2026-02", Kind: "action", Text: "Call", ClosedOn: "2026-02-28", Measure: "trip_time"},
}

// In the report of February an action closed in March was still open; that of April has it closed.
func TestActionsStandAsTheyStoodThen(t *testing.T) {
	for month, want := range map[string][2]int{"2026-02": {2, 1}, "2026-04": {1, 2}} {
		p, marks := notesOf(agreed, month)
		if len(p.Open.Rows) != want[0] || len(p.Closed.Rows) != want[1] || len(p.Changes.Rows) != 1 || len(marks) != 4 {
			t.Errorf("%s: %d open, %d closed, want %v", month, len(p.Open.Rows), len(p.Closed.Rows), want)
		}
	}
}

// A note of a measure stands on its charts alone, one for all on every chart; months without a point bear none, and on charts of rare
// events a note stands above the first event from its month on.
func TestNotesStandOnTheirCharts(t *testing.T) {
	_, marks := notesOf(agreed, "2026-04")
	a := &artist{marks: marks}
	for _, c := range []struct {
		name    string
		series  measures.Series
		numbers []int
		at      int
	}{
		{"declined", seriesOfMonths("declined", measures.ChartP, "2025-12", "2026-01", "2026-02"), []int{1, 2}, 1},
		{"stabilization", seriesOfMonths("stabilization_time", measures.ChartRun, "2026-01", "2026-02"), []int{2}, 1},
		{"trip", seriesOfMonths("trip_time", measures.ChartRun, "2026-02"), []int{2, 3, 4}, 0},
		{"too early", seriesOfMonths("trip_time", measures.ChartRun, "2025-02"), nil, 0},
		{"events", seriesOfMonths("unplanned_extubation", measures.ChartG, "2025-02", "2025-03", "2026-05", "2026-06"), []int{2}, 2},
	} {
		notes := a.notesOn(c.series)
		flags, others := a.flagsOn(c.series)
		var numbers []int
		for i, n := range notes {
			numbers = append(numbers, n.Number)
			if flags[i].Number != n.Number {
				t.Errorf("%s: flag %d under the chart, %d above it", c.name, flags[i].Number, n.Number)
			}
		}
		if !slices.Equal(numbers, c.numbers) || others != 0 || len(notes) > 0 && notes[0].At != c.at {
			t.Errorf("%s: got numbers %v at %v, want %v, the first at %d", c.name, numbers, notes, c.numbers, c.at)
		}
	}
}

// Many notes: the latest texts stand under the chart, and how many there are beside them is said.
func TestManyNotesAreCounted(t *testing.T) {
	var notes []queries.Note
	for range 9 {
		notes = append(notes, queries.Note{NotedOn: "2026-01-10", Month: "2026-01", Kind: "change", Text: "x"})
	}
	_, marks := notesOf(notes, "2026-01")
	flags, others := (&artist{marks: marks}).flagsOn(seriesOfMonths("declined", measures.ChartP, "2026-01"))
	if len(flags) != flagsShown || others != 3 || flags[0].Number != 4 {
		t.Errorf("got %v and %d others, want numbers 4 to 9 and 3 others", flags, others)
	}
}

// The text of a note is under its chart and in the list, as text.
func TestNotesAreTold(t *testing.T) {
	doc := cached(t, "")
	for _, want := range []string{`<span class="flag">1</span> 2025-04-02, change: New bag`, `<span class="flag">2</span> 2025-05-02, open action: Read the log`,
		`<th scope="row">2</th><td>2025-05-02</td><td>All</td><td>Read the log</td>`, `<a href="#notes">Open actions: 1.</a>`} {
		if !strings.Contains(doc, want) {
			t.Errorf("missing: %s", want)
		}
	}
	if charts, flags := strings.Count(doc, "chart-control")+strings.Count(doc, "chart-rare"), strings.Count(doc, `<span class="flag">2</span>`); flags < 30 || flags > charts {
		t.Errorf("the note for all stands under %d of %d charts", flags, charts)
	}
}
