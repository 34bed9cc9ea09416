package reports

import (
	"fmt"
	"html/template"
	"slices"
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
	Others    int    // signals that the first page has no room for
	Apart     table  // measures far from the months before though no chart signals
	Expect    string // how many false signals to expect
	Key       table  // the measures that a committee asks for every month
	Cases     table
	MoreCases string // how many cases the table leaves to others, and where they are
	NoCases   bool
	Open      int // actions
}

// finding is one signal in words, with the cases to read for it and, of an alarm, the way to what lies behind it.
type finding struct {
	Class, Verdict, Sentence, Months string
	Cases                            []link
	Others                           string // cases that are not named
	Trail                            []step
}

// standingsShown is how many signals stand on the first page: those for the worse come first.
const standingsShown = 8

func (a *artist) overviewOf(in Input, f facts) (overview, error) {
	activity := measures.ActivityOf(f.activity, in.Month)
	o := overview{Done: doneWords(activity, in.Month), Activity: activityTable(activity), Apart: apartTable(f.review), Expect: expectWords(f.review)}
	for i, s := range f.standings {
		if i == standingsShown {
			o.Others = len(f.standings) - standingsShown
			break
		}
		o.Standings = append(o.Standings, findingOf(in, f, s))
	}
	for _, n := range f.notes {
		if openAt(n, in.Month) {
			o.Open++
		}
	}
	o.Cases, o.MoreCases = casesTable(in, f)
	o.NoCases = len(f.cases) == 0
	var err error
	o.Key, err = a.keyTable(in, f.review)
	return o, err
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

func findingOf(in Input, f facts, s standing) finding {
	found := finding{Class: s.Signal.Verdict, Verdict: capital(s.Signal.Verdict), Sentence: s.Sentence, Months: spanWords(s.Signal.Months), Trail: f.steps(in, s.trail)}
	for _, c := range s.toRead() {
		found.Cases = append(found.Cases, f.caseLink(in, c.TransportID))
	}
	switch {
	case everyTransport(s.Definition) && s.Signal.Verdict != "better" && s.trail == nil:
		found.Cases = []link{{Text: "every transport of these months"}}
	case len(s.cases) > enough:
		found.Others = plural(len(s.cases)-enough, "other")
	}
	return found
}

// enough cases of one signal to name.
const enough = 5

// toRead are the cases that a signal names: the latest first, for the month under report is read now.
func (s standing) toRead() []queries.Case {
	if s.Signal.Verdict == "better" || everyTransport(s.Definition) {
		return nil
	}
	latest := slices.Clone(s.cases)
	slices.Reverse(latest)
	return latest[:min(enough, len(latest))]
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

// casesShown is how many cases the first page names.
const casesShown = 40

// casesTable puts the cases with the same reasons in one row, gravest reason first.
func casesTable(in Input, f facts) (table, string) {
	t := table{Caption: "Transports to read, gravest reason first", Class: "cases", Head: columns("Why", "Transports")}
	rows := map[string]int{}
	for i, c := range measures.ByGravity(f.cases) {
		if i == casesShown {
			return t, fmt.Sprintf("And %s: tripwake measure --cases --month %s lists all.", plural(len(f.cases)-casesShown, "other"), in.Month)
		}
		var why []string
		for _, id := range c.Reasons {
			why = append(why, reasonWords(id))
		}
		text := capital(strings.Join(why, "; "))
		at, met := rows[text]
		if !met {
			at = len(t.Rows)
			rows[text] = at
			t.add("", text, "")
		}
		cell := &t.Rows[at].Cells[1]
		cell.Links = append(cell.Links, f.caseLink(in, c.TransportID))
	}
	return t, ""
}

func reasonWords(id string) string {
	d, err := measures.Find(id)
	if err != nil {
		return words(id)
	}
	return lower(d.Title)
}

// DefaultKeyMeasures are the measures of the first page where a team names no others: one or two of each section.
func DefaultKeyMeasures() []string {
	return []string{"mobilization_time", "stabilization_time", "hypothermia_on_arrival", "structured_handover", "adverse_events", "serious_events",
		"unplanned_extubation", "died_within_7_days", "alarms_per_hour", "escalations", "oxygen_ratio", "oxygen_reserve_short", "battery_overdrawn",
		"leak_check_passed", "declined_no_equipment"}
}

// keyTable is the measures that a committee asks for every month, on the first page.
func (a *artist) keyTable(in Input, r measures.Review) (table, error) {
	t := table{Caption: "Key measures: this month and its usual range", Class: "measures key", Wide: true}
	t.Head = columns("Measure", "Signal", "This month#", "Unit", "95 % interval#", "n#", usualHead+"#", "By month")
	for _, id := range in.KeyMeasures {
		at := slices.IndexFunc(r.Items, func(it measures.Item) bool { return it.Definition.ID == id })
		if at < 0 {
			continue
		}
		item := r.Items[at]
		d := item.Definition
		t.add("", d.Title, statusWords(item, r.Month), orDash(d.Text(item.Now.Value, item.Now.N)), d.Unit, d.IntervalText(item.Now), fmt.Sprint(item.Now.N), usualCell(item), "")
		t.lead(link{Target: measureID(d)})
		spark, err := a.spark("key-", item)
		if err != nil {
			return t, err
		}
		t.draw(spark)
	}
	return t, nil
}

// usualHead heads the column of usual ranges.
const usualHead = "12 months before"

func usualCell(item measures.Item) string {
	u, ok := item.Usual()
	if !ok {
		return "–"
	}
	text := item.UsualText(u)
	if u.Months < 12 {
		text += fmt.Sprintf(" (%d)", u.Months)
	}
	return text
}

func measureID(d measures.Definition) string { return "measure-" + slug(d.ID) }

// measuresTable is every measure in one line: this month, its usual range, all months before, the months as a small line, and
// the signal.
func (a *artist) measuresTable(r measures.Review) (table, error) {
	t := table{Caption: "Every measure: this month and the months before", Class: "measures", Wide: true}
	t.Head = columns("Measure", "Signal", "This month#", "Unit", "95 % interval#", "n#", usualHead+"#", "All before#", "95 % interval#", "By month")
	section := ""
	for _, item := range r.Items {
		d := item.Definition
		if d.Section != section {
			section = d.Section
			t.part(capital(section))
		}
		t.add("", d.Title, statusWords(item, r.Month), orDash(d.Text(item.Now.Value, item.Now.N)), d.Unit, d.IntervalText(item.Now),
			fmt.Sprint(item.Now.N), usualCell(item), orDash(d.Text(item.Before.Value, item.Before.N)), d.IntervalText(item.Before), "")
		t.lead(link{Target: measureID(d)})
		spark, err := a.spark("spark-", item)
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
func (a *artist) spark(prefix string, item measures.Item) (template.HTML, error) {
	var y []float64
	filled := 0
	for _, row := range item.Months[max(0, len(item.Months)-monthsShown):] {
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
		ID: prefix + strings.ReplaceAll(item.Definition.ID, "_", "-"), Title: item.Definition.Title + " by month",
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
