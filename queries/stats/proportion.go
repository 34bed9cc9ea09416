package stats

import "math"

// Wilson is the proportion x/n (0 to 1, not percent) with Wilson's score
// interval without continuity correction,
// (p + z²/2n ± z√(p(1-p)/n + z²/4n²)) / (1 + z²/n); method "wilson". It
// supposes independent cases of one probability. x = 0 has lower limit 0 and
// x = n upper limit 1, exactly. Refused: n = 0, x above n, counts negative,
// not whole or NaN. Source: Wilson EB. J Am Stat Assoc 1927;22:209-212;
// Newcombe RG. Stat Med 1998;17:857-872, method 3.
func Wilson(x, n float64) (Estimate, error) { return WilsonAt(x, n, Level) }

// WilsonAt is Wilson at another level (0 to 1).
func WilsonAt(x, n, level float64) (Estimate, error) {
	if err := first(successes(x, n), levelInside(level)); err != nil {
		return Estimate{}, err
	}
	p, z := x/n, zTwoSided(level)
	centre := p + z*z/(2*n)
	half := z * math.Sqrt(p*(1-p)/n+z*z/(4*n*n))
	scale := 1 + z*z/n
	e := Estimate{Value: p, Interval: Interval{
		Low: (centre - half) / scale, High: (centre + half) / scale, Method: "wilson",
	}}
	if x == 0 {
		e.Low = 0
	}
	if x == n {
		e.High = 1
	}
	return e, nil
}

// ClopperPearson is the proportion x/n (0 to 1) with the exact interval, the
// beta quantiles B(α/2; x, n-x+1) and B(1-α/2; x+1, n-x); method
// "clopper-pearson". It covers at least 95 %, mostly more. x = 0 has lower
// limit 0, x = n upper limit 1. Limits are good to 1e-9 of their size up to
// a million cases, to 1e-5 at 1e9 (the library's tail). Refused as Wilson
// refuses. Source: Clopper
// CJ, Pearson ES. Biometrika 1934;26:404-413.
func ClopperPearson(x, n float64) (Estimate, error) { return ClopperPearsonAt(x, n, Level) }

// ClopperPearsonAt is ClopperPearson at another level (0 to 1).
func ClopperPearsonAt(x, n, level float64) (Estimate, error) {
	if err := first(successes(x, n), levelInside(level)); err != nil {
		return Estimate{}, err
	}
	tail := (1 - level) / 2
	e := Estimate{Value: x / n, Interval: Interval{Low: 0, High: 1, Method: "clopper-pearson"}}
	if x > 0 {
		e.Low = betaQuantile(tail, x, n-x+1)
	}
	if x < n {
		e.High = betaQuantile(1-tail, x+1, n-x)
	}
	return e, nil
}
