package measures

import (
	"fmt"

	"tripwake/queries"
	"tripwake/queries/stats"
)

const hoursPerDay = 24

// stampDays is the resolution of the time between events in days: stamps are taken to the minute.
const stampDays = 1.0 / (24 * 60)

// gapSeries makes a g chart (transports between events) or a t chart (days between events). A gap belongs to the month of
// the event that ends it. The stretch before the first event has no beginning, so it is no gap.
func gapSeries(d Definition, kind ChartKind, found queries.Gaps, lim Limits) (Series, error) {
	s := Series{Definition: d, Kind: kind}
	gaps := s.describeGaps(found.Gaps)
	s.Events, s.Running = found.Events, number(float64(found.SinceTransports))
	if kind == ChartT {
		s.Running = number(found.SinceHours / hoursPerDay)
	}
	spec := chartSpec{need: 1, scale: 1, judge: func(o stats.Options) (stats.Chart, error) { return stats.GChartProbability(gaps, o) }}
	if kind == ChartT {
		spec.need = 2
		spec.judge = func(o stats.Options) (stats.Chart, error) { return stats.TChart(gaps, stampDays, o) }
	}
	has := make([]bool, len(gaps))
	for i := range has {
		has[i] = true
	}
	return s, s.draw(spec, has, lim)
}

// describeGaps fills the series' words and points and returns the gaps.
func (s *Series) describeGaps(events []queries.EventGap) []float64 {
	s.Drawn, s.Axis, s.Unit = "g chart", "Transports between events", "transports"
	s.CentreName, s.LimitName = "median", "from the geometric law, as rare as 3 sigma"
	if s.Kind == ChartT {
		s.Drawn, s.Axis, s.Unit, s.Decimals = "t chart", "Days between events", "days", 1
		s.CentreName, s.LimitName = "centre line", "3 sigma on the 1/3.6 power"
	}
	gaps := []float64{}
	for _, e := range events {
		gap := float64(e.Transports)
		if s.Kind == ChartT {
			gap = e.Hours / hoursPerDay
		}
		gaps = append(gaps, gap)
		s.Points = append(s.Points, Point{Month: e.Month, N: 1, Value: gap, Centre: missing, Lower: missing, Upper: missing})
	}
	return gaps
}

// SinceWords says how long nothing has happened: "41 transports since the last event". It is empty on charts over months.
func (s Series) SinceWords() string {
	switch {
	case s.Running == nil:
		return ""
	case s.Events == 0:
		return s.text(*s.Running) + " without an event"
	default:
		return s.text(*s.Running) + " since the last event"
	}
}

// longStretch is the signal of a stretch without an event that is beyond the upper limit before it has ended: the gap that it
// will make can only be longer. It belongs to no point yet, so First and Last are -1.
func (s Series) longStretch(month string) []Signal {
	if s.Running == nil || !s.Judged || len(s.Points) == 0 {
		return nil
	}
	last := s.Points[len(s.Points)-1]
	if !(*s.Running > last.Upper) || s.flat(len(s.Points)-1) {
		return nil
	}
	found := stats.Signal{Rule: stats.RuleBeyond, First: -1, Last: -1, Up: true}
	return []Signal{{Rule: found.Rule, First: -1, Last: -1, Months: []string{last.Month, month}, Up: true, Verdict: s.verdict(found),
		Words: fmt.Sprintf("%s, already more than the upper limit of %s", s.SinceWords(), s.text(last.Upper))}}
}
