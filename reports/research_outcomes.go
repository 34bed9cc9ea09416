package reports

import (
	"fmt"
	"slices"
	"strings"

	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// outcomeView is one outcome: its groups, what compares them, and the models.
type outcomeView struct {
	ID, Title, Meaning string
	Withheld           string
	Groups             table
	Effects            []table
	Models             []table
	Notes              []string
}

// glance draws the risk ratios of all outcomes on one axis: as counted, and adjusted.
func (a *artist) glance(c measures.Comparison) (figure, error) {
	fig := figure{Title: "Risk ratios", Table: glanceTable(c),
		Caption: "Risk of each outcome against " + c.Groups[c.Reference].Name + ", with 95 % intervals: as counted, and adjusted by modified Poisson regression. 1: no difference."}
	var groups []charts.IntervalGroup
	for _, o := range c.Outcomes {
		group := charts.IntervalGroup{Name: o.Title}
		for _, k := range o.Contrasts {
			if k.Ratio.Told && k.Ratio.None == "" && !k.Ratio.Open {
				group.Rows = append(group.Rows, charts.Interval{Label: rowName(c, k.Group, "as counted"), Value: k.Ratio.Value, Low: k.Ratio.Low, High: k.Ratio.High,
					N: measures.JudgedIn(o, k.Group, k.Against), Text: k.Ratio.Text(1, 2)})
			}
		}
		for _, m := range o.Models {
			group.Rows = append(group.Rows, adjustedRows(c, m)...)
		}
		if len(group.Rows) > 0 {
			groups = append(groups, group)
		}
	}
	if len(groups) == 0 {
		fig.Remarks = []string{"No risk ratio can be told."}
		return fig, nil
	}
	svg, err := a.renderer.Intervals(charts.Intervals{Axis: charts.Axis{Title: "Risk ratio", Decimals: 2, Log: true}, Groups: groups, Reference: charts.At(1), ReferenceName: "no difference",
		Frame: charts.Frame{Width: columnWidth, ID: "glance", Title: fig.Title, Desc: "Risk ratios with intervals, a group of rows for each outcome; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

func rowName(c measures.Comparison, group, how string) string {
	if len(c.Groups) == 2 {
		return how
	}
	return group + ", " + how
}

func adjustedRows(c measures.Comparison, m measures.StudyModel) (rows []charts.Interval) {
	if m.Ratio != "risk ratio" || m.Complete.Withheld {
		return nil
	}
	for _, term := range m.Terms {
		if term.Group && !term.Ratio.Open && term.Ratio.Low > 0 {
			group, _, _ := strings.Cut(term.Name, " against ")
			rows = append(rows, charts.Interval{Label: rowName(c, group, "adjusted"), Value: term.Ratio.Value, Low: term.Ratio.Low, High: term.Ratio.High,
				N: m.Complete.N, Text: measures.EstimateText(term.Ratio, 1, 2)})
		}
	}
	return rows
}

// glanceTable says of each outcome and group what was counted and the effects.
func glanceTable(c measures.Comparison) table {
	t := table{Caption: "Outcomes that occur or not", Head: columns("Group", "Events of judged#", "Risk ratio#", "Adjusted#")}
	for _, o := range c.Outcomes {
		if o.Number {
			continue
		}
		t.part(o.Title)
		for _, g := range o.Groups {
			ratio, adjusted := "", ""
			for _, k := range o.Contrasts {
				if k.Group == g.Group {
					ratio = k.Ratio.Text(1, 2)
				}
			}
			for _, m := range o.Models {
				adjusted += m.GroupText(g.Group, "risk ratio")
			}
			t.add("", g.Group, measures.EventsText(g), ratio, adjusted)
		}
	}
	return t
}

// numbersTable says of each outcome that is a number its medians and the shift.
func numbersTable(c measures.Comparison) table {
	t := table{Caption: "Outcomes that are numbers", Head: columns("Group", "Median (quartiles)#", "Shift (95 % interval)#", "p#")}
	for _, o := range c.Outcomes {
		if !o.Number {
			continue
		}
		t.part(headWithUnit(o.Title, measures.UnitText(o.Column)))
		for _, g := range o.Groups {
			shift, p := "", ""
			for _, k := range o.Contrasts {
				if k.Group == g.Group {
					shift = k.Shift.Text(1, -1)
					p = pText(k.P)
				}
			}
			t.add("", g.Group, g.Spread.MedianText(), shift, p)
		}
	}
	return t
}

func pText(p *float64) string {
	if p == nil {
		return "–"
	}
	return measures.PText(*p)
}

func outcomeOf(c measures.Comparison, o measures.StudyOutcome) outcomeView {
	v := outcomeView{ID: "outcome-" + slug(o.Column.Name), Title: o.Title, Meaning: o.Column.Meaning, Groups: groupsTable(o)}
	if strings.TrimSuffix(v.Meaning, ".") == v.Title {
		v.Meaning = ""
	}
	if o.Withheld != "" {
		v.Withheld = "Effects are not told: " + o.Withheld + "."
	}
	for _, g := range o.Groups {
		if text := g.ZeroText(); text != "" {
			v.Notes = append(v.Notes, text+".")
		}
	}
	for _, k := range o.Contrasts {
		v.Effects = append(v.Effects, effectsTable(o, k))
		for _, w := range k.Warnings {
			v.Notes = append(v.Notes, capital(w)+".")
		}
	}
	for _, m := range o.Models {
		if m.None != "" {
			v.Notes = append(v.Notes, fmt.Sprintf("The %s model has no answer: %s.", m.Name, m.None))
			continue
		}
		v.Models = append(v.Models, modelTable(m))
		for _, note := range modelNotes(m) {
			if !slices.Contains(v.Notes, note) { // both models rest on the same transports
				v.Notes = append(v.Notes, note)
			}
		}
	}
	if !o.Number && len(o.Models) == 0 && len(o.Contrasts) > 0 {
		v.Notes = append(v.Notes, "Not adjusted: the settings name nothing to adjust for.")
	}
	if o.Number {
		v.Notes = append(v.Notes, "Numbers are compared by ranks and are not adjusted.")
	}
	return v
}

func groupsTable(o measures.StudyOutcome) table {
	t := table{Caption: "By group", Head: columns("Group", "Judged#", "Not recorded or not in question#", "Events#", "Risk, % (95 % interval)#")}
	if o.Number {
		t.Head = columns("Group", "Recorded#", "Not recorded or not in question#", "Median (quartiles)#", "95 % interval of the median#")
	}
	for _, g := range o.Groups {
		if o.Number {
			t.add("", g.Group, g.Judged.Text(), g.Unjudged.Text(), g.Spread.MedianText(), g.Spread.IntervalText())
			continue
		}
		risk := "–"
		if g.Risk != nil {
			risk = measures.EstimateText(*g.Risk, 100, 1)
		}
		t.add("", g.Group, g.Judged.Text(), g.Unjudged.Text(), g.Events.Text(), risk)
	}
	return t
}

func effectsTable(o measures.StudyOutcome, k measures.Contrast) table {
	t := table{Caption: k.Group + " against " + k.Against, Class: "wordy", Head: columns("Effect", "Value (95 % interval)#", "Method")}
	add := func(name string, e measures.Effect, scale float64, decimals int, method string) {
		switch {
		case !e.Told:
		case e.None != "":
			t.add("", name, "–", e.None)
		default:
			t.add("", name, e.Text(scale, decimals), method)
		}
	}
	add("Risk difference, percentage points", k.Difference, 100, 1, "Newcombe, from two Wilson intervals")
	add("Risk ratio", k.Ratio, 1, 2, "normal on the log scale")
	add("Odds ratio", k.Odds, 1, 2, "Woolf")
	add("Odds ratio, conditional", k.OddsExact, 1, 2, "exact, by maximum likelihood given the margins")
	add(headWithUnit("Shift", measures.UnitText(o.Column)), k.Shift, 1, -1, "Hodges–Lehmann: the median of all differences")
	add("Ratio of geometric means", k.MeanRatio, 1, 2, "Welch's t on logarithms")
	if k.ChiSquare != nil {
		t.add("", "Chi-square, 1 degree of freedom", fmt.Sprintf("%.3f", k.ChiSquare.Statistic), "p "+measures.PText(k.ChiSquare.P)+", no correction for continuity")
	}
	if k.P != nil {
		t.add("", "p", measures.PText(*k.P), k.Method)
	}
	return t
}

func modelTable(m measures.StudyModel) table {
	caption := fmt.Sprintf("Adjusted: %s regression, %ss", m.Name, m.Ratio)
	t := table{Caption: caption, Class: "wordy", Head: columns("Term", capital(m.Ratio)+" (95 % interval)#", "p#")}
	for _, term := range m.Terms {
		class, p, decimals := "", "", 3 // by one unit more a ratio is often near 1
		if term.Group {
			class, p, decimals = "focus", measures.PText(term.P), 2
		}
		t.add(class, term.Name, measures.EstimateText(term.Ratio, 1, decimals), p)
	}
	return t
}

func modelNotes(m measures.StudyModel) (notes []string) {
	text := fmt.Sprintf("The models rest on %s transports with everything recorded; %s are left out for want of something", m.Complete.Text(), m.Missing.Text())
	if !m.Clusters.Withheld {
		text += fmt.Sprintf("; %s patients as clusters", m.Clusters.Text())
	}
	notes = append(notes, text+".")
	if m.Warning != "" {
		notes = append(notes, capital(m.Warning)+".")
	}
	if len(m.LeftOut) > 0 {
		notes = append(notes, "Not taken into the model: "+strings.Join(m.LeftOut, "; ")+".")
	}
	return notes
}
