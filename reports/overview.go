package reports

import (
	"fmt"
	"html/template"
	"strings"

	"tripwake/queries"
	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// overview is the first page.
type overview struct {
	Done      string // what was done, in one sentence
	Activity  table
	Standings []finding
	Apart     table  // measures far from the months before though no chart signals
	Expect    string // how many false signals to expect
	Cases     table
	NoCases   bool
}

// finding is one signal in words.
type finding struct {
	Class, Verdict, Sentence, Months, Cases string
}

func overviewOf(in Input, f facts) overview {
	activity := measures.ActivityOf(f.activity, in.Month)
	o := overview{Done: doneWords(activity, in.Month), Activity: activityTable(activity), Apart: apartTable(f.review), Expect: expectWords(f.review)}
	for _, s := range f.standings {
		o.Standings = append(o.Standings, findingOf(in, s))
	}
	o.Cases, o.NoCases = casesTable(in, f.cases), len(f.cases) == 0
	return o
}

func doneWords(a measures.Activity, month string) string {
	if a.All.All == 0 {
		return "No transport was asked for in " + measures.MonthWords(month) + "."
	}
	return fmt.Sprintf("%s: %s asked for, %d completed, %d cancelled, %d declined.", measures.MonthWords(month),
		plural(a.All.All, "transport"), a.All.Completed, a.All.Cancelled, a.All.Declined)
}

func activityTable(a measures.Activity) table {
	t := table{Caption: "Transports of the month", Head: columns("", "Completed#", "Cancelled#", "Declined#", "All#")}
	for _, part := range []struct {
		name string
		rows []measures.Tally
	}{{"By vehicle", a.Vehicles}, {"By urgency", a.Urgencies}} {
		if len(part.rows) == 0 {
			continue
		}
		t.part(part.name)
		for _, row := range part.rows {
			t.tally("", row)
		}
	}
	t.tally("total", a.All)
	return t
}

func (t *table) tally(class string, row measures.Tally) {
	t.add(class, words(row.Name), fmt.Sprint(row.Completed), fmt.Sprint(row.Cancelled), fmt.Sprint(row.Declined), fmt.Sprint(row.All))
}

func findingOf(in Input, s standing) finding {
	f := finding{Class: s.Signal.Verdict, Verdict: capital(s.Signal.Verdict), Sentence: s.Sentence, Months: spanWords(s.Signal.Months)}
	f.Cases = casesWords(in, s)
	return f
}

// enough cases of one signal to name on the first page.
const enough = 10

func casesWords(in Input, s standing) string {
	switch {
	case s.Signal.Verdict == "better":
		return ""
	case everyTransport(s.Definition):
		return "every transport of these months"
	}
	var names []string
	for i, c := range s.cases {
		if i == enough {
			names = append(names, "and others")
			break
		}
		names = append(names, in.name(c.TransportID))
	}
	return strings.Join(names, ", ")
}

// everyTransport says that a measure is made of something that every transport has, so that none stands out as a case.
func everyTransport(d measures.Definition) bool {
	return d.Kind == measures.Time || d.Kind == measures.Ratio || d.Section == "alarms" && d.ID != "alarm_flood"
}

// apartTable lists the measures far from the months before though no chart signals.
func apartTable(r measures.Review) table {
	t := table{Caption: "No signal on a chart, but apart from the months before", Head: columns("Measure", "Unit", "This month (95 %)#", "Before (95 %)#", "n#")}
	for _, item := range r.Apart() {
		d := item.Definition
		t.add("", d.Title, d.Unit, withInterval(d, item.Now), withInterval(d, item.Before), fmt.Sprint(item.Now.N))
	}
	return t
}

func withInterval(d measures.Definition, r measures.Row) string {
	return fmt.Sprintf("%s (%s)", d.Text(r.Value, r.N), d.IntervalText(r))
}

// expectWords say how many false signals so many charts give.
func expectWords(r measures.Review) string {
	if r.Judged == 0 {
		return "No chart has enough months yet for its rules to be applied."
	}
	return fmt.Sprintf("%s could be judged by rules. If nothing had changed at all, about %.1f of these would still show a signal that takes in this month: "+
		"a signal is a question, not a finding.", plural(r.Judged, "chart"), r.FalseSignals)
}

func casesTable(in Input, cases []queries.Case) table {
	t := table{Caption: "Transports to read, gravest reason first", Head: columns("Transport", "Why")}
	for _, c := range measures.ByGravity(cases) {
		var why []string
		for _, id := range c.Reasons {
			why = append(why, reasonWords(id))
		}
		t.add("", in.name(c.TransportID), capital(strings.Join(why, "; ")))
		t.lead(caseID(in, c.TransportID))
	}
	return t
}

func reasonWords(id string) string {
	d, err := measures.Find(id)
	if err != nil {
		return words(id)
	}
	return lower(d.Title)
}

// measuresTable is every measure in one line: this month, the months before, the months as a small line, and the signal.
func (a *artist) measuresTable(r measures.Review) (table, error) {
	t := table{Caption: "Every measure: this month and the months before", Class: "measures", Wide: true}
	t.Head = columns("Measure", "Signal", "This month#", "Unit", "95 % interval#", "n#", "Months before#", "95 % interval#", "By month")
	section := ""
	for _, item := range r.Items {
		d := item.Definition
		if d.Section != section {
			section = d.Section
			t.part(capital(section))
		}
		t.add("", d.Title, statusWords(item, r.Month), orDash(d.Text(item.Now.Value, item.Now.N)), d.Unit, d.IntervalText(item.Now),
			fmt.Sprint(item.Now.N), orDash(d.Text(item.Before.Value, item.Before.N)), d.IntervalText(item.Before), "")
		spark, err := a.spark(item)
		if err != nil {
			return t, err
		}
		t.draw(spark)
	}
	return t, nil
}

func statusWords(item measures.Item, month string) string {
	word := item.Word(month)
	if item.Now.N > 0 && item.Now.Warning != "" {
		word += "; see warning"
	}
	return word
}

// spark draws the months of a measure as a small line, where there are at least two.
func (a *artist) spark(item measures.Item) (template.HTML, error) {
	var y []float64
	filled := 0
	for _, row := range item.Months {
		if row.Value == nil {
			y = append(y, charts.Missing())
			continue
		}
		y, filled = append(y, *row.Value), filled+1
	}
	if filled < 2 {
		return "", nil
	}
	svg, err := a.renderer.Spark(charts.Spark{Y: y, Floor: sparkFloor(item.Definition), Frame: charts.Frame{
		ID: "spark-" + strings.ReplaceAll(item.Definition.ID, "_", "-"), Title: item.Definition.Title + " by month",
		Desc: "Small line of the months; the numbers are in the section of the measure.",
	}})
	return picture(svg), err
}

// sparkFloor lets counts and shares start at zero; times and ratios, which never come near it, show their own range.
func sparkFloor(d measures.Definition) *float64 {
	if d.Kind == measures.Time || d.Kind == measures.Ratio {
		return nil
	}
	return charts.At(0)
}
