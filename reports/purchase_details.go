package reports

import (
	"fmt"
	"math"

	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// purchaseDetail is what stands behind one candidate.
type purchaseDetail struct {
	ID, Name, Verdict string
	Reasons           []string
	Figures           []figure
	Tables            []table
}

func (b *buyer) detail(i int, a measures.Answer) (purchaseDetail, error) {
	d := purchaseDetail{ID: candidateID(i), Name: a.Candidate.Name, Verdict: a.Verdict, Reasons: a.Reasons}
	if !a.Replayed() {
		return d, nil
	}
	makers := []func(string, measures.Answer) (figure, error){b.monthsFigure, b.replayFigure, b.levelsFigure}
	if a.Supply != nil {
		makers = []func(string, measures.Answer) (figure, error){b.monthsFigure, b.loadsFigure}
	}
	for _, drawn := range append(makers, b.costFigure) {
		fig, err := drawn(d.ID, a)
		if err != nil {
			return d, err
		}
		if fig.Title != "" {
			d.Figures = append(d.Figures, fig)
		}
	}
	if len(a.Up.Rows) > 0 {
		d.Tables = append(d.Tables, upTable(a.Up))
	}
	return d, nil
}

// monthsFigure shows when the shortfalls were: spread over the months, or one bad spell. It is left away where there was none.
func (b *buyer) monthsFigure(id string, a measures.Answer) (figure, error) {
	if a.Before == (measures.Limit{}) && a.With == a.Before {
		return figure{}, nil
	}
	fig := figure{Title: "When", Caption: "Shortfalls of each month as they were: the part that the candidate would have avoided, and what would have been left."}
	heads := columns("Month", "Transports#", "Fell short#", "With it#")
	if a.Fleet != nil {
		heads = columns("Month", "Requests#", "Found none free#", "With it#", "Recorded#")
		fig.Caption += " Recorded: declined or delayed for want of equipment."
	}
	fig.Table = table{Caption: "By month", Head: heads}
	parts := []charts.Part{{Name: "left"}, {Name: "avoided"}}
	var months []string
	for _, m := range a.Months {
		cells := []string{m.Month, fmt.Sprint(m.All), fmt.Sprint(m.Before), fmt.Sprint(m.With), fmt.Sprint(m.Recorded)}
		fig.Table.add("", cells[:len(heads)]...)
		months = append(months, m.Month)
		parts[0].Values = append(parts[0].Values, float64(m.With))
		parts[1].Values = append(parts[1].Values, float64(m.Spared()))
	}
	svg, err := b.renderer.Stacked(charts.Stacked{X: months, Parts: parts, Axis: charts.Axis{Title: "Shortfalls", Integer: true, Floor: charts.At(0)},
		Frame: charts.Frame{Width: columnWidth, Height: seriesHeight, ID: id + "-months", Title: "Shortfalls by month", Desc: "Columns of shortfalls by month, split by what the candidate would have avoided and left; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

// replayFigure shows how many requests fleets of other sizes would have left without a device, and Erlang B beside them.
func (b *buyer) replayFigure(id string, a measures.Answer) (figure, error) {
	n := a.Fleet
	now, with := a.Sizes()
	fig := figure{Title: "Requests that would have found none free, by number of units",
		Caption: fmt.Sprintf("Replay of %s with 95 %% intervals, Erlang B beside it. Now: %d; with the candidate: %d.", plural(n.Requests, "request"), now, with)}
	fig.Table = table{Caption: "Requests that find none free", Head: columns("Units", "As it was#", "Always there#", "Erlang B#")}
	var groups []charts.IntervalGroup
	for _, r := range n.Replays {
		class := ""
		if r.Units == n.Units {
			class = "focus"
		}
		if r.Units > 0 {
			fig.Table.add(class, fmt.Sprint(r.Units), measures.LimitText(r.AsItWas, 0), measures.LimitText(r.Lost, 0), measures.ExpectedText(r.Erlang))
		}
	}
	for _, r := range n.Near(a.Candidate.Add) {
		groups = append(groups, charts.IntervalGroup{Name: plural(r.Units, "unit"), Rows: replayRows(r)})
	}
	svg, err := b.renderer.Intervals(charts.Intervals{Groups: groups, Axis: charts.Axis{Title: "Requests that find none free", Floor: charts.At(0)},
		Frame: charts.Frame{Width: columnWidth, ID: id + "-replay", Title: fig.Title, Desc: "Dots with intervals for each number of units, as it was, with units always there, and by Erlang B; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

func replayRows(r measures.FleetReplay) []charts.Interval {
	rows := []charts.Interval{limitRow("as it was", r.AsItWas)}
	if r.Lost != r.AsItWas {
		rows = append(rows, limitRow("always there", r.Lost))
	}
	return append(rows, charts.Interval{N: unsized, Label: "Erlang B", Value: r.Erlang, Low: charts.Missing(), High: charts.Missing(), Text: measures.ExpectedText(r.Erlang)})
}

func limitRow(label string, l measures.Limit) charts.Interval {
	return charts.Interval{N: unsized, Label: label, Value: l.Value, Low: l.Low, High: l.High, Text: measures.LimitText(l, 0)}
}

// unsized leaves away how much a row rests on, where all rest on the same.
const unsized = -1

// levelsFigure shows how long so many were wanted at once.
func (b *buyer) levelsFigure(id string, a measures.Answer) (figure, error) {
	n := a.Fleet
	fig := figure{Title: "How many were wanted at once", Caption: fmt.Sprintf("Share of the time at each number, those declined for want of equipment among them. "+
		"A hold took %s h on average (median %s h), the turnaround included.", decimals(n.MeanHold, 1), decimals(n.MedianHold, 1))}
	if n.Assumed > 0 {
		fig.Remarks = append(fig.Remarks, fmt.Sprintf("%s without a known end: the median length stands for it.", plural(n.Assumed, "request")))
	}
	if n.NotPlaced > 0 {
		fig.Remarks = append(fig.Remarks, fmt.Sprintf("%s without a time: left out.", plural(n.NotPlaced, "request")))
	}
	fig.Table = table{Caption: "Time at each number", Head: columns("At once", "Hours#", "Share, %#", "So many or more, %#")}
	var rows []charts.Bar
	for level, hours := range n.Levels {
		share := decimals(n.ShareAt(level), 2)
		fig.Table.add("", fmt.Sprint(level), decimals(hours, 1), share, decimals(n.Share(level), 2))
		rows = append(rows, charts.Bar{Label: fmt.Sprint(level), First: n.ShareAt(level), Text: share + " %"})
	}
	svg, err := b.renderer.Bars(charts.Bars{Rows: rows, Axis: charts.Axis{Title: "Share of the time", Unit: "%", Floor: charts.At(0), Ceiling: charts.At(100)},
		Frame: charts.Frame{Width: columnWidth, ID: id + "-levels", Title: fig.Title, Desc: "Bars of the share of time at each number wanted at once; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

// loadsFigure shows what transports drew, against what the candidate would allow.
func (b *buyer) loadsFigure(id string, a measures.Answer) (figure, error) {
	n := a.Supply
	fig := figure{Title: "What transports drew, and what the candidate allows"}
	axis, line, name := charts.Axis{Title: "Taken from carried cylinders", Unit: "L", Floor: charts.At(0)}, n.Capacity, "set"
	fig.Caption = fmt.Sprintf("Litres that each transport took from carried cylinders; the line is what the full set holds, %s L. A reserve must be left beside.", decimals(n.Capacity, 0))
	if n.What == measures.KindBattery {
		axis, line, name = charts.Axis{Title: "On battery while under way", Unit: "min", Floor: charts.At(0)}, n.Enough, "limit"
		fig.Caption = fmt.Sprintf("Minutes on battery of each transport; the line is what may be drawn of the candidate with the screen lit, %s min.", decimals(n.Enough, 0))
	}
	fig.Table = table{Caption: "Shortfalls, transports", Head: columns("", "Number (95 %)#", "Share, % (95 %)#")}
	fig.Table.add("", "As it was", measures.LimitText(n.Was, 0), measures.LimitText(n.WasShare, 1))
	fig.Table.add("", "With the candidate", measures.LimitText(n.Would, 0), measures.LimitText(n.WouldShare, 1))
	fig.Table.add("", "Avoided", measures.LimitText(a.Avoided, 0), "")
	fig.Table.add("", "Nothing left with it", fmt.Sprint(n.Empty), "")
	svg, err := b.renderer.Distribution(charts.Distribution{Axis: axis, Values: n.Loads, Target: charts.At(line), TargetName: name,
		Frame: charts.Frame{Width: columnWidth, ID: id + "-loads", Title: fig.Title, Desc: "Histogram of what transports drew, with a line at what the candidate allows; the table holds the shortfalls."}})
	fig.Drawing = picture(svg)
	return fig, err
}

// costFigure shows how far the cost of one avoided shortfall moves with its assumptions.
func (b *buyer) costFigure(id string, a measures.Answer) (figure, error) {
	fig := figure{Title: "Cost of each shortfall avoided"}
	if len(a.Cost.Lines) == 0 {
		fig.Remarks = []string{"No shortfall would have been avoided: there is no cost for each, whatever the price."}
		return fig, nil
	}
	fig.Caption = fmt.Sprintf("%s a year buys %s avoided a year. Each line takes one assumption lower and higher, the others as given.",
		b.of.Money(a.Cost.PerYear), measures.LimitText(a.Cost.Avoided, 1))
	fig.Table = table{Caption: "Cost of each, when one assumption is", Head: columns("Assumption", "lower#", "cost#", "higher#", "cost#")}
	var rows []charts.Interval
	for _, line := range a.Cost.Lines {
		fig.Table.add("", line.What, line.Lower, measures.Amount(line.AtLower), line.Higher, measures.Amount(line.AtHigher))
		least, most := line.Range()
		row := charts.Interval{N: unsized, Label: line.What, Value: a.Cost.PerAvoided.Value, Low: least, High: most, Text: measures.Amount(least) + " to " + measures.Amount(most)}
		if math.IsInf(most, 1) {
			row.Low, row.High, row.Text = charts.Missing(), charts.Missing(), measures.Amount(least)+" or more"
		}
		rows = append(rows, row)
	}
	svg, err := b.renderer.Intervals(charts.Intervals{Groups: []charts.IntervalGroup{{Rows: rows}}, Axis: charts.Axis{Title: "Cost of each", Unit: b.of.Currency, Floor: charts.At(0)},
		Frame: charts.Frame{Width: columnWidth, ID: id + "-cost", Title: fig.Title, Desc: "Range of the cost of each shortfall avoided when one assumption moves; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

func upTable(u measures.UpTable) table {
	t := table{Caption: fmt.Sprintf("k of n: chance that at least so many are up, each available %s %% of the time", measures.ShareText(u.Availability)), Wide: true,
		Head: columns("Needed", fmt.Sprintf("With %d, %%#", u.Units), "With the candidate, %#", fmt.Sprintf("Smallest fleet for %s %%#", measures.PercentText(u.Target)), "So many or more wanted, % of time#")}
	for _, r := range u.Rows {
		smallest := "–"
		if r.Smallest > 0 {
			smallest = fmt.Sprint(r.Smallest)
		}
		t.add("", fmt.Sprint(r.Need), measures.ShareText(r.Now), measures.ShareText(r.With), smallest, decimals(r.Share, 2))
	}
	return t
}
