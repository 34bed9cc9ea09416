package stats

import (
	"fmt"
	"math"
)

// sigmas is the distance of control limits from the centre.
const sigmas = 3

// d2 turns a mean moving range of two into a standard deviation. The rounded
// constant is the contract's choice (exact: 2/√π = 1.128379).
const d2 = 1.128

// fewPoints is where limits start to be rough (common practice).
const fewPoints = 10

// Point is one point of a chart, in the unit of the chart's values.
type Point struct {
	// HasValue says that there is a value, HasLimits that there are a centre
	// and limits; where it is false the fields concerned are 0 and mean nothing.
	HasValue, HasLimits bool
	Value               float64
	Centre              float64
	Lower, Upper        float64
	// Sigma is a third of the distance from centre to limit before any cut;
	// 0 on charts whose limits are not symmetrical.
	Sigma float64
	// Baseline says that the point helped to make the centre and the limits.
	Baseline bool
}

// Chart is a control chart as data.
type Chart struct {
	// Kind names the chart for print: "p", "u'", "XmR", "g", …
	Kind   string
	Points []Point
	// SigmaZ is the standard deviation of the z-scores of a p or u chart, from
	// their moving ranges (Laney); the largest of the phases; 0 if unknown.
	SigmaZ float64
	// MeanRange is the mean moving range that made the limits, on the scale of
	// the limits (the 1/3.6 power for t); of the last phase; 0 on other charts.
	MeanRange float64
	Signals   []Signal
	Warning   string
}

// Phase is a stretch of points [Start, End) with a centre and limits of its own.
type Phase struct{ Start, End int }

// Options says which points make the centre and the limits. The zero value is
// one phase and all its points.
type Options struct {
	// Baseline holds the indexes (from 0) of the points that make the limits;
	// the others are held against them. A phase that has none of them makes its
	// limits from all its points.
	Baseline []int
	// Phases re-baselines the chart: in order, each starting where the one
	// before ends, the first at 0, the last ending at the number of points.
	Phases []Phase
}

// phase is a Phase with the mask of the points that make its limits.
type phase struct {
	Phase
	base []bool // of the whole chart
}

// phases checks the options against a chart of n points.
func (o Options) phases(n int) ([]phase, error) {
	chosen := make([]bool, n)
	for _, i := range o.Baseline {
		if i < 0 || i >= n {
			return nil, fmt.Errorf("stats: baseline index %d: expected 0 to %d", i, n-1)
		}
		chosen[i] = true
	}
	spans := o.Phases
	if len(spans) == 0 {
		spans = []Phase{{0, n}}
	}
	next, out := 0, make([]phase, 0, len(spans))
	for _, s := range spans {
		if s.Start != next || s.End <= s.Start || s.End > n {
			return nil, fmt.Errorf("stats: phase [%d,%d): expected to start at %d, to end after it and by %d", s.Start, s.End, next, n)
		}
		out, next = append(out, phase{s, baseOf(s, chosen)}), s.End
	}
	if next != n {
		return nil, fmt.Errorf("stats: phases end at %d: expected the last to end at %d, the number of points", next, n)
	}
	return out, nil
}

// baseOf is the part of the chosen points in a phase, or all of the phase.
func baseOf(s Phase, chosen []bool) []bool {
	base, some := make([]bool, len(chosen)), false
	for i := s.Start; i < s.End; i++ {
		base[i] = chosen[i]
		some = some || chosen[i]
	}
	for i := s.Start; i < s.End && !some; i++ {
		base[i] = true
	}
	return base
}

// thin is the warning for limits from few points.
func thin(n int) string {
	if n >= fewPoints {
		return ""
	}
	return fmt.Sprintf("limits from %d points only: provisional", n)
}

// movingRanges are |v_i - v_previous| within a phase, both points having a
// value; made says for each index whether it has one.
func movingRanges(ph phase, v []float64, has func(int) bool) (ranges []float64, made []bool) {
	ranges, made = make([]float64, len(v)), make([]bool, len(v))
	previous := -1
	for i := ph.Start; i < ph.End; i++ {
		if !has(i) {
			continue
		}
		if previous >= 0 {
			ranges[i], made[i] = math.Abs(v[i]-v[previous]), true
		}
		previous = i
	}
	return ranges, made
}

// meanRange is the mean of the moving ranges between neighbours that are both
// in the baseline; n is how many there are.
func meanRange(ph phase, v []float64, has func(int) bool) (mr float64, n int) {
	total, previous := 0.0, -1
	for i := ph.Start; i < ph.End; i++ {
		if !has(i) {
			continue
		}
		if previous >= 0 && ph.base[i] && ph.base[previous] {
			total += math.Abs(v[i] - v[previous])
			n++
		}
		previous = i
	}
	if n == 0 {
		return 0, 0
	}
	return total / float64(n), n
}
