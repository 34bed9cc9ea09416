package reports

import (
	"fmt"

	"tripwake/queries"
	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// mark is what was changed or agreed, as charts show it: by a number above its month, with its text under the chart.
type mark struct {
	number  int
	month   string
	measure string // empty where it concerns all
	text    string // with what kind of mark it is and what became of it
}

// flag says what the number above a chart stands for.
type flag struct {
	Number int
	Text   string
}

// flagsShown is how many texts stand under one chart, the latest; the others are in the list of notes.
const flagsShown = 6

// notesOf sorts the notes as they stood at the end of a month and numbers them; charts bear the same numbers.
func notesOf(notes []queries.Note, month string) (notesPart, []mark) {
	p := notesPart{
		Changes: table{Caption: "Changes, numbered as on the charts", Wide: true, Head: columns("Number", "Date", "Measure", "What was changed", "By whom")},
		Open:    table{Caption: "Open actions, numbered as on the charts", Wide: true, Head: columns("Number", "Since", "Measure", "What was agreed", "By whom")},
		Closed:  table{Caption: "Closed actions, numbered as on the charts", Wide: true, Head: columns("Number", "Since", "Closed", "Measure", "What was agreed", "By whom")},
		None:    len(notes) == 0,
	}
	var marks []mark
	for i, n := range notes {
		number, subject, kind := fmt.Sprint(i+1), subjectOf(n), n.Kind
		switch {
		case n.Kind == "change":
			p.Changes.add("", number, n.NotedOn, subject, n.Text, n.Owner)
		case openAt(n, month):
			kind = "open action"
			p.Open.add("", number, n.NotedOn, subject, n.Text, n.Owner)
		default:
			kind = "action, closed " + n.ClosedOn
			p.Closed.add("", number, n.NotedOn, n.ClosedOn, subject, n.Text, n.Owner)
		}
		marks = append(marks, mark{i + 1, n.Month, n.Measure, fmt.Sprintf("%s, %s: %s", n.NotedOn, kind, n.Text)})
	}
	return p, marks
}

func subjectOf(n queries.Note) string {
	if n.Measure == "" {
		return "All"
	}
	return capital(reasonWords(n.Measure))
}

// openAt says that an action was open at the end of a month: one closed later was.
func openAt(n queries.Note, month string) bool {
	return n.Kind != "change" && (n.ClosedOn == "" || n.ClosedOn[:len(month)] > month)
}

// alarmMeasures are those whose charts bear the changes of alarm defaults.
var alarmMeasures = []string{"alarms_per_hour", "high_priority_alarms_per_hour", "repeat_alarms", "alarm_flood", "alarming_time"}

// markDefaults puts changes of alarm defaults that the records show beside those that the team noted, with numbers that go
// on, and marks them on the charts of the alarms.
func (a *artist) markDefaults(p *notesPart, f facts) {
	next := len(f.notes) + 1
	for i, c := range f.watch.changes {
		text := "found in the alarm log: " + lower(c.Sentence())
		for _, id := range alarmMeasures {
			a.marks = append(a.marks, mark{next + i, c.Month, id, c.Month + ", " + text})
		}
		p.Changes.add("", fmt.Sprint(next+i), c.Month, "Alarms", capital(text), "")
		p.None = false
	}
}

// on says whether a mark concerns a measure.
func (m mark) on(d measures.Definition) bool { return m.measure == "" || m.measure == d.ID }

// place is the point of a chart above which a mark stands: that of its month; on charts of rare events, whose points are events, the
// first event from that month on. It is negative where there is none.
func (m mark) place(s measures.Series) int {
	rare := s.Kind == measures.ChartG || s.Kind == measures.ChartT
	for i, p := range s.Points {
		if p.Month == m.month || rare && p.Month > m.month {
			return i
		}
	}
	return -1
}

// notesOn are the marks of a chart.
func (a *artist) notesOn(s measures.Series) []charts.Note {
	var notes []charts.Note
	for _, m := range a.marks {
		if at := m.place(s); at >= 0 && m.on(s.Definition) {
			notes = append(notes, charts.Note{At: at, Number: m.number})
		}
	}
	return notes
}

// flagsOn are the texts of a chart's marks, and how many there are beside them.
func (a *artist) flagsOn(s measures.Series) (flags []flag, others int) {
	for _, m := range a.marks {
		if m.on(s.Definition) && m.place(s) >= 0 {
			flags = append(flags, flag{m.number, m.text})
		}
	}
	if others = len(flags) - flagsShown; others <= 0 {
		return flags, 0
	}
	return flags[others:], others
}
