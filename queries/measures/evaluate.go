package measures

import (
	"fmt"
	"math"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// evaluate makes the row of one sum. target is the mobilization target in min.
func evaluate(d Definition, s queries.Sum, target float64) (Row, error) {
	row := Row{Measure: s.Measure, Month: s.Month, Group: s.Group, N: count(d, s), Unit: d.Unit, LeftOut: s.LeftOut}
	if len(row.LeftOut) == 0 {
		row.LeftOut = nil
	}
	var err error
	switch d.Kind {
	case Time:
		err = timeRow(&row, d, s.Xs, target)
	case Proportion:
		err = proportionRow(&row, d, s)
	case Ratio:
		err = ratioRow(&row, s)
	case Rate:
		err = rateRow(&row, d, s)
	}
	row.warn(sizeWarning(d, row))
	return row, err
}

// count is the n of a row, what Definition.Counts says. The denominator of a share of time is time, so there n is the
// transports, as for a rate; of device_failures the sum gives the devices as its transports.
func count(d Definition, s queries.Sum) int {
	switch {
	case d.Kind == Rate, d.ID == "alarming_time":
		return s.Transports
	case d.Kind == Proportion:
		return int(s.T)
	default:
		return len(s.Xs)
	}
}

func sizeWarning(d Definition, r Row) string {
	switch {
	case r.N == 0 && r.Missing() > 0:
		return fmt.Sprintf("no data: all %d were left out", r.Missing())
	case r.N == 0 || d.Counts == "devices":
		return ""
	case d.Kind == Time && r.N < 6:
		return fmt.Sprintf("only %s: too few to say anything; a median has an interval from 6", counted(r.N, d.Counts))
	case r.N < Few:
		return fmt.Sprintf("only %s: too few to say anything", counted(r.N, d.Counts))
	}
	return ""
}

// warn adds a line to the row's warning.
func (r *Row) warn(text string) {
	switch {
	case text == "":
	case r.Warning == "":
		r.Warning = text
	default:
		r.Warning += "; " + text
	}
}

func timeRow(row *Row, d Definition, sorted []float64, target float64) error {
	row.Method, row.TimeParts = "order statistics", &TimeParts{}
	if len(sorted) == 0 {
		return nil
	}
	median, err1 := stats.Median(sorted)
	p90, err2 := stats.Quantile(sorted, 0.9)
	mean, err3 := stats.Mean(sorted)
	if err := firstError(err1, err2, err3); err != nil {
		return err
	}
	row.Value, row.Mean, row.P90 = &median, &mean, &p90
	if d.Has(ChartPTarget) {
		row.OnTarget = number(100 * float64(within(sorted, target)) / float64(len(sorted)))
	}
	if len(sorted) < 6 {
		return nil
	}
	e, err := stats.MedianInterval(sorted)
	if err != nil {
		return err
	}
	row.Low, row.High, row.Coverage = &e.Low, &e.High, &e.Coverage
	row.warn(e.Warning)
	return nil
}

// within counts the values at or under a limit, after rounding to 1e-9.
func within(values []float64, limit float64) int {
	n := 0
	for _, v := range values {
		if math.Round(v*1e9) <= math.Round(limit*1e9) {
			n++
		}
	}
	return n
}

func proportionRow(row *Row, d Definition, s queries.Sum) error {
	row.Numerator, row.Denominator, row.Method = number(s.X), number(s.T), "wilson"
	if d.Interval == "none" {
		row.Method = "none"
	}
	if s.T <= 0 {
		return nil
	}
	row.Value = number(d.Scale * s.X / s.T)
	if d.Interval == "none" {
		return nil
	}
	e, err := stats.Wilson(s.X, s.T)
	if err != nil {
		return err
	}
	row.interval(e, d.Scale)
	return nil
}

func ratioRow(row *Row, s queries.Sum) error {
	row.Numerator, row.Denominator, row.Method = number(s.X), number(s.T), "log-normal t"
	ratios := make([]float64, len(s.Xs))
	for i := range s.Xs {
		ratios[i] = s.Xs[i] / s.Ts[i]
	}
	switch len(ratios) {
	case 0:
		return nil
	case 1:
		row.Value = &ratios[0]
		return nil
	}
	e, err := stats.GeometricMeanInterval(ratios)
	if err != nil {
		return err
	}
	row.Value = &e.Value
	row.interval(e, 1)
	row.warn(e.Warning)
	return nil
}

func rateRow(row *Row, d Definition, s queries.Sum) error {
	row.Numerator, row.Denominator, row.Method = number(s.X), number(s.T), "poisson exact"
	if s.T <= 0 {
		return nil
	}
	e, err := stats.PoissonExact(s.X, s.T)
	if err != nil {
		return err
	}
	row.Value = number(d.Scale * e.Value)
	if d.Interval != "clustered by transport" {
		row.interval(e, d.Scale)
		return nil
	}
	row.PoissonLow, row.PoissonHigh = number(d.Scale*e.Low), number(d.Scale*e.High)
	return clusteredInterval(row, d, s)
}

// clusteredInterval takes the transport as the cluster. One transport alone has no interval of that kind; without any
// onset the exact Poisson interval stands in, and the method's name says so.
func clusteredInterval(row *Row, d Definition, s queries.Sum) error {
	row.Method = "clustered by transport"
	if len(s.Xs) < 2 {
		return nil
	}
	e, err := stats.ClusteredRate(s.Xs, s.Ts)
	if err != nil {
		return err
	}
	if s.X == 0 {
		row.Method = e.Method
	}
	row.interval(e, d.Scale)
	if row.N >= Few { // below that the row's own warning says the same
		row.warn(e.Warning)
	}
	return nil
}

// interval takes over the limits of an estimate; an open upper limit stays nil.
func (r *Row) interval(e stats.Estimate, scale float64) {
	r.Low = number(scale * e.Low)
	if !e.Open {
		r.High = number(scale * e.High)
	}
}

func number(v float64) *float64 { return &v }

func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
