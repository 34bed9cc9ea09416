package reports

import (
	"fmt"
	"strings"

	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// alarmFigures are what the section on alarms shows beside its measures and the conditions.
func (a *artist) alarmFigures(in Input) []func(facts) (figure, error) {
	return []func(facts) (figure, error){
		a.alarmGroupsFigure,
		func(f facts) (figure, error) { return answersFigure(in, f), nil },
		func(f facts) (figure, error) { return loudestFigure(in, f), nil },
		func(f facts) (figure, error) { return defaultsFigure(in, f), nil },
		a.replayFigure(0), a.replayFigure(1),
	}
}

func (a *artist) alarmGroupsFigure(f facts) (figure, error) {
	fig := figure{Title: "Where alarms begin", Caption: "Onsets per monitored hour with 95 % interval (transport as cluster), all months shown. " +
		"Devices, vehicles and legs differ in their patients: a difference is no ranking."}
	fig.Table = table{Caption: "Onsets per monitored hour", Head: columns("", "Onsets#", "Hours#", "Per hour#", "95 % interval#", "This month#")}
	var drawn []charts.IntervalGroup
	for _, g := range f.watch.groups {
		group := charts.IntervalGroup{Name: g.heading}
		fig.Table.part(g.heading)
		for _, r := range g.all {
			fig.Table.add("", g.nameOf(r.Name), fmt.Sprint(r.Onsets), r.HoursText(), orDash(r.RateText()), r.IntervalText(), orDash(rateOf(g.now, r.Name)))
			if len(group.Rows) < most {
				group.Rows = append(group.Rows, charts.Interval{Label: g.nameOf(r.Name), Value: orMissing(r.Rate), Low: orMissing(r.Low),
					High: orMissing(r.High95), N: r.Transports, Text: r.RateText()})
			}
		}
		if len(group.Rows) > 0 {
			drawn = append(drawn, group)
		}
	}
	if len(drawn) == 0 {
		fig.Table.Rows, fig.Remarks = nil, []string{"No device was monitored in these months."}
		return fig, nil
	}
	svg, err := a.renderer.Intervals(charts.Intervals{Groups: drawn, Axis: charts.Axis{Title: "Onsets per monitored hour", Decimals: 1, Floor: charts.At(0)},
		Frame: charts.Frame{Width: columnWidth, ID: "alarm-groups", Title: fig.Title, Desc: "Onsets per monitored hour with interval, by leg of the trip, vehicle, priority and device; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

func rateOf(rates []measures.AlarmRate, name string) string {
	for _, r := range rates {
		if r.Name == name {
			return r.RateText()
		}
	}
	return ""
}

// answersFigure says how alarms were answered and what they crossed.
func answersFigure(in Input, f facts) figure {
	fig := figure{Title: "How alarms were answered, and which limits stood", Caption: "All months shown. Time to silence: median of those silenced. " +
		"Unanswered: until silenced or, if never, until the alarm ended by itself. Beyond: how far half of the values, and nine of ten, were past their limit at most. Limits of volumes are per kg."}
	fig.Table = table{Caption: "Alarms by condition: answer and limit", Wide: true, Head: columns("Condition", "Onsets (per hour)#", "Silenced, % (after s)#",
		"Longest unanswered, s#", "Usual limit#", "Beyond: half, 9 of 10#")}
	for _, a := range f.watch.answers {
		longest, limit, beyond := "–", "–", "–"
		if a.LongestOn != "" {
			longest = measures.NumberText(a.Longest, 0)
		}
		if a.Limits > 0 {
			limit = measures.NumberText(a.UsualLimit, 1) + " " + measures.LimitUnit(a.Condition)
		}
		if a.Beyond != nil {
			beyond = measures.NumberText(a.Beyond, 1) + ", " + measures.NumberText(a.FarBeyond, 1)
		}
		fig.Table.add("", words(a.Condition), fmt.Sprintf("%d (%s)", a.Onsets, orDash(rateOf(f.watch.kinds, a.Condition))), measures.PartText(float64(a.Silenced), float64(a.Onsets))+" ("+orDash(measures.NumberText(a.ToSilence, 0))+")",
			longest, strings.TrimSpace(limit), beyond)
		if a.LongestOn != "" {
			fig.Table.links(3, f.caseLink(in, a.LongestOn))
		}
	}
	if len(f.watch.answers) == 0 {
		fig.Remarks = []string{"No alarm was recorded in monitored time."}
	}
	return fig
}

// loudestFigure names the transports that made the month's alarms, and its floods.
func loudestFigure(in Input, f facts) figure {
	fig := figure{Title: "The month's loudest transports and its floods", ofAlarms: true, Caption: "Most onsets first. A flood begins at the onset that is the eleventh within " +
		"10 min and ends when fewer than 5 fall into the 10 min before, unless set otherwise; before leaving counts as negative."}
	fig.Table = table{Caption: "Transports with most alarms, and floods", Wide: true, Head: columns("Transport", "Onsets#", "Hours monitored#", "Most of them, or when it began", "Length, min#")}
	fig.Table.part("Most onsets")
	for _, t := range f.watch.loudest {
		hours := t.Hours
		fig.Table.add("", in.name(t.TransportID), fmt.Sprint(t.Onsets), measures.NumberText(&hours, 1), fmt.Sprintf("%s (%d)", words(t.Leading), t.OfThese), "")
		fig.Table.lead(f.caseLink(in, t.TransportID))
	}
	fig.Table.part("Floods")
	for _, c := range f.watch.crowds {
		minutes, began := c.Minutes, "leaving not known"
		if c.AfterLeaving != nil {
			began = measures.NumberText(c.AfterLeaving, 0) + " min from leaving"
		}
		fig.Table.add("", in.name(c.TransportID), fmt.Sprint(c.Onsets), "", began, measures.NumberText(&minutes, 0))
		fig.Table.lead(f.caseLink(in, c.TransportID))
	}
	switch {
	case len(f.watch.loudest) == 0:
		fig.Table.Rows, fig.Remarks = nil, []string{"No alarm began in monitored time this month."}
	case len(f.watch.crowds) == 0:
		fig.Table.Rows = fig.Table.Rows[:len(fig.Table.Rows)-1]
		fig.Remarks = []string{"No alarm flood this month."}
	}
	return fig
}

// defaultsFigure tells where the usual limit of an alarm became another, and on whom it then alarmed most.
func defaultsFigure(in Input, f facts) figure {
	fig := figure{Title: "Alarm defaults over time", ofAlarms: true, Caption: "The usual limit of a month is the one that most transports had, by device and condition, " +
		"as far as alarms tell it. Limits that are set for each patient have no usual one. Changes are marked on the charts of this section."}
	fig.Table = table{Caption: "Usual limits that became others", Wide: true, Head: columns("Alarm", "Limit", "First seen on", "Most onsets in its first month (number)")}
	for i, c := range f.watch.changes {
		fig.Table.add("", words(c.Condition), c.LimitWords(), c.DevicesWords(), "")
		fig.Table.named(defaultID(c))
		fig.Table.lead(f.conditionLink(c.Condition))
		fig.Table.links(3, f.makerLinks(in, f.watch.makers[i])...)
	}
	if len(f.watch.changes) == 0 {
		fig.Remarks = []string{"No usual limit became another in these months."}
	}
	return fig
}

// replayFigure shows what other limits of the n-th condition would have given.
func (a *artist) replayFigure(n int) func(facts) (figure, error) {
	return func(f facts) (figure, error) {
		if n >= len(f.watch.replayed) {
			return figure{}, nil
		}
		r := f.watch.replayed[n]
		fig := figure{Title: "Replay of limits: " + words(r.Condition), Caption: fmt.Sprintf("Onsets per hour that each limit, without a delay, would have given on the readings "+
			"kept: %s h on %s, all months shown. Evidence for a discussion of defaults, no advice: a limit also depends on the patient.", r.HoursText(), plural(r.Population, "transport"))}
		fig.Remarks = []string{r.AloneWords(), r.DelayWords()}
		fig.Small = []string{"A device looks at every breath or second; readings are rarer, so that short excursions are missed. A reading holds until the next, 60 s at most unless set otherwise."}
		fig.Table = table{Caption: "Limits of " + words(r.Condition), Wide: true, Head: columns("Limit", "Onsets#", "Per hour#", "Transports#", "")}
		var rows []charts.Bar
		for _, l := range r.Limits {
			class := ""
			if l.Marked == "usual now" {
				class = "focus"
			}
			fig.Table.add(class, r.LimitText(l.Limit), fmt.Sprint(l.Onsets), l.RateText(), fmt.Sprint(l.Transports), l.Marked)
			rows = append(rows, charts.Bar{Label: strings.TrimSuffix(r.LimitText(l.Limit)+", "+l.Marked, ", "), First: l.PerHour, Text: l.RateText()})
		}
		svg, err := a.renderer.Bars(charts.Bars{Rows: rows, Axis: charts.Axis{Title: "Onsets per hour of readings", Decimals: 2, Floor: charts.At(0)}, Parts: [2]string{"onsets per hour", ""},
			Frame: charts.Frame{Width: columnWidth, ID: "replay-" + slug(r.Condition), Title: fig.Title, Desc: "Bars of onsets per hour for each limit; the limits in force are named; the table holds every number."}})
		fig.Drawing = picture(svg)
		return fig, err
	}
}
