package reports

import (
	"fmt"
	"slices"

	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// hindsightFigure follows the use of a gas over what the settings asked for: the same chart as of the plan, without the
// plan's faults, so that leaks and gauges remain.
func (a *artist) hindsightFigure(g gas) (figure, error) {
	fig := figure{Title: fmt.Sprintf("%s used over asked for, by month", capital(g.name)),
		Caption: "XmR chart of the log ratio: geometric mean of each month. Line: mean of all months; limits: 3 sigma from moving ranges. Over gauges: transports that used more " +
			"than their settings asked for by more than the error of their gauges."}
	t := table{Caption: fmt.Sprintf("%s used over asked for", capital(g.name)), Head: columns("Month", "n#", "Ratio#", "Limits#", "Over gauges#", "Signal")}
	c := charts.Control{CentreName: "mean", Focus: a.month, Axis: charts.Axis{Title: "Used over asked for", Decimals: 2, Floor: charts.At(0)},
		Frame: charts.Frame{Width: columnWidth, ID: "hindsight-" + g.name, Title: fig.Title, Desc: "Monthly geometric mean of use over what the settings asked for, with limits; the table holds every number."}}
	filled := false
	for i, m := range g.ratios {
		c.X, c.Y = append(c.X, m.Month), append(c.Y, m.Ratio)
		c.Centre, c.Lower, c.Upper = append(c.Centre, m.Centre), append(c.Lower, m.Lower), append(c.Upper, m.Upper)
		if m.Signal != "" && m.N > 0 {
			c.Signals = append(c.Signals, charts.Signal{At: i, Kind: kindOf(m.Signal)})
		}
		limits := ""
		if lower := measures.RatioText(m.Lower); lower != "" {
			limits = lower + "–" + measures.RatioText(m.Upper)
		}
		t.add(focus(m.Month, a.month), m.Month, fmt.Sprint(m.N), orDash(measures.RatioText(m.Ratio)), limits, fmt.Sprint(m.Over), m.Signal)
		filled = filled || m.N > 0
	}
	if !filled {
		fig.Remarks = []string{"No transport has a plan, a use and settings that can be compared."}
		return fig, nil
	}
	if limitless(g.ratios) {
		c.Centre, c.Lower, c.Upper = nil, nil, nil
		fig.Remarks = []string{"Too few months with data for a centre line."}
	}
	fig.Table = t.trimmed()
	svg, err := a.renderer.Control(c)
	fig.Drawing = picture(svg)
	return fig, err
}

func kindOf(signal string) charts.SignalKind {
	if signal == "run" {
		return charts.Shift
	}
	return charts.Beyond
}

func limitless(months []measures.RatioMonth) bool {
	return !slices.ContainsFunc(months, func(m measures.RatioMonth) bool { return measures.RatioText(m.Centre) != "" })
}
