package stats

import (
	"fmt"
	"math"
)

// Agreement is how two measurements of the same things agree.
type Agreement struct {
	N int
	// Bias is the mean difference a - b (or, on the log scale, the geometric
	// mean of a/b) with its t interval.
	Bias Estimate
	// SD is the standard deviation of the differences (of the log ratios).
	SD float64
	// Lower and Upper are the 95 % limits of agreement with their intervals.
	Lower, Upper Estimate
	// Log says that bias and limits are ratios.
	Log     bool
	Warning string
}

// BlandAltman gives bias and limits of agreement of pairs, in their unit: d =
// a - b, limits mean ± 1.959964 s; interval of the bias with t(n-1), intervals
// of the limits with variance s²(1/n + z²/(2(n-1))) and t(n-1). It supposes
// differences that are about normal and do not grow with size (see
// SpreadGrowth). Fewer than 30 pairs: a warning. All differences equal: no
// width. Refused: fewer than 2 pairs, unequal lengths, NaN. Source: Bland JM,
// Altman DG. Lancet 1986;1:307-310; Stat Methods Med Res 1999;8:135-160.
func BlandAltman(a, b []float64) (Agreement, error) {
	if err := pairs(a, b, 2); err != nil {
		return Agreement{}, err
	}
	d := make([]float64, len(a))
	for i := range a {
		d[i] = a[i] - b[i]
	}
	n, m, s, z := float64(len(d)), mean(d), sd(d), zTwoSided(Level)
	t := tTwoSided(Level, n-1)
	around := func(v, se float64) Estimate {
		return Estimate{Value: v, Interval: Interval{Low: v - t*se, High: v + t*se, Method: "bland-altman t"}}
	}
	limitSE := s * math.Sqrt(1/n+z*z/(2*(n-1)))
	out := Agreement{N: len(d), SD: s, Bias: around(m, s/math.Sqrt(n)), Lower: around(m-z*s, limitSE), Upper: around(m+z*s, limitSE)}
	if len(d) < 30 {
		out.Warning = fmt.Sprintf("limits of agreement from %d pairs only", len(d))
	}
	return out, nil
}

// BlandAltmanLog is BlandAltman of logarithms, brought back: bias and limits
// are ratios a/b. For spread that grows with size. Refused: values at or below
// 0, and as BlandAltman refuses. Source: Bland and Altman 1999, section 3.1.
func BlandAltmanLog(a, b []float64) (Agreement, error) {
	if err := first(positive("a", a...), positive("b", b...)); err != nil {
		return Agreement{}, err
	}
	out, err := BlandAltman(logsOf(a), logsOf(b))
	if err != nil {
		return Agreement{}, err
	}
	out.Log = true
	for _, e := range []*Estimate{&out.Bias, &out.Lower, &out.Upper} {
		e.setValue(math.Exp(e.Value))
		e.Low = math.Min(math.MaxFloat64, math.Exp(e.Low))
		e.setHigh(math.Exp(e.High))
	}
	return out, nil
}

func pairs(a, b []float64, least int) error {
	return first(sameLength("a", a, "b", b), atLeast("a comparison of pairs", len(a), least), finite("a", a), finite("b", b))
}

// SpreadGrowth tests whether differences a - b grow with size: Pearson's
// correlation of |d - mean d| with (a+b)/2, t = r√((n-2)/(1-r²)). Statistic is
// r (-1 to 1), DF n-2; positive and p small: use BlandAltmanLog. Refused: fewer
// than 4 pairs, no spread in differences or sizes, unequal lengths, NaN.
// Source: Bland and Altman 1999, section 3.
func SpreadGrowth(a, b []float64) (Test, error) {
	if err := pairs(a, b, 4); err != nil {
		return Test{}, err
	}
	size, spread := make([]float64, len(a)), make([]float64, len(a))
	for i := range a {
		size[i], spread[i] = (a[i]+b[i])/2, a[i]-b[i]
	}
	m := mean(spread)
	for i := range spread {
		spread[i] = math.Abs(spread[i] - m)
	}
	xx, yy, xy := products(size, spread)
	if xx == 0 || yy == 0 {
		return Test{}, fmt.Errorf("stats: sizes or differences of %d pairs do not vary: expected values that do", len(a))
	}
	r, df := correlation(xx, yy, xy), float64(len(a)-2)
	p := 0.0
	if r*r < 1 {
		p = tTwoSidedP(r*math.Sqrt(df/(1-r*r)), df)
	}
	return Test{Statistic: r, DF: df, P: p, Method: "correlation of spread with size"}, nil
}

