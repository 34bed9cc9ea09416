package reports

import (
	"fmt"

	"tripwake/queries"
	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// powerFigures makes what the section on power shows beside its measures.
func (a *artist) powerFigures(in Input) []func(facts) (figure, error) {
	return []func(facts) (figure, error){
		a.batteryFigure, a.fadeFigure,
		func(f facts) (figure, error) { return a.fadeMonths(f), nil },
		func(f facts) (figure, error) { return lowAlarmFigure(f), nil },
		func(f facts) (figure, error) { return overdrawnFigure(in, f), nil },
	}
}

// batteryFigure shows the hours on battery of each ventilator, and what they took of its endurance.
func (a *artist) batteryFigure(f facts) (figure, error) {
	fig := figure{Title: "Battery use by ventilator",
		Caption: fmt.Sprintf("Hours on battery while under way, screen lit and dimmed, all months shown. Median and highest: share of the rated endurance that a transport took. "+
			"Over %s %%: transports that took more than that.", measures.PercentText(f.supplies.set.BatteryShare))}
	t := table{Caption: "Battery use, all months shown", Head: columns("Ventilator (transports)", "Hours#", "Dimmed, %#", "Median, %#", "Highest, %#",
		"Over "+measures.PercentText(f.supplies.set.BatteryShare)+" %#")}
	var rows []charts.Bar
	for _, b := range f.supplies.batteries {
		class, name := "", b.Name
		if b.Kind == queries.GasAll {
			class, name = "total", "All"
		} else if len(rows) < most {
			rows = append(rows, charts.Bar{Label: b.Name, First: b.Lit / 60, Second: b.Dim / 60})
		}
		t.add(class, fmt.Sprintf("%s (%d)", name, b.Transports), measures.MinutesText(b.Hours()), measures.MinutesText(b.DimmedShare()), shareText(b, b.MedianShare),
			shareText(b, b.HighestShare), fmt.Sprint(b.Overdrawn))
	}
	if len(rows) == 0 {
		fig.Remarks = []string{"No transport has a power record of its ventilator."}
		return fig, nil
	}
	fig.Table = t
	svg, err := a.renderer.Bars(charts.Bars{Rows: rows, Parts: [2]string{"screen lit", "screen dimmed"}, Axis: charts.Axis{Title: "On battery", Unit: "h", Floor: charts.At(0)},
		Frame: charts.Frame{Width: columnWidth, ID: "battery-use", Title: fig.Title, Desc: "Bars of hours on battery by ventilator, screen lit and dimmed; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

func shareText(b measures.BatteryUse, share float64) string {
	if b.Rated == 0 {
		return "–"
	}
	return measures.PercentText(share)
}

// lowAlarmFigure sets the low-battery alarms of each ventilator against its hours on battery.
func lowAlarmFigure(f facts) figure {
	fig := figure{Title: "Low-battery alarms", Caption: "Onsets of battery low on the ventilator while under way, per 100 hours on battery, with exact Poisson interval; all months shown."}
	fig.Table = table{Caption: "Low-battery alarms", Head: columns("Ventilator", "Alarms#", "Hours#", "Per 100 h#", "95 % interval#")}
	for _, b := range f.supplies.batteries {
		if b.Alarms == nil {
			continue
		}
		class, name := "", b.Name
		if b.Kind == queries.GasAll {
			class, name = "total", "All"
		}
		fig.Table.add(class, name, fmt.Sprint(b.LowAlarms), measures.MinutesText(b.Hours()), measures.RateText(b.Alarms.Value),
			measures.RateText(b.Alarms.Low)+"–"+measures.RateText(b.Alarms.High))
	}
	if len(fig.Table.Rows) == 0 {
		fig.Remarks = []string{"No ventilator ran on battery while under way."}
	}
	return fig
}

// fadeFigure shows how long a full battery lasts now, against its rating, and names those that stand out.
func (a *artist) fadeFigure(f facts) (figure, error) {
	limit := measures.PercentText(f.supplies.set.BatteryFade)
	fig := figure{Title: "How long a full battery lasts",
		Caption: fmt.Sprintf("From how fast the recorded charge fell on battery, readings at or below %g %% left out; as a share of the rated endurance, in the last three months with such records. "+
			"A battery stands out where its whole 95 %% interval lies below %s %% of its rating.", f.supplies.set.ChargeFloor, limit)}
	t := table{Caption: "Endurance from the fall of charge, min", Head: columns("Ventilator", "Rated#", "First 3 mo.#", "Last 3 mo.#", "95 % interval#")}
	group := charts.IntervalGroup{}
	for _, b := range f.supplies.fades {
		name := b.Device
		if b.StandsOut {
			name += ": stands out"
			fig.telling = true
			fig.Remarks = append(fig.Remarks, fmt.Sprintf("The battery of ventilator %s stands out: a full charge lasts %s min (95 %% interval %s–%s), %s %% of the rated %s min; in the first three months it was %s min.",
				b.Device, measures.MinutesText(b.Last.Value), measures.MinutesText(b.Last.Low), measures.MinutesText(b.Last.High), b.PartOf(b.Last.Value), measures.MinutesText(b.Rated), measures.MinutesText(b.First.Value)))
		}
		t.add("", name, orDash(ratedText(b)), measures.MinutesText(b.First.Value), measures.MinutesText(b.Last.Value),
			measures.MinutesText(b.Last.Low)+"–"+measures.MinutesText(b.Last.High))
		if b.Judged && len(group.Rows) < most {
			group.Rows = append(group.Rows, charts.Interval{Label: b.Device, Value: b.Percent(b.Last.Value), Low: b.Percent(b.Last.Low), High: b.Percent(b.Last.High), N: b.Last.Transports})
		}
	}
	if len(t.Rows) == 0 {
		fig.Remarks = []string{"No charge was recorded while a ventilator ran on battery."}
		return fig, nil
	}
	fig.Table = t
	if len(fig.Remarks) == 0 {
		fig.Remarks = []string{"No battery stands out."}
	}
	if len(group.Rows) == 0 {
		return fig, nil
	}
	svg, err := a.renderer.Intervals(charts.Intervals{Groups: []charts.IntervalGroup{group}, Reference: charts.At(100 * f.supplies.set.BatteryFade), ReferenceName: "limit",
		Axis:  charts.Axis{Title: "Endurance of a full battery, of its rating", Unit: "%", Floor: charts.At(0)},
		Frame: charts.Frame{Width: columnWidth, ID: "battery-endurance", Title: fig.Title, Desc: "Endurance of each battery in the last three months as a share of its rating, with interval; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

func ratedText(b measures.Fade) string {
	if b.Rated <= 0 {
		return ""
	}
	return measures.MinutesText(b.Rated)
}

// fadeMonths is the endurance by month, most worn battery first, as many as a page is wide.
func (a *artist) fadeMonths(f facts) figure {
	fig := figure{Title: "Batteries by month", Caption: "Minutes that a full battery would have lasted at the pace at which its charge fell in that month. Few transports make a month's number uncertain: read the direction."}
	worn := measures.MostWorn(f.supplies.fades, 6)
	if len(worn) == 0 {
		fig.Remarks = []string{"No charge was recorded while a ventilator ran on battery."}
		return fig
	}
	fig.Table = table{Caption: "Endurance of a full battery, min", Head: columns("Month")}
	rated := []string{"Rated"}
	for _, b := range worn {
		fig.Table.Head = append(fig.Table.Head, column{b.Device, true})
		rated = append(rated, orDash(ratedText(b)))
	}
	for _, month := range f.months {
		cells := []string{month}
		for _, b := range worn {
			cells = append(cells, b.MonthText(month))
		}
		fig.Table.add(focus(month, a.month), cells...)
	}
	fig.Table.add("total", rated...)
	if left := len(f.supplies.fades) - len(worn); left > 0 {
		fig.Remarks = []string{fmt.Sprintf("%s with a battery less worn not shown.", plural(left, "ventilator"))}
	}
	return fig
}

// overdrawnFigure lists the transports of the month that used too much of a battery.
func overdrawnFigure(in Input, f facts) figure {
	limit := measures.PercentText(f.supplies.set.BatteryShare)
	fig := figure{Title: fmt.Sprintf("Over %s %% of a battery, this month", limit), Caption: "Minutes on battery while under way, and the share of the rated endurance that they took, each minute against the rating of its screen state."}
	if len(f.supplies.overdrawn) == 0 {
		fig.Remarks = []string{fmt.Sprintf("No transport used more than %s %% of a rated battery.", limit)}
		return fig
	}
	fig.Table = table{Caption: fmt.Sprintf("Used more than %s %% of the rated endurance", limit), Head: columns("Transport", "Ventilator", "Lit, min#", "Dimmed, min#", "Share, %#")}
	for _, s := range f.supplies.overdrawn {
		fig.Table.add("", in.name(s.TransportID), s.Device, measures.MinutesText(s.Lit), measures.MinutesText(s.Dim), measures.PercentText(s.Share))
		fig.Table.lead(f.caseLink(in, s.TransportID))
	}
	return fig
}
