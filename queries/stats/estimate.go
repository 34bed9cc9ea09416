package stats

import (
	"math"
	"strings"
)

// Level is the coverage of every interval whose function takes no level.
const Level = 0.95

// Interval is a range that is meant to hold the true value, in the unit of
// the estimate. Low <= High always.
type Interval struct {
	// Low and High are the limits. High is math.MaxFloat64 if Open.
	Low, High float64
	// Method names how the limits were found, for print: "wilson".
	Method string
	// Coverage is the exact probability reached, 0 to 1, where the method can
	// tell it; 0 where the level asked for is only nominal.
	Coverage float64
	// Open says that there is no upper limit.
	Open bool
	// Warning says in one line why the answer is of limited worth; empty if
	// there is nothing to say.
	Warning string
}

// Estimate is a value with its interval.
type Estimate struct {
	// Value is the point estimate; math.MaxFloat64 if Infinite.
	Value float64
	// Infinite says that the estimate has no finite value (a ratio whose
	// lower part is zero): print no number.
	Infinite bool
	Interval
}

// setHigh stores a limit and turns an infinite one into the flag.
func (iv *Interval) setHigh(v float64) {
	iv.High = v
	if math.IsInf(v, 1) || v >= math.MaxFloat64 {
		iv.High, iv.Open = math.MaxFloat64, true
	}
}

// setValue stores a value and turns an infinite one into the flag.
func (e *Estimate) setValue(v float64) {
	e.Value = v
	if math.IsInf(v, 1) || v >= math.MaxFloat64 {
		e.Value, e.Infinite = math.MaxFloat64, true
	}
}

// join puts two warnings into one line, each once.
func join(a, b string) string {
	switch {
	case a == "":
		return b
	case strings.Contains(a, b):
		return a
	}
	return a + "; " + b
}
