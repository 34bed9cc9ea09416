package stats

import (
	"fmt"
	"math"
)

// Test is a test of a hypothesis.
type Test struct {
	// Statistic is the test's own number (chi-square, W, H); 0 where it has none.
	Statistic float64
	// DF is its degrees of freedom; 0 where it has none.
	DF float64
	// P is the two-sided p-value, 0 to 1.
	P       float64
	Method  string
	Warning string
}

// twoGroups refuses counts that are no two-by-two table.
func twoGroups(x1, n1, x2, n2 float64) error { return first(successes(x1, n1), successes(x2, n2)) }

// NewcombeDifference is the difference x1/n1 - x2/n2 (-1 to 1) of independent
// proportions with the interval from two Wilson intervals (l, u):
// d - √((p1-l1)²+(u2-p2)²) to d + √((u1-p1)²+(p2-l2)²); method "newcombe".
// It needs no care at 0 or all. Refused as Wilson refuses. Source: Newcombe RG.
// Stat Med 1998;17:873-890, method 10.
func NewcombeDifference(x1, n1, x2, n2 float64) (Estimate, error) {
	a, err1 := Wilson(x1, n1)
	b, err2 := Wilson(x2, n2)
	if err := first(err1, err2); err != nil {
		return Estimate{}, err
	}
	d := a.Value - b.Value
	return Estimate{Value: d, Interval: Interval{
		Low:    math.Max(-1, d-math.Hypot(a.Value-a.Low, b.High-b.Value)),
		High:   math.Min(1, d+math.Hypot(a.High-a.Value, b.Value-b.Low)),
		Method: "newcombe",
	}}, nil
}

// WaldDifference is the same difference with d ± z√(p1q1/n1 + p2q2/n2); method
// "wald". It is too narrow in small groups: prefer NewcombeDifference. Both
// proportions 0 or 1 give no width, with a warning. Refused as Wilson refuses.
// Source: as NewcombeDifference, method 1.
func WaldDifference(x1, n1, x2, n2 float64) (Estimate, error) {
	if err := twoGroups(x1, n1, x2, n2); err != nil {
		return Estimate{}, err
	}
	p1, p2 := x1/n1, x2/n2
	half := zTwoSided(Level) * math.Sqrt(p1*(1-p1)/n1+p2*(1-p2)/n2)
	e := Estimate{Value: p1 - p2, Interval: Interval{Low: p1 - p2 - half, High: p1 - p2 + half, Method: "wald"}}
	if half == 0 {
		e.Warning = "the interval has no width: use the newcombe interval"
	}
	return e, nil
}

// RiskRatio is (x1/n1)/(x2/n2) with exp(ln r ± z√(1/x1-1/n1+1/x2-1/n2));
// method "katz". All of both groups affected: no width, with a warning. Refused:
// no case in a group (the logarithm does not exist: use NewcombeDifference or
// OddsRatioConditional), and as Wilson refuses. Source: Katz D and others.
// Biometrics 1978;34:469-474.
func RiskRatio(x1, n1, x2, n2 float64) (Estimate, error) {
	if err := twoGroups(x1, n1, x2, n2); err != nil {
		return Estimate{}, err
	}
	if x1 == 0 || x2 == 0 {
		return Estimate{}, fmt.Errorf("stats: risk ratio of %v of %v against %v of %v: expected a case in each group; use the difference or the conditional odds ratio", x1, n1, x2, n2)
	}
	e := logRatio(x1/n1/(x2/n2), math.Sqrt(math.Max(0, 1/x1-1/n1+1/x2-1/n2)))
	e.Method = "katz"
	return e, nil
}