// products are Σ(x-mx)², Σ(y-my)² and Σ(x-mx)(y-my).
func products(x, y []float64) (xx, yy, xy float64) {
	mx, my := mean(x), mean(y)
	for i := range x {
		xx += (x[i] - mx) * (x[i] - mx)
		yy += (y[i] - my) * (y[i] - my)
		xy += (x[i] - mx) * (y[i] - my)
	}
	return xx, yy, xy
}

// correlation is Pearson's r from products, 0 where one side does not vary.
func correlation(xx, yy, xy float64) float64 {
	if xx == 0 || yy == 0 {
		return 0
	}
	return math.Max(-1, math.Min(1, xy/math.Sqrt(xx)/math.Sqrt(yy)))
}

// Concordance is Lin's coefficient 2 s_ab / (s_a² + s_b² + (mean a - mean b)²)
// with divisor n in all s (-1 to 1; 1 is identity), its interval by Fisher's z
// with Lin's asymptotic variance; method "lin z". Pairs that agree exactly, or
// lie on a line or have correlation 0: no interval exists, Low = High = Value
// with a warning. Refused: fewer than 3 pairs, all values equal, unequal
// lengths, NaN. Source: Lin LI. Biometrics 1989;45:255-268, with the
// correction of 2000;56:324-325.
func Concordance(a, b []float64) (Estimate, error) {
	if err := pairs(a, b, 3); err != nil {
		return Estimate{}, err
	}
	n := float64(len(a))
	aa, bb, ab := products(a, b)
	shift := mean(a) - mean(b)
	scale := aa/n + bb/n + shift*shift
	if scale == 0 {
		return Estimate{}, fmt.Errorf("stats: all %d pairs are one value: concordance needs values that vary", len(a))
	}
	c := 2 * ab / n / scale
	e := Estimate{Value: c, Interval: Interval{Low: c, High: c, Method: "lin z"}}
	r := correlation(aa, bb, ab)
	if c*c >= 1-1e-14 || r*r >= 1-1e-14 || r == 0 {
		e.Warning = "no interval: the pairs lie on a line or are not related"
		return e, nil
	}
	variance := linVariance(math.Abs(c), math.Abs(r), shift*shift/(math.Sqrt(aa/n)*math.Sqrt(bb/n))) / (n - 2)
	half := zTwoSided(Level) * math.Sqrt(math.Max(0, variance))
	e.Low, e.High = math.Tanh(math.Atanh(c)-half), math.Tanh(math.Atanh(c)+half)
	return e, nil
}

// linVariance is (n-2) times the asymptotic variance of the z of a
// concordance c with correlation r and squared scaled shift u2; it is the
// same for negative c and r.
func linVariance(c, r, u2 float64) float64 {
	rest := 1 - c*c
	return (1-r*r)*c*c/(rest*r*r) + 2*c*c*c*(1-c)*u2/(r*rest*rest) - c*c*c*c*u2*u2/(2*r*r*rest*rest)
}

// Line is a straight line y = Intercept + Slope x by least squares.
type Line struct {
	Intercept, Slope     Estimate // with t intervals, method "least squares t"
	InterceptSE, SlopeSE float64
	N                    int
}

// Calibration fits observed = a + b predicted by least squares: a in the unit
// of observed, b in that over the unit of predicted; a good prediction has 0
// and 1. Standard errors with s² = RSS/(n-2), intervals with t(n-2). Refused:
// fewer than 3 pairs, predictions all equal, unequal lengths, NaN. Source:
// NIST/SEMATECH e-Handbook 4.1.4.1.
func Calibration(predicted, observed []float64) (Line, error) {
	if err := pairs(predicted, observed, 3); err != nil {
		return Line{}, err
	}
	xx, yy, xy := products(predicted, observed)
	if xx == 0 {
		return Line{}, fmt.Errorf("stats: all %d predictions are equal: a line needs values that vary", len(predicted))
	}
	n, mx := float64(len(predicted)), mean(predicted)
	slope := xy / xx
	s2 := math.Max(0, yy-slope*xy) / (n - 2)
	line := Line{N: len(predicted), SlopeSE: math.Sqrt(s2 / xx), InterceptSE: math.Sqrt(s2 * (1/n + mx*mx/xx))}
	t := tTwoSided(Level, n-2)
	around := func(v, se float64) Estimate {
		return Estimate{Value: v, Interval: Interval{Low: v - t*se, High: v + t*se, Method: "least squares t"}}
	}
	line.Slope = around(slope, line.SlopeSE)
	line.Intercept = around(mean(observed)-slope*mx, line.InterceptSE)
	return line, nil
}
