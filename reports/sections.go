package reports

import (
	"fmt"
	"slices"

	"tripwake/queries/measures"
)

// section answers one question: its measures in the order of the catalogue.
type section struct {
	ID, Question string
	Intro        []string
	Figures      []figure // what belongs to the section as a whole
	Measures     []measureView
	More         bool // nothing in it is for a short print
}

// measureView is one measure with its charts and what its numbers mean.
type measureView struct {
	ID, Title, Plain string
	Now, Before      string
	Findings         []finding
	Remarks          []string
	Earlier          []earlier
	Figures          []figure
	Small            []string // what was left out, population, formula, source
	More             bool     // not in a short print
	apart            bool     // the month is apart from those before
}

// questions head the sections, in a committee's words.
var questions = map[string]string{
	"time":                 "Were we in time?",
	"condition on arrival": "In what condition did patients arrive?",
	"airway and hand-over": "Were airway and hand-over done as agreed?",
	"harm":                 "Who was harmed?",
	"outcome":              "Who died?",
	"alarms":               "What alarmed?",
	"support":              "Whose support changed?",
	"gas":                  "Did the gas plans hold?",
	"power":                "Did the batteries hold?",
	"readiness":            "Was the equipment ready?",
	"demand":               "Whom could we not serve in time?",
	"records":              "Do the device records belong to transports?",
}

func (a *artist) sections(in Input, f facts) ([]section, error) {
	var all []section
	for _, name := range measures.Sections() {
		if !slices.Contains(in.Parts, slug(name)) {
			continue
		}
		s := section{ID: "section-" + slug(name), Question: questions[name]}
		for _, item := range f.review.Items {
			if item.Definition.Section != name {
				continue
			}
			view, err := a.measureView(in, f, item)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", item.Definition.ID, err)
			}
			s.Measures = append(s.Measures, view)
		}
		if err := a.extras(in, &s, name, f); err != nil {
			return nil, fmt.Errorf("section %s: %w", name, err)
		}
		for i := range s.Figures {
			s.Figures[i].Table = s.Figures[i].Table.atMost(rowsShown, whereRowsAre(name))
		}
		all = append(all, s)
	}
	return all, nil
}

func (a *artist) measureView(in Input, f facts, item measures.Item) (measureView, error) {
	d := item.Definition
	view := measureView{ID: measureID(d), Title: d.Title, Plain: d.Plain, apart: item.Apart() != ""}
	view.Now = measures.MonthWords(in.Month) + ": " + numberWords(d, item.Now) + "."
	if len(item.Months) > 1 {
		view.Before = "All months before: " + numberWords(d, item.Before) + "."
	}
	for _, s := range f.standings {
		if s.Definition.ID == d.ID {
			view.Findings = append(view.Findings, findingOf(in, f, s))
		}
	}
	view.Remarks, view.Earlier = remarksOn(d), f.earlierSignals(in, item)
	if d.Has(measures.ChartExpected) {
		figures, err := a.riskFigures(f)
		if err != nil {
			return view, err
		}
		view.Figures = append(view.Figures, figures...)
	}
	for _, s := range item.Series {
		fig, err := a.seriesFigure(item, s)
		if err != nil {
			return view, err
		}
		view.Figures = append(view.Figures, fig)
	}
	view.define(append(leftOutWords(item), definitionWords(d)...))
	if err := a.groupFigure(&view, f, item); err != nil {
		return view, err
	}
	return view, a.funnelFigure(&view, f, d)
}

// define puts the small print under the first chart, beside its table, or at the end where there is no chart.
func (v *measureView) define(small []string) {
	if len(v.Figures) > 0 {
		v.Figures[0].Small = append(v.Figures[0].Small, small...)
		return
	}
	v.Small = small
}

// spanWords is "March 2026", or "March 2026 to May 2026".
func spanWords(months []string) string {
	first, last := measures.MonthWords(months[0]), measures.MonthWords(months[len(months)-1])
	if first == last {
		return first
	}
	return first + " to " + last
}

// numberWords is a row in words with its counts, its other numbers and its warning.
func numberWords(d measures.Definition, r measures.Row) string {
	text := d.ValueText(r)
	if d.Kind == measures.Time && r.Value != nil {
		text = "median " + text + timeWords(d, r)
	}
	if d.Kind == measures.Rate && r.Value != nil {
		text += fmt.Sprintf("; counted: %.0f", *r.Numerator)
	}
	if r.PoissonLow != nil && r.Value != nil && r.PoissonHigh != nil {
		text += fmt.Sprintf("; Poisson interval, for comparison, %s–%s", d.Text(r.PoissonLow, r.N), d.Text(r.PoissonHigh, r.N))
	}
	if r.Warning != "" {
		text += ". " + capital(r.Warning)
	}
	return text
}

func timeWords(d measures.Definition, r measures.Row) string {
	text := fmt.Sprintf("; mean %s, nine of ten within %s%s", d.Text(r.Mean, r.N), d.Text(r.P90, r.N), d.UnitWords())
	if r.OnTarget != nil {
		text += fmt.Sprintf("; %.0f %% within the target", *r.OnTarget)
	}
	return text
}

func leftOutWords(item measures.Item) []string {
	var lines []string
	if text := measures.LeftOutWords(item.Now.LeftOut); text != "" {
		lines = append(lines, "Left out this month: "+text+".")
	}
	if text := measures.LeftOutWords(item.Before.LeftOut); text != "" {
		lines = append(lines, "Left out before: "+text+".")
	}
	return lines
}

// remarksOn say what a measure's chart cannot show.
func remarksOn(d measures.Definition) []string {
	switch {
	case d.ID == "air_ratio":
		return []string{"Its agreement with the plan is drawn at the head of this section."}
	case len(d.Charts) == 0:
		return []string{"Not followed on a chart of its own; the small line under All measures shows its months."}
	default:
		return nil
	}
}

// definitionWords are the contract's words on a measure.
func definitionWords(d measures.Definition) []string {
	lines := []string{"Who counts: " + d.Population + ".", "Number: " + d.Formula() + "."}
	interval := "95 % interval: " + d.Interval + "."
	if d.Interval == "none" {
		interval = "No interval is given."
	}
	return append(lines, interval+" Source: "+d.Source+". Id: "+d.ID+".")
}

// whereRowsAre names the command that prints what a table of a section leaves out.
func whereRowsAre(section string) string {
	switch section {
	case "gas", "power":
		return "tripwake measure --supplies"
	case "alarms":
		return "tripwake measure alarms_per_hour --by device"
	}
	return "tripwake measure --by month"
}