// OddsRatio is x1(n2-x2)/(x2(n1-x1)) with exp(ln o ± z√Σ1/cell); method
// "woolf". Refused: an empty cell (use OddsRatioConditional), and as Wilson
// refuses. Source: Woolf B. Ann Hum Genet 1955;19:251-253.
func OddsRatio(x1, n1, x2, n2 float64) (Estimate, error) {
	if err := twoGroups(x1, n1, x2, n2); err != nil {
		return Estimate{}, err
	}
	y1, y2 := n1-x1, n2-x2
	if x1 == 0 || x2 == 0 || y1 == 0 || y2 == 0 {
		return Estimate{}, fmt.Errorf("stats: odds ratio of %v of %v against %v of %v: expected no empty cell; use the conditional odds ratio", x1, n1, x2, n2)
	}
	e := logRatio(x1/y1/(x2/y2), math.Sqrt(1/x1+1/y1+1/x2+1/y2))
	e.Method = "woolf"
	return e, nil
}

// logRatio is a ratio with a normal interval of its logarithm.
func logRatio(ratio, se float64) Estimate {
	half := zTwoSided(Level) * se
	e := Estimate{Value: ratio, Interval: Interval{Low: ratio * math.Exp(-half)}}
	e.setHigh(ratio * math.Exp(half))
	if se == 0 {
		e.Warning = "the interval has no width: there is no spread"
	}
	return e
}

// RateRatio is (x1/t1)/(x2/t2), events over exposure in two groups, with the
// exact interval given x1+x2: Clopper and Pearson limits of x1 in x1+x2 as odds
// times t2/t1; method "exact conditional". No event in the second group: value
// and upper limit do not exist (Infinite, Open), the lower limit stands. None
// in the first: value and lower limit 0. Digits as ClopperPearson. Refused: no event at all, exposures
// at or below 0, counts negative, not whole or NaN. Source: Breslow NE, Day
// NE. Statistical Methods in Cancer Research II, 1987, 3.4.
func RateRatio(x1, t1, x2, t2 float64) (Estimate, error) {
	if err := first(counts("counts", x1, x2), positive("exposures", t1, t2)); err != nil {
		return Estimate{}, err
	}
	if x1+x2 == 0 {
		return Estimate{}, fmt.Errorf("stats: rate ratio: expected an event in at least one group, got none")
	}
	share, err := ClopperPearson(x1, x1+x2)
	if err != nil {
		return Estimate{}, err
	}
	e := Estimate{Interval: Interval{Low: share.Low / (1 - share.Low) * (t2 / t1), Method: "exact conditional"}}
	e.setValue(x1 / x2 * (t2 / t1))
	e.setHigh(share.High / (1 - share.High) * (t2 / t1))
	return e, nil
}

// ChiSquare is Pearson's test of two independent proportions, χ² =
// Σ(|O-E|-c)²/E with 1 degree of freedom; c is 0, or with yates
// min(1/2, |O-E|). An expected count under 5 gives a warning. Refused: nobody
// or everybody affected (expected counts of 0), and as Wilson refuses. Source:
// Fleiss JL. Statistical Methods for Rates and Proportions, 1981, 2.1.
func ChiSquare(x1, n1, x2, n2 float64, yates bool) (Test, error) {
	if err := twoGroups(x1, n1, x2, n2); err != nil {
		return Test{}, err
	}
	cases, total := x1+x2, n1+n2
	if cases == 0 || cases == total {
		return Test{}, fmt.Errorf("stats: chi-square: %v of %v are cases: expected some and not all", cases, total)
	}
	expected := n1 * cases / total
	shift, method := math.Abs(x1-expected), "chi-square"
	if yates {
		shift, method = shift-math.Min(0.5, shift), "chi-square, yates"
	}
	statistic, least := 0.0, math.Inf(1)
	for _, e := range []float64{expected, n1 - expected, cases - expected, n2 - (cases - expected)} {
		statistic += shift * shift / e
		least = math.Min(least, e)
	}
	test := Test{Statistic: statistic, DF: 1, P: chiSquareP(statistic, 1), Method: method}
	if least < 5 {
		test.Warning = fmt.Sprintf("an expected count is %.1f, under 5: use the exact test", least)
	}
	return test, nil
}
