package reports

import (
	"fmt"

	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// extras adds what a section shows beside its measures.
func (a *artist) extras(in Input, s *section, name string, f facts) error {
	makers := map[string][]func(facts) (figure, error){
		"alarms":  append([]func(facts) (figure, error){a.alarmFigure}, a.alarmFigures(in)...),
		"support": append([]func(facts) (figure, error){a.changesFigure}, a.supportFigures(in)...),
		"gas":     a.gasFigures(in, f), "power": a.powerFigures(in), "demand": {a.activityFigure},
	}
	for _, maker := range makers[name] {
		fig, err := maker(f)
		if err != nil {
			return err
		}
		if fig.Title != "" {
			s.Figures = append(s.Figures, fig)
		}
	}
	return nil
}

func (a *artist) alarmFigure(f facts) (figure, error) {
	fig := figure{Title: "Alarm conditions", ofAlarms: true, Caption: "Onsets by condition, most frequent first, all months shown. A name that is a link leads to a change of its default limit."}
	fig.Table = table{Caption: "Onsets by condition", Head: columns("Condition", "High priority#", "Other#", "All#", "Share so far, %#", "This month#")}
	var rows []charts.Bar
	for i, t := range f.alarms {
		fig.Table.add("", words(t.Condition), fmt.Sprint(t.High), fmt.Sprint(t.Other), fmt.Sprint(t.All), t.CumulativeText(), fmt.Sprint(t.Month))
		fig.Table.named(conditionID(t.Condition))
		for _, c := range f.watch.changes {
			if c.Condition == t.Condition {
				fig.Table.lead(link{Target: defaultID(c)})
			}
		}
		if i < most {
			rows = append(rows, charts.Bar{Label: words(t.Condition), First: float64(t.High), Second: float64(t.Other), Text: fmt.Sprint(t.All)})
		}
	}
	if len(f.alarms) > most {
		fig.Caption += fmt.Sprintf(" The chart shows the first %d; the table holds all.", most)
	}
	if len(rows) == 0 {
		fig.Remarks = []string{"No alarm was recorded in monitored time."}
		return fig, nil
	}
	svg, err := a.renderer.Bars(charts.Bars{Rows: rows, Parts: [2]string{"high priority", "other"},
		Axis:  charts.Axis{Title: "Onsets", Integer: true, Floor: charts.At(0)},
		Frame: charts.Frame{Width: columnWidth, ID: "alarm-conditions", Title: "Alarm conditions", Desc: "Bars of alarm onsets by condition, most frequent first; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

func (a *artist) changesFigure(f facts) (figure, error) {
	fig := figure{Title: "Changes of support", Caption: "How often support changed from one class (row) to another (column), all months shown."}
	fig.Table = table{Caption: "Changes, from row to column", Head: columns("From")}
	names := make([]string, len(f.changes.Classes))
	for i, class := range f.changes.Classes {
		names[i] = words(class)
		fig.Table.Head = append(fig.Table.Head, column{"to " + names[i], true})
	}
	if len(names) == 0 {
		fig.Remarks = []string{"Support did not change on any transport."}
		return fig, nil
	}
	for i, counts := range f.changes.Counts {
		cells := []string{names[i]}
		for _, n := range counts {
			cells = append(cells, countWords(n))
		}
		fig.Table.add("", cells...)
	}
	svg, err := a.renderer.Matrix(charts.Matrix{RowTitle: "from", ColumnTitle: "to", Rows: names, Columns: names, Counts: f.changes.Counts,
		Frame: charts.Frame{Width: columnWidth, ID: "support-changes", Title: "Changes of support", Desc: "Counts of changes from one class of support to another; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

// countWords is a count, or a dash for a pair that cannot be.
func countWords(n int) string {
	if n < 0 {
		return "–"
	}
	return fmt.Sprint(n)
}

func (a *artist) activityFigure(f facts) (figure, error) {
	fig := figure{Title: "Transports asked for", Caption: "Transports by month and what became of them."}
	fig.Table = table{Caption: "Transports by month", Head: columns("Month", "Completed#", "Cancelled#", "Declined#", "All#")}
	parts := []charts.Part{{Name: "completed"}, {Name: "cancelled"}, {Name: "declined"}}
	any := false
	for _, t := range measures.ActivityByMonth(f.activity, f.months) {
		fig.Table.tally(focus(t.Name, a.month), t)
		for i, n := range []int{t.Completed, t.Cancelled, t.Declined} {
			parts[i].Values = append(parts[i].Values, float64(n))
		}
		any = any || t.All > 0
	}
	if !any {
		fig.Remarks = []string{"No transport was asked for in these months."}
		return fig, nil
	}
	svg, err := a.renderer.Stacked(charts.Stacked{X: f.months, Parts: parts, Focus: a.month,
		Axis:  charts.Axis{Title: "Transports", Integer: true, Floor: charts.At(0)},
		Frame: charts.Frame{Width: columnWidth, ID: "activity", Title: fig.Title, Desc: "Columns of transports by month, split by what became of them; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

// groupFigure shows a measure by gestation and by hospital, where it is one of those that need it.
func (a *artist) groupFigure(view *measureView, f facts, item measures.Item) error {
	groups := f.groups[item.Definition.ID]
	if len(groups) == 0 {
		return nil
	}
	d := item.Definition
	fig := figure{Title: d.Title + " by group", Caption: "By group, all months shown: value and 95 % interval. Groups differ in their patients; a difference is no ranking."}
	fig.Table = table{Caption: d.Title + " by group", Head: columns("Group", "n#", headWithUnit("Value", d.Unit)+"#", "95 % interval#")}
	var drawn []charts.IntervalGroup
	for _, g := range groups {
		fig.Table.part(g.heading)
		group := charts.IntervalGroup{Name: g.heading}
		for _, r := range g.rows {
			fig.Table.add("", r.Group, fmt.Sprint(r.N), d.Text(r.Value, r.N), d.IntervalText(r))
			group.Rows = append(group.Rows, charts.Interval{Label: r.Group, Value: orMissing(r.Value), Low: orMissing(r.Low), High: orMissing(r.High),
				N: r.N, Text: d.Text(r.Value, r.N)})
		}
		drawn = append(drawn, group)
		if g.rest > 0 {
			fig.Remarks = append(fig.Remarks, fmt.Sprintf("%s: %s with fewer members not shown; tripwake measure %s --by %s has all.", g.heading, plural(g.rest, "group"), d.ID, g.by))
		}
	}
	axis := charts.Axis{Title: d.Title, Unit: d.Unit, Floor: charts.At(0)}
	if d.Unit == "%" {
		axis.Ceiling = charts.At(100)
	}
	svg, err := a.renderer.Intervals(charts.Intervals{Axis: axis, Groups: drawn,
		Frame: charts.Frame{Width: columnWidth, ID: "groups-" + slug(d.ID), Title: fig.Title, Desc: "Value and interval of each group; the table holds every number."}})
	fig.Drawing = picture(svg)
	view.Figures = append(view.Figures, fig)
	return err
}

func orMissing(v *float64) float64 {
	if v == nil {
		return charts.Missing()
	}
	return *v
}
