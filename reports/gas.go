package reports

import (
	"fmt"

	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// gasFigures makes, for each gas, the bridge from plan to use, what is left unexplained by ventilator, the agreement of use
// with plan and with settings, and what past use would have needed; then what was left on arrival, and nitric oxide.
func (a *artist) gasFigures(in Input, f facts) []func(facts) (figure, error) {
	var makers []func(facts) (figure, error)
	for _, g := range f.supplies.gases {
		makers = append(makers,
			func(facts) (figure, error) { return a.bridgeFigure(g) },
			func(f facts) (figure, error) { return a.leakFigure(f, g) },
			func(facts) (figure, error) { return a.agreementFigure(g.name, "planned", g.planned) },
			func(facts) (figure, error) {
				return a.agreementFigure(g.name, "asked for by the settings", g.hindsight)
			},
			func(facts) (figure, error) { return a.hindsightFigure(g) },
			func(facts) (figure, error) { return marginFigure(g), nil })
	}
	return append(makers,
		func(f facts) (figure, error) { return reserveFigure(in, f), nil },
		func(f facts) (figure, error) { return nitricFigure(f), nil })
}

// bridgeFigure leads from the plan to the use, month by month.
func (a *artist) bridgeFigure(g gas) (figure, error) {
	fig := figure{Title: fmt.Sprintf("From %s planned to %s used", g.name, g.name),
		Caption: "Columns: what was added to the plan (up) or taken from it (down), mean per transport of each month. Planned + time + settings + unexplained = used. " +
			"Time: longer or shorter on carried gas than planned. Settings: other than planned. Unexplained: leaks, gauges and what the model leaves out. " +
			"Transports with a plan whose settings are known."}
	if len(g.months) == 0 {
		fig.Remarks = []string{"No transport has a plan, a use and settings that can be compared."}
		return fig, nil
	}
	fig.Table = table{Caption: capital(g.name) + ", mean per transport, L", Head: columns("(transports)", "Planned#", "Time#", "Settings#", "Unexpl.#", "Used#")}
	fig.Table.part("By month")
	names := make([]string, len(g.months))
	parts := []charts.Part{{Name: "time"}, {Name: "settings"}, {Name: "unexplained"}}
	for i, m := range g.months {
		names[i] = m.Name
		fig.Table.bridge(focus(m.Name, a.month), m.Name, m.Bridge)
		for j, v := range []float64{m.DurationEffect, m.SettingsEffect, m.Unexplained} {
			parts[j].Values = append(parts[j].Values, v)
		}
	}
	fig.Table.part("By ventilator, all months shown")
	for _, d := range g.devices {
		fig.Table.bridge("", d.Name, d.Bridge)
	}
	fig.Table.bridge("total", "All", g.all)
	shown := a.month
	if focused := names[len(names)-1]; focused != a.month {
		shown = ""
	}
	svg, err := a.renderer.Effects(charts.Effects{X: names, Parts: parts, Focus: shown, Axis: charts.Axis{Title: "Added to or taken from the plan", Unit: "L"},
		Frame: charts.Frame{Width: columnWidth, ID: "bridge-" + g.name, Title: fig.Title,
			Desc: "Columns by month of what time, settings and the unexplained part added to the plan; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

func (t *table) bridge(class, name string, b measures.Bridge) {
	t.add(class, fmt.Sprintf("%s (%d)", name, b.Transports), b.Text(b.Planned), b.Text(b.DurationEffect), b.Text(b.SettingsEffect), b.Text(b.Unexplained), b.Text(b.Used))
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
	if len(g.Points) > charts.MostDots {
		fig.Caption += " So many are counted into small squares: the mark of a square says how many lie in it."
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
	intercept, slope, ok := measures.LineOf(g)
	if !ok {
		return t
	}
	t.part("Line: used = start + slope × " + expected)
	t.add("", "Start, L", measures.LitresText(intercept.Value), measures.LitresText(intercept.Low)+" to "+measures.LitresText(intercept.High))
	t.add("", "Slope", measures.SlopeText(slope.Value), measures.SlopeText(slope.Low)+" to "+measures.SlopeText(slope.High))
	return t
}
