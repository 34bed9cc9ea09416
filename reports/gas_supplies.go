package reports

import (
	"fmt"
	"strings"

	"tripwake/queries"
	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// mostLeaks is how many ventilators the chart of unexplained gas shows; its table holds all.
const mostLeaks = 14

// leakFigure shows what each ventilator's transports used beyond what its settings asked for, and names what stands out.
func (a *artist) leakFigure(f facts, g gas) (figure, error) {
	fig := figure{Title: "Unexplained " + g.name + ", by ventilator",
		Caption: fmt.Sprintf("Used beyond what the settings asked for, in litres for each minute on carried gas, with 95 %% interval; all months shown. Line: the usual level, "+
			"%s L/min, which the model is off by on every ventilator. A ventilator, month or cylinder stands out where it lies above that by more than its gauges and the spread "+
			"between its transports explain: a leak in device, regulator or hose, a wrong cylinder size, or pressures noted wrongly. "+
			"Over gauges: transports with more unexplained than their own gauges' error.", litresPerMinute(g.leaks.Common))}
	if len(g.leaks.Devices) == 0 {
		fig.Remarks = []string{"No transport has both a use and settings that can be compared."}
		return fig, nil
	}
	fig.Remarks, fig.telling = leakRemarks(g), len(g.leaks.Standing()) > 0
	fig.Small = []string{fmt.Sprintf("Held against the usual level: %d ventilators, their months, and cylinders. A group without a leak stands out about once in two thousand times. Error of a gauge reading: %g psi.",
		g.leaks.Judged, f.supplies.set.GaugeDivision/2)}
	fig.Table = leakTable(g)
	group := charts.IntervalGroup{}
	for _, d := range g.leaks.Devices[:min(mostLeaks, len(g.leaks.Devices))] {
		group.Rows = append(group.Rows, charts.Interval{Label: d.Name, Value: d.Rate, Low: d.Low, High: d.High, N: d.Transports, Text: d.Text(d.Rate)})
	}
	svg, err := a.renderer.Intervals(charts.Intervals{Groups: []charts.IntervalGroup{group}, Reference: charts.At(g.leaks.Common), ReferenceName: "usual",
		Axis:  charts.Axis{Title: "Unexplained " + g.name, Unit: "L/min", Decimals: 2},
		Frame: charts.Frame{Width: columnWidth, ID: "unexplained-" + g.name, Title: fig.Title, Desc: "Unexplained litres a minute of each ventilator with interval; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

func litresPerMinute(v float64) string { return measures.Unexplained{}.Text(v) }

func leakTable(g gas) table {
	t := table{Caption: "Unexplained " + g.name + ", L/min", Head: columns("Ventilator", "n#", "L/min#", "95 % interval#", "Gauges#", "Over gauges#")}
	for _, d := range g.leaks.Devices {
		name := d.Name
		if d.StandsOut || len(d.Months) > 0 {
			name += ": stands out"
		}
		t.add("", name, fmt.Sprint(d.Transports), d.Text(d.Rate), d.Text(d.Low)+" to "+d.Text(d.High), "±"+d.Text(d.Gauge), fmt.Sprint(d.Beyond))
	}
	return t
}

// leakRemarks names what stands out, in sentences.
func leakRemarks(g gas) []string {
	var lines []string
	for _, d := range g.leaks.Standing() {
		line := fmt.Sprintf("Ventilator %s stands out: %s L/min unexplained (95 %% interval %s to %s, %s)", d.Name, d.Text(d.Rate), d.Text(d.Low), d.Text(d.High), plural(d.Transports, "transport"))
		if !d.StandsOut {
			line = fmt.Sprintf("Ventilator %s stands out in single months only", d.Name)
		}
		if len(d.Months) > 0 {
			line += "; by month: " + strings.Join(runsOf(d.Months), ", ")
		}
		lines = append(lines, line+".")
	}
	for _, c := range g.leaks.Cylinders {
		lines = append(lines, fmt.Sprintf("Cylinder %s stands out: %s L/min unexplained (%s to %s, %s).", c.Name, c.Text(c.Rate), c.Text(c.Low), c.Text(c.High), plural(c.Transports, "transport")))
	}
	if len(lines) == 0 {
		return []string{"No ventilator, month or cylinder stands out beyond the error of the gauges."}
	}
	return lines
}

// runsOf joins months that follow each other: "June 2025 to November 2025".
func runsOf(months []string) []string {
	var runs []string
	for start := 0; start < len(months); {
		end := start
		for end+1 < len(months) && follows(months[end], months[end+1]) {
			end++
		}
		runs = append(runs, spanWords(months[start:end+1]))
		start = end + 1
	}
	return runs
}

func follows(month, next string) bool {
	before, err := measures.MonthBefore(next)
	return err == nil && before == month
}

// marginFigure says how much gas would have covered nearly all past use.
func marginFigure(g gas) figure {
	fig := figure{Title: "How much " + g.name + " covered past use",
		Caption: "For each planned hour, the litres that would have covered 99 of 100 past transports, and the same as a multiple of the crew's plan; by vehicle and by class of support at leaving. " +
			"95 % interval by order statistics: below 368 transports there is no upper limit. All months shown, leaks included. It describes what was used; how much to carry is for local policy."}
	if len(g.margins) == 0 {
		fig.Remarks = []string{"No transport has a plan, a planned duration and a use."}
		return fig
	}
	fig.Table = table{Caption: capital(g.name) + " that covered 99 % of past use", Head: columns("Support at leaving", "n#", "L per planned h#", "95 % interval#", "× plan#", "95 % interval#")}
	vehicle := ""
	for _, m := range g.margins {
		if m.Vehicle != vehicle {
			vehicle = m.Vehicle
			fig.Table.part(capital(words(vehicleWords(vehicle))))
		}
		hour, hourSpan := m.PerHour.Texts(0)
		plan, planSpan := m.OfPlan.Texts(2)
		name := words(m.Class)
		if m.Warning != "" {
			name += " (too few)"
		}
		fig.Table.add("", name, fmt.Sprint(m.N), hour, hourSpan, plan, planSpan)
	}
	return fig
}

func vehicleWords(vehicle string) string {
	if vehicle == "all" {
		return "all vehicles"
	}
	return vehicle
}

// reserveFigure lists the transports of the month that arrived below the reserve.
func reserveFigure(in Input, f facts) figure {
	fig := figure{Title: "Gas left on arrival, this month",
		Caption: fmt.Sprintf("What the carried cylinders still held at hand-over, above %g psi, over the last demand before it. Listed: transports below the reserve of %g min, a local policy.",
			f.supplies.set.ResidualPressure, f.supplies.set.OxygenReserve)}
	for _, g := range f.supplies.gases {
		r := f.supplies.reserves[g.name]
		line := fmt.Sprintf("%s: no transport with carried cylinders can be judged.", capital(g.name))
		if r.Judged > 0 {
			line = fmt.Sprintf("%s: %d of %s below the reserve; nothing was asked for at the end on %d.", capital(g.name), r.Short, plural(r.Judged, "transport"), r.Judged-r.Demanded)
		}
		if r.Demanded > 0 {
			line += fmt.Sprintf(" Median: %s min.", measures.MinutesText(r.Median))
		}
		fig.Remarks = append(fig.Remarks, line)
	}
	if len(f.supplies.reserveShort) == 0 {
		return fig
	}
	fig.Table = table{Caption: "Arrived below the reserve", Head: columns("Transport", "Gas", "Minutes left#", "Left, L#", "Last demand, L/min#")}
	for _, c := range f.supplies.reserveShort {
		fig.Table.add("", in.name(c.TransportID), c.gas, measures.MinutesText(c.Minutes), measures.LitresText(c.Left), litresPerMinute(c.LastFlow))
		fig.Table.lead(f.caseLink(in, c.TransportID))
	}
	return fig
}

// nitricFigure compares nitric oxide used with what the settings asked for; it has no plan.
func nitricFigure(f facts) figure {
	fig := figure{Title: "Nitric oxide", Caption: "From its own cylinders: asked for by the settings (the set ppm diluted from the cylinder's into the flow) and used, all months shown. The crew plans none."}
	t := table{Caption: "Nitric oxide, L", Head: columns("Ventilator", "n#", "Asked for#", "Used#", "Unexplained#")}
	for _, g := range f.supplies.nitric {
		if g.Kind == queries.GasByDevice {
			t.add("", g.Name, fmt.Sprint(g.Transports), measures.LitresText(g.Hindsight), measures.LitresText(g.Used), measures.LitresText(g.Unexplained))
		}
	}
	for _, g := range f.supplies.nitric {
		if g.Kind == queries.GasAll {
			t.add("total", "All", fmt.Sprint(g.Transports), measures.LitresText(g.Hindsight), measures.LitresText(g.Used), measures.LitresText(g.Unexplained))
		}
	}
	if len(t.Rows) == 0 {
		fig.Remarks = []string{"No transport has nitric oxide cylinders and settings that can be compared."}
		return fig
	}
	fig.Table = t
	return fig
}

// doubtsTables lists the cylinder rows that a reader of the gas measures should doubt; none where there is none.
func doubtsTables(f facts) []table {
	t := table{Caption: "Cylinder rows in doubt", Head: columns("Gas", "Rows#", "Transports#", "What")}
	for _, d := range f.supplies.doubts {
		t.add("", words(d.Gas), fmt.Sprint(d.Cylinders), fmt.Sprint(d.Transports), capital(d.Reason))
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return []table{t}
}
