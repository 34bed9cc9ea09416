package measures

import (
	"math"
	"slices"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// Series is one measure on one chart: its points in time with centre, limits and the signals among them, as data.
type Series struct {
	Definition Definition
	Kind       ChartKind // what was asked for
	Drawn      string    // the chart in words: "run chart", "p chart", "p′ chart", …
	Axis       string    // what the points are: "Monthly median", "Share within 30 min", "Transports between events"
	Unit       string    // unit of the points: that of the measure, "%", "transports" or "days"
	Decimals   int       // digits of the points worth printing
	CentreName string    // "median", "mean", …
	LimitName  string    // what the limits are; empty where there are none
	Points     []Point
	Signals    []Signal
	Events     int          // g and t charts: how many events there are; one more than points, or none
	Running    *float64     // g and t charts: the stretch since the last event, not yet ended
	Judged     bool         // the rules could be applied
	Warning    string       // why the chart is of limited worth
	Phases     []ChartPhase // stretches with a centre and limits of their own; none where nothing could be judged
	// FalseAlarm is about how likely this chart is to show a signal that takes in its last month if nothing has changed.
	FalseAlarm float64
}

// Point is one month, or for g and t charts one event. NaN marks a number that does not exist.
type Point struct {
	Month                       string // "2026-03"
	N                           int    // what the value rests on
	Value, Centre, Lower, Upper float64
}

// Signal is a pattern that chance alone seldom makes.
type Signal struct {
	Rule        string // one of the rules of package stats
	First, Last int    // its points
	Months      []string
	Up          bool
	Verdict     string // "better", "worse", or "changed" where neither is better by itself
	Words       string // what is seen, without the measure's name: "8 months in a row above the median of 101 min"
}

// observed is a row with the sum it was made of.
type observed struct {
	Row
	sum queries.Sum
}

// chartSpec is what differs between the charts over months.
type chartSpec struct {
	drawn, axis, unit, centre, limits string
	need                              int // points with data that the centre needs
	scale                             float64
	x, n                              []float64
	judge                             func(stats.Options) (stats.Chart, error)
}

// monthlySeries makes the chart of one measure over months.
func monthlySeries(d Definition, kind ChartKind, rows []observed, lim Limits, set queries.Settings) (Series, error) {
	spec := specify(d, kind, rows, set)
	s := Series{Definition: d, Kind: kind, Drawn: spec.drawn, Axis: spec.axis, Unit: spec.unit, CentreName: spec.centre, LimitName: spec.limits}
	s.Decimals = decimalsFor(d, spec, rows)
	for i, r := range rows {
		s.Points = append(s.Points, Point{Month: r.Month, N: int(spec.n[i]), Value: missing, Centre: missing, Lower: missing, Upper: missing})
	}
	if kind == ChartU || kind == ChartRun || kind == ChartXmR {
		for i, r := range rows {
			s.Points[i].N = r.N
		}
	}
	has := make([]bool, len(rows))
	for i := range rows {
		has[i] = spec.n[i] > 0
		s.setValue(i, spec)
	}
	return s, s.draw(spec, has, lim)
}

var missing = math.NaN()

func (s *Series) setValue(i int, spec chartSpec) {
	switch {
	case spec.n[i] <= 0:
	case s.Kind == ChartRun || s.Kind == ChartXmR:
		s.Points[i].Value = spec.x[i]
	default:
		s.Points[i].Value = spec.scale * spec.x[i] / spec.n[i]
	}
}

// draw adds centre, limits and signals where there is enough for them.
func (s *Series) draw(spec chartSpec, has []bool, lim Limits) error {
	if filled(has) < spec.need {
		s.Warning = "too few points with data for a centre line"
		return nil
	}
	s.Phases = s.phasesOf(has, spec.need, lim)
	chart, err := spec.judge(s.options(has, spec.need))
	if err != nil {
		return err
	}
	s.take(chart, spec.scale)
	return nil
}

// options names the points that make the limits of each phase. A phase without enough of them takes all its points.
func (s *Series) options(has []bool, need int) stats.Options {
	var o stats.Options
	for i := range s.Phases {
		p := &s.Phases[i]
		var chosen []int
		for at := p.Start; at < p.End; at++ {
			if has[at] && p.Made.holds(s.Points[at].Month) {
				chosen = append(chosen, at)
			}
		}
		if len(chosen) < need {
			s.warn("the baseline has too little data: all months make the centre line")
			p.Made, chosen = Baseline{}, nil
		}
		o.Baseline = append(o.Baseline, chosen...)
		o.Phases = append(o.Phases, stats.Phase{Start: p.Start, End: p.End})
	}
	return o
}

// take copies a chart of package stats into the series, in the series' unit.
func (s *Series) take(chart stats.Chart, scale float64) {
	s.warn(chart.Warning)
	if name, ok := drawnNames[chart.Kind]; ok {
		s.Drawn = name
	}
	for i, p := range chart.Points {
		if !p.HasLimits || !p.HasValue {
			continue
		}
		s.Points[i].Centre = scale * p.Centre
		if s.LimitName != "" {
			s.Points[i].Lower, s.Points[i].Upper = scale*p.Lower, scale*p.Upper
		}
	}
	s.Judged = true
	for _, found := range chart.Signals {
		if s.flat(found.Last) {
			continue // a baseline without spread says nothing about chance; the warning tells
		}
		s.Signals = append(s.Signals, s.signal(found))
	}
	s.FalseAlarm = falseAlarm(s.Kind, chart.Points[s.Phases[len(s.Phases)-1].Start:])
}

// flat says that a point stands between limits of no width.
func (s *Series) flat(at int) bool {
	return s.LimitName != "" && !(s.Points[at].Upper > s.Points[at].Lower)
}

// drawnNames are the charts of package stats in a reader's words.
var drawnNames = map[string]string{
	"p": "p chart", "p'": "p′ chart (limits widened: months vary more than chance)",
	"u": "u chart", "u'": "u′ chart (limits widened: months vary more than chance)",
}

func (s *Series) warn(text string) {
	if text != "" && s.Warning != "" {
		s.Warning += "; "
	}
	s.Warning += text
}

// Recent returns the signals that take in the month.
func (s Series) Recent(month string) []Signal {
	var found []Signal
	for _, sig := range s.Signals {
		if sig.current(month) {
			found = append(found, sig)
		}
	}
	return found
}

// Told returns what is worth telling on the chart of a month: the signals that take in the month, then those that had ended
// before it. Report, tables and JSON all print these.
func (s Series) Told(month string) []Signal {
	found := s.Telling(month)
	for _, sig := range s.Signals {
		if !sig.current(month) {
			found = append(found, sig)
		}
	}
	return found
}

// current says that a signal takes in the month.
func (sig Signal) current(month string) bool {
	return len(sig.Months) > 0 && sig.Months[0] <= month && month <= sig.Months[len(sig.Months)-1]
}

// Earlier returns the signals that had ended before the month.
func (s Series) Earlier(month string) []Signal {
	return slices.DeleteFunc(s.Told(month), func(sig Signal) bool { return sig.current(month) })
}

// Telling returns the signals that take in the month, without few crossings where a run says the same and more, and with the
// stretch since the last event where that is already longer than the upper limit.
func (s Series) Telling(month string) []Signal {
	found := append(s.Recent(month), s.longStretch(month)...)
	directed := slices.ContainsFunc(found, func(sig Signal) bool { return sig.Rule != stats.RuleFewCrossings })
	return slices.DeleteFunc(found, func(sig Signal) bool { return directed && sig.Rule == stats.RuleFewCrossings })
}

// falseAlarm: a control chart flags its last point with the normal tail beyond 3 sigma, 0.0027, or because it ends 8 on one
// side, 2 × 2^-8; own derivation, points taken as independent. A run chart signals as a whole. The points are those of the
// last phase: only there can a signal take in the last month.
func falseAlarm(kind ChartKind, drawn []stats.Point) float64 {
	points := 0
	for _, p := range drawn {
		if p.HasValue && (kind != ChartRun || p.Value != p.Centre) {
			points++
		}
	}
	if kind == ChartRun {
		chance, err := stats.RunFalseAlarm(points)
		if err != nil {
			return 0 // below ten points no rule is applied
		}
		return chance
	}
	if points < 8 {
		return 0.0027
	}
	return 0.0027 + 1.0/128
}
