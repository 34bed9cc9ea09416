package reports

import (
	"context"
	"fmt"

	"tripwake/queries"
	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// SupportSource is what the section on support asks of package queries.
type SupportSource interface {
	SupportClasses(ctx context.Context, from, to string) ([]queries.SupportClass, error)
	SupportCourses(ctx context.Context, from, to string) ([]queries.SupportCourse, error)
	SupportEnds(ctx context.Context, from, to string) ([]queries.SupportEnd, error)
	SetAgainstMeasured(ctx context.Context, quantity, from, to string) (queries.SetAgainstMeasured, error)
	TidalVolumes(ctx context.Context, from, to string) (queries.RangeTime, error)
	Saturations(ctx context.Context, from, to string) (queries.RangeTime, error)
	Exposures(ctx context.Context, from, to string) (queries.Exposure, error)
}

// supportFacts are the answers behind the section on support; now is the month under report.
type supportFacts struct {
	classes    []queries.SupportClass
	ends       []queries.SupportEnd
	escalation measures.Escalation
	escalated  []queries.SupportCourse // of the month
	now, all   delivered
}

// delivered is what was set and what was measured.
type delivered struct {
	apart    []queries.SetAgainstMeasured
	ranges   []queries.RangeTime
	exposure queries.Exposure
}

func (f *facts) readSupportTimes(ctx context.Context, in Input) (err error) {
	first, month := f.review.First, in.Month
	if f.support.classes, err = in.Reader.SupportClasses(ctx, first, month); err != nil {
		return err
	}
	if f.support.ends, err = in.Reader.SupportEnds(ctx, first, month); err != nil {
		return err
	}
	courses, err := in.Reader.SupportCourses(ctx, first, month)
	if err != nil {
		return err
	}
	if f.support.escalation, err = measures.EscalationOf(courses); err != nil {
		return err
	}
	if courses, err = in.Reader.SupportCourses(ctx, month, month); err != nil {
		return err
	}
	for _, c := range courses {
		if c.Escalated {
			f.support.escalated = append(f.support.escalated, c)
		}
	}
	if f.support.all, err = readDelivered(ctx, in, first, month); err != nil {
		return err
	}
	f.support.now, err = readDelivered(ctx, in, month, month)
	return err
}

func readDelivered(ctx context.Context, in Input, from, to string) (d delivered, err error) {
	for _, quantity := range []string{"pip", "peep", "rate"} {
		m, err := in.Reader.SetAgainstMeasured(ctx, quantity, from, to)
		if err != nil {
			return d, err
		}
		d.apart = append(d.apart, m)
	}
	for _, read := range []func(context.Context, string, string) (queries.RangeTime, error){in.Reader.TidalVolumes, in.Reader.Saturations} {
		t, err := read(ctx, from, to)
		if err != nil {
			return d, err
		}
		d.ranges = append(d.ranges, t)
	}
	d.exposure, err = in.Reader.Exposures(ctx, from, to)
	return d, err
}

// supportFigures are what the section on support shows beside its measures and the changes.
func (a *artist) supportFigures(in Input) []func(facts) (figure, error) {
	return []func(facts) (figure, error){
		func(f facts) (figure, error) { return classesFigure(f), nil },
		a.endsFigure,
		func(f facts) (figure, error) { return a.escalationFigure(in, f) },
		func(f facts) (figure, error) { return deliveredFigure(f), nil },
	}
}

func classesFigure(f facts) figure {
	fig := figure{Title: "Support by class", Caption: "All months shown. Short stretches, under 2 min unless set otherwise, are passed over and count in no " +
		"episode. A change of mode inside a class is no change of support."}
	fig.Table = table{Caption: "Episodes of support", Head: columns("Class", "Transports#", "Episodes#", "Hours#", "Median, min#", "Short stretches passed over#", "Mode changes inside#")}
	for _, c := range f.support.classes {
		hours := c.Hours
		fig.Table.add("", words(c.Class), fmt.Sprint(c.Transports), fmt.Sprint(c.Episodes), measures.NumberText(&hours, 0), orDash(measures.NumberText(c.MiddleMinutes, 0)),
			fmt.Sprint(c.PassedOver), fmt.Sprint(c.ModeChanges))
	}
	if len(f.support.classes) == 0 {
		fig.Remarks = []string{"No support was recorded under way."}
	}
	return fig
}

// endsFigure sets the first class of each transport against its last, and lists changes by leg.
func (a *artist) endsFigure(f facts) (figure, error) {
	fig := figure{Title: "From first to last support", Caption: "Transports by their first class of support under way (row) and their last (column), all months shown; the table lists the changes by leg of the trip."}
	fig.Table = table{Caption: "Changes of support by leg", Head: columns("From", "to", "Changes#")}
	place := ""
	for _, e := range f.support.ends {
		if e.Place == "" {
			continue
		}
		if e.Place != place {
			place = e.Place
			fig.Table.part(capital(place))
		}
		fig.Table.add("", words(e.From), words(e.To), fmt.Sprint(e.N))
	}
	names, counts := measures.EndsOf(f.support.ends)
	if len(names) == 0 {
		fig.Remarks = []string{"No support was recorded under way."}
		return fig, nil
	}
	for i := range names {
		names[i] = words(names[i])
	}
	svg, err := a.renderer.Matrix(charts.Matrix{RowTitle: "first", ColumnTitle: "last", Rows: names, Columns: names, Counts: counts,
		Frame: charts.Frame{Width: columnWidth, ID: "support-ends", Title: fig.Title, Desc: "Counts of transports by first and last class of support; on the diagonal those that ended as they began."}})
	fig.Drawing = picture(svg)
	return fig, err
}

// escalationFigure says who came from non-invasive to invasive support, when and where.
func (a *artist) escalationFigure(in Input, f facts) (figure, error) {
	e := f.support.escalation
	fig := figure{Title: "From non-invasive to invasive support: who, when and where", Caption: fmt.Sprintf("All months shown: %s began on CPAP or NIPPV, "+
		"%d escalated before hand-over. What came after hand-over is what receiving hospitals reported; nothing reported counts as never.", plural(e.Patients, "patient"), e.Escalated)}
	fig.Table = table{Caption: "Escalated, by phase, and share free of it by time", Head: columns("", "Patients#", "%#")}
	fig.Table.part("Phase")
	for _, p := range e.Phases {
		fig.Table.add("", capital(p.Name), fmt.Sprint(p.N), orDash(p.Share))
	}
	if e.Patients == 0 {
		fig.Table.Rows, fig.Remarks = nil, []string{"No transport began on non-invasive support."}
		return fig, nil
	}
	if len(e.Curve) == 0 {
		return fig, nil
	}
	fig.Named = escalatedWords(in, f)
	fig.Table.part("Not escalated by so many minutes, % (Kaplan–Meier, 95 %)")
	var rows []charts.Interval
	for _, minutes := range []float64{30, 60, 90, 120, 180} {
		if p, ok := e.FreeAt(minutes); ok {
			label := fmt.Sprintf("%.0f min", minutes)
			fig.Table.add("", label, fmt.Sprintf("%d at risk", p.AtRisk), p.Text())
			row := charts.Interval{Label: label, Value: p.Free, Low: charts.Missing(), High: charts.Missing(), N: p.AtRisk, Text: p.Text()}
			if p.HasInterval {
				row.Low, row.High = p.FreeLow, p.FreeHigh
			}
			rows = append(rows, row)
		}
	}
	if len(rows) == 0 {
		fig.Table.Rows = fig.Table.Rows[:len(fig.Table.Rows)-1]
		return fig, nil
	}
	svg, err := a.renderer.Intervals(charts.Intervals{Groups: []charts.IntervalGroup{{Name: "Time since support began under way", Rows: rows}},
		Axis:  charts.Axis{Title: "Not escalated", Unit: "%", Decimals: 1, Ceiling: charts.At(100)},
		Frame: charts.Frame{Width: columnWidth, ID: "escalation-free", Title: fig.Title, Desc: "Share of patients not yet escalated at fixed times, Kaplan–Meier with interval; the table holds every number."}})
	fig.Drawing = picture(svg)
	return fig, err
}

// escalatedWords names the transports of the month that were escalated, and leads to their pages.
func escalatedWords(in Input, f facts) []step {
	var lines []step
	for _, c := range f.support.escalated {
		minutes := c.Minutes
		lines = append(lines, step{"This month:", []link{f.caseLink(in, c.TransportID)},
			fmt.Sprintf(", from %s to %s after %s min, %s.", words(c.FirstClass), words(c.ToClass), measures.NumberText(&minutes, 0), c.Phase)})
	}
	if len(lines) == 0 {
		lines = []step{{Lead: "This month nobody was escalated before hand-over."}}
	}
	return lines
}

// deliveredFigure sets what was measured against what was set or aimed at.
func deliveredFigure(f facts) figure {
	fig := figure{Title: "Set, measured and aimed at", Caption: "Time under way with a setting in force; a reading holds until the next, 60 s at most unless set otherwise. " +
		"The measured rate holds the patient's own breaths. SpO2 above its range counts only while inspired oxygen was set over 21 %. Ranges are settings, not targets for a patient."}
	t := table{Caption: "Delivered support", Head: columns("", "This month#", "All months shown#")}
	now, all := f.support.now, f.support.all
	for i, m := range all.apart {
		t.part(fmt.Sprintf("%s: measured minus set (%s with both)", quantityHeading(m.Quantity), plural(m.Transports, "transport")))
		t.add("", "Median", orDash(measures.NumberText(now.apart[i].Middle, 1)), orDash(measures.NumberText(m.Middle, 1)))
		if m.Quantity != "rate" {
			t.add("", "Apart by more than the bound, % of time", orDash(measures.PartText(now.apart[i].ApartHours, now.apart[i].Hours)), orDash(measures.PartText(m.ApartHours, m.Hours)))
		}
	}
	for i, r := range all.ranges {
		n := now.ranges[i]
		t.part(fmt.Sprintf("%s (%s)", capital(words(r.Quantity))+rangeOf[r.Quantity], plural(r.Transports, "transport")))
		t.add("", fmt.Sprintf("Under %g, %% of time", r.Low), orDash(measures.PartText(n.Below, n.Hours)), orDash(measures.PartText(r.Below, r.Hours)))
		t.add("", fmt.Sprintf("Over %g, %% of time", r.High), orDash(measures.PartText(n.Above, n.Hours)), orDash(measures.PartText(r.Above, r.Hours)))
	}
	exposureRows(&t, now.exposure, all.exposure)
	fig.Table = t
	return fig
}

// quantityHeading is a quantity with the unit of its numbers: "PEEP, cmH2O".
func quantityHeading(quantity string) string {
	return capital(words(quantity)) + ", " + measures.QuantityUnit(quantity)
}

// rangeOf says whose readings are held against a target range, and in which unit.
var rangeOf = map[string]string{"expired_tidal_volume": " of invasive support, mL/kg", "spo2": " on support, %"}

func exposureRows(t *table, now, all queries.Exposure) {
	t.part(fmt.Sprintf("Inspired oxygen and nitric oxide set (%s; %d with nitric oxide)", plural(all.Transports, "transport"), all.NitricTransports))
	t.add("", "Mean inspired oxygen over time, %", orDash(measures.NumberText(now.MeanFiO2, 0)), orDash(measures.NumberText(all.MeanFiO2, 0)))
	t.add("", "Hours on nitric oxide", measures.NumberText(&now.NitricHours, 1), measures.NumberText(&all.NitricHours, 1))
	t.add("", "Mean nitric oxide while on it, ppm", orDash(measures.NumberText(now.MeanNitric, 1)), orDash(measures.NumberText(all.MeanNitric, 1)))
}
