package reports

import (
	"fmt"

	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// courseFigure draws the share of transports still without escalation over time.
func (a *artist) courseFigure(c measures.Comparison) (figure, error) {
	s := c.Survival
	fig := figure{Title: "Time to escalation", Table: courseTable(s),
		Caption: "Transports that began on non-invasive support and are not yet on invasive support (Kaplan–Meier), from the begin of support; those whose support ends are followed " +
			"up to then. Upright lines: 95 % intervals (log-log). The axis may begin above 0."}
	if s.None != "" {
		fig.Remarks = append(fig.Remarks, capital(s.None)+".")
	}
	if len(s.Groups) == 0 {
		fig.Caption = "Time from the begin of non-invasive support to invasive support."
		return fig, nil
	}
	d := charts.Survival{Joined: s.Coarse, X: charts.Axis{Title: "Time from the begin of support", Unit: "min", Floor: charts.At(0)},
		Y:     charts.Axis{Title: "Not escalated", Unit: "%", Ceiling: charts.At(100)},
		Frame: charts.Frame{Width: columnWidth, ID: "course", Title: fig.Title, Desc: "Shares not yet escalated over time, a line for each group; the table holds every number."}}
	for _, g := range s.Groups {
		d.Groups = append(d.Groups, curveOf(g))
	}
	svg, err := a.renderer.Survival(d)
	fig.Drawing = picture(svg)
	return fig, err
}

func curveOf(g measures.SurvivalGroup) charts.SurvivalGroup {
	curve := charts.SurvivalGroup{Name: g.Group, Start: 100, End: g.Last}
	for _, p := range g.Steps[1:] {
		step := charts.SurvivalStep{Time: p.Minute, Value: p.FreePercent(), Low: charts.Missing(), High: charts.Missing()}
		if p.Low != nil && p.High != nil {
			step.Low, step.High = p.Interval()
		}
		curve.Steps = append(curve.Steps, step)
	}
	return curve
}

func courseTable(s measures.StudySurvival) table {
	t := table{Caption: "Not escalated, by time from the begin of support", Head: columns("Group", "min#", "Not escalated, % (95 % interval)#", "At risk after#")}
	for _, g := range s.Groups {
		for _, p := range g.Steps {
			t.add("", g.Group, p.MinuteText(), p.FreeText(), fmt.Sprint(p.AtRisk))
		}
	}
	return t
}

func courseNotes(c measures.Comparison) (notes []string) {
	s := c.Survival
	for _, g := range s.Groups {
		text := fmt.Sprintf("%s: %d of %d transports escalated", g.Group, g.Events, g.N)
		if g.Median != nil {
			text += "; half of them by " + g.MedianText() + " min"
		}
		notes = append(notes, text+".")
	}
	if s.LogRank != nil {
		text := fmt.Sprintf("Log-rank test: chi-square %.3f, p %s.", s.LogRank.Statistic, measures.PText(s.LogRank.P))
		if s.LogRank.Warning != "" {
			text += " " + capital(s.LogRank.Warning) + "."
		}
		notes = append(notes, text)
	}
	if s.Coarse && len(s.Groups) > 0 {
		notes = append(notes, fmt.Sprintf("The curves are told only at moments since the last of which more than %d transports escalated, and as far as that goes, so that no single one can be read from them; "+
			"the straight lines between say nothing of when.", c.Study.SmallCell))
	}
	return notes
}

// sensitivityTables put the answer without an exclusion beside the one with it.
func sensitivityTables(c measures.Comparison) (tables []table, notes []string) {
	for _, run := range c.Sensitivity {
		if run.None != "" {
			notes = append(notes, fmt.Sprintf("Without “%s”: %s.", run.Rule, run.None))
			continue
		}
		t := table{Caption: fmt.Sprintf("Without “%s”: %s transports more", run.Rule, run.Added.Text()), Class: "wordy",
			Head: columns("Outcome", "Effect", "With all rules#", "Without this one#", "p#")}
		for _, o := range run.Outcomes {
			if o.None != "" {
				t.add("", o.Title, o.None, "–", "–", "")
				continue
			}
			what, decimals := "risk ratio, ", 2
			if o.Shift {
				what, decimals = "shift, ", -1
			}
			t.add("", o.Title, what+o.Group+" against "+o.Against, o.Main.Text(1, decimals), o.Without.Text(1, decimals), pText(o.P))
		}
		tables = append(tables, t)
	}
	if len(c.Sensitivity) == 0 {
		notes = append(notes, "The cohort has no exclusion, so there is none to leave away.")
	}
	return tables, notes
}
