package reports

import (
	"fmt"

	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// gasFigures makes, for each gas, the bridge from plan to use and the agreement of use with plan and with settings.
func (a *artist) gasFigures(f facts) []func(facts) (figure, error) {
	var makers []func(facts) (figure, error)
	for _, g := range f.gases {
		makers = append(makers,
			func(facts) (figure, error) { return bridgeFigure(g), nil },
			func(facts) (figure, error) { return a.agreementFigure(g.name, "planned", g.planned) },
			func(facts) (figure, error) {
				return a.agreementFigure(g.name, "asked for by the settings", g.hindsight)
			})
	}
	return makers
}

// bridgeFigure leads from the plan to the use, step by step.
func bridgeFigure(g gas) figure {
	fig := figure{Title: fmt.Sprintf("From %s planned to %s used", g.name, g.name), Caption: "Mean of the transports whose settings are known under way. The steps add up: " +
		"longer or shorter than planned, other settings than planned, and the rest: leaks, gauges, the model."}
	t := table{Caption: capital(g.name) + ", mean per transport, L", Head: columns("Step", "This month#", "All months shown#")}
	t.add("", "Planned", g.now.Text(g.now.Planned), g.all.Text(g.all.Planned))
	t.add("", "Time on carried gas", g.now.Text(g.now.DurationEffect), g.all.Text(g.all.DurationEffect))
	t.add("", "Settings", g.now.Text(g.now.SettingsEffect), g.all.Text(g.all.SettingsEffect))
	t.add("", "Unexplained", g.now.Text(g.now.Unexplained), g.all.Text(g.all.Unexplained))
	t.add("total", "Used", g.now.Text(g.now.Used), g.all.Text(g.all.Used))
	t.add("", "Transports", fmt.Sprint(g.now.Transports), fmt.Sprint(g.all.Transports))
	fig.Table = t
	return fig
}

// agreementFigure shows how the use of a gas agrees with what was expected.
func (a *artist) agreementFigure(name, expected string, g measures.Agreement) (figure, error) {
	fig := figure{Title: fmt.Sprintf("%s %s and used", capital(name), expected), Table: agreementTable(name, expected, g),
		Caption: "Each mark is one transport, all months shown: how far its use was from what was " + expected + ", by size. Lines: mean and 95 % limits of agreement."}
	if g.LeftOut > 0 {
		fig.Remarks = append(fig.Remarks, fmt.Sprintf("Left out, because the gauges show no use or nothing was %s: %d.", expected, g.LeftOut))
	}
	if g.Warning != "" {
		fig.Remarks = append(fig.Remarks, capital(g.Warning)+".")
	}
	if len(g.Points) == 0 {
		fig.Remarks = append(fig.Remarks, "No transport can be compared.")
		return fig, nil
	}
	x, y := charts.Axis{Title: "Mean of both", Unit: "L", Floor: charts.At(0)}, charts.Axis{Title: "Used minus " + expected, Unit: "L"}
	if g.Log {
		x, y = charts.Axis{Title: "Mean of both", Unit: "L", Log: true}, charts.Axis{Title: "Used over " + expected, Decimals: 2, Log: true}
		fig.Caption += " Differences grow with size, so they are shown as ratios."
	}
	svg, err := a.renderer.Agreement(charts.Agreement{X: x, Y: y, Groups: []charts.PointGroup{marksOf(g)}, Levels: levels(g),
		Frame: charts.Frame{Width: columnWidth, ID: "agreement-" + name + "-" + slug(expected), Title: fig.Title,
			Desc: "Difference between use and what was expected against their mean, one mark a transport; the table holds mean and limits."}})
	fig.Drawing = picture(svg)
	return fig, err
}

func marksOf(g measures.Agreement) charts.PointGroup {
	marks := charts.PointGroup{Name: "transports"}
	for _, p := range g.Points {
		marks.Points = append(marks.Points, charts.Point{X: p.Size, Y: p.Difference})
	}
	return marks
}

func levels(g measures.Agreement) []charts.Level {
	if !g.Judged {
		return nil
	}
	return []charts.Level{{Name: "upper limit", Value: g.Upper.Value, Dashed: true}, {Name: "mean", Value: g.Bias.Value}, {Name: "lower limit", Value: g.Lower.Value, Dashed: true}}
}

func agreementTable(name, expected string, g measures.Agreement) table {
	t := table{Caption: fmt.Sprintf("Agreement of %s used with %s", name, expected), Head: columns("", "Value#", "95 % interval#")}
	t.add("", "Transports", fmt.Sprint(len(g.Points)), "")
	if !g.Judged {
		return t
	}
	for i, l := range []measures.Limit{g.Bias, g.Lower, g.Upper} {
		t.add("", g.Names()[i], g.Text(l.Value), g.Text(l.Low)+" to "+g.Text(l.High))
	}
	return t
}
