package charts

import (
	"math"
	"slices"
)

// Axis says what an axis shows and how its values are printed.
type Axis struct {
	Title    string   // what it shows, e.g. "Mobilization time"
	Unit     string   // e.g. "min", "%", "/100": stands with the title and with printed values; "1" is not printed
	Decimals int      // digits after the point of the values that the chart prints; ticks take as many as they need
	Integer  bool     // ticks at whole numbers only
	Log      bool     // logarithmic, base 10; all values must be above 0
	Floor    *float64 // the axis does not begin below it, unless a value does; begins there when values come near
	Ceiling  *float64 // the axis does not end above it, unless a value does
}

// heading is the title with its unit.
func (a Axis) heading() string {
	switch {
	case a.Unit == "" || a.Unit == "1":
		return clean(a.Title)
	case a.Title == "":
		return clean(a.Unit)
	}
	return clean(a.Title) + " (" + clean(a.Unit) + ")"
}

// value prints one number with its unit.
func (a Axis) value(v float64) string {
	s := number(v, a.Decimals)
	if a.Unit == "" || a.Unit == "1" {
		return s
	}
	return s + "\u00a0" + clean(a.Unit)
}

// scale maps values to the unit interval, along one axis.
type scale struct {
	lo, hi   float64
	log      bool
	down     bool // grows from top to bottom (rows)
	bands    int  // > 0: that many equal bands, band i at i
	ticks    []float64
	decimals int // of the ticks
}

// at is the place of v on the axis: 0 at its beginning, 1 at its end.
func (s scale) at(v float64) float64 {
	switch {
	case s.bands > 0:
		return (v + 0.5) / float64(s.bands)
	case s.log:
		return math.Log10(v/s.lo) / math.Log10(s.hi/s.lo)
	}
	return (v - s.lo) / (s.hi - s.lo)
}

// bandScale has n equal bands.
func bandScale(n int, down bool) scale {
	return scale{lo: -0.5, hi: float64(n) - 0.5, bands: n, down: down}
}

// valueScale covers the values with round ends and about so many ticks.
func valueScale(a Axis, values []float64, ticks int) scale {
	if len(values) == 0 {
		values = []float64{0, 1}
	}
	lo, hi := slices.Min(values), slices.Max(values)
	if a.Log {
		return logScale(lo, hi)
	}
	return linearScale(a, lo, hi, ticks)
}

func linearScale(a Axis, lo, hi float64, ticks int) scale {
	bottom, top := bounds(a, lo, hi)
	step := niceStep((top-bottom)/float64(max(ticks, 2)), a.Integer)
	s := scale{lo: math.Floor(bottom/step+1e-9) * step, hi: math.Ceil(top/step-1e-9) * step}
	if a.Floor != nil && lo >= *a.Floor {
		s.lo = math.Max(s.lo, *a.Floor)
	}
	if a.Ceiling != nil && hi <= *a.Ceiling {
		s.hi = math.Min(s.hi, *a.Ceiling)
	}
	s.decimals = decimalsOf(step)
	for k := math.Ceil(s.lo/step - 1e-9); k*step <= s.hi+step*1e-9; k++ {
		s.ticks = append(s.ticks, k*step)
	}
	return s
}

// bounds widens the range of the values a little, and takes in the floor when it is near.
func bounds(a Axis, lo, hi float64) (float64, float64) {
	span := hi - lo
	if span <= 0 {
		span = math.Max(math.Abs(hi)*0.2, 1)
		if a.Integer {
			span = math.Max(span, 2)
		}
	}
	bottom, top := lo-span*0.04, hi+span*0.06
	if a.Floor != nil && lo >= *a.Floor && lo-*a.Floor <= (hi-*a.Floor)*0.6 {
		bottom = *a.Floor
	}
	return bottom, top
}

// niceStep is the smallest of 1, 2, 5 times a power of ten that is not far below want.
func niceStep(want float64, integer bool) float64 {
	if integer && want <= 1 {
		return 1
	}
	p := math.Pow(10, math.Floor(math.Log10(want)))
	for _, m := range []float64{1, 2, 5} {
		if m*p >= want*0.8 {
			return m * p
		}
	}
	return 10 * p
}

func decimalsOf(step float64) int {
	return max(0, -int(math.Floor(math.Log10(step)+1e-9)))
}

// logScale ends on 1, 2 or 5 times a power of ten and ticks there, or at the powers alone when it spans more than three.
func logScale(lo, hi float64) scale {
	var marks []float64
	for e := math.Floor(math.Log10(lo)) - 1; e <= math.Ceil(math.Log10(hi))+1; e++ {
		for _, m := range []float64{1, 2, 5} {
			marks = append(marks, m*math.Pow(10, e))
		}
	}
	s := scale{log: true}
	for _, m := range marks {
		if m <= lo*(1-1e-9) {
			s.lo = m
		}
		if s.hi == 0 && m >= hi*(1+1e-9) {
			s.hi = m
		}
	}
	s.decimals = max(0, -int(math.Floor(math.Log10(s.lo)+1e-9)))
	wide := s.hi/s.lo > 1000
	for _, m := range marks {
		power := math.Abs(math.Log10(m)-math.Round(math.Log10(m))) < 1e-9
		if m >= s.lo && m <= s.hi && (power || !wide) {
			s.ticks = append(s.ticks, m)
		}
	}
	return s
}

// tick prints the label of a tick; on a logarithmic axis each has the digits that it needs.
func (s scale) tick(v float64) string {
	if s.log {
		return number(v, max(0, -int(math.Floor(math.Log10(v)+1e-9))))
	}
	return number(v, s.decimals)
}
