package stats

import "math"

// GeometricMeanInterval is the geometric mean of ratios with the interval
// exp(m ± t(n-1) s/√n), m and s the mean and standard deviation of their
// natural logarithms; without unit; method "log-normal t". It supposes that the
// logarithms are about normal, or n large. All-equal ratios give an interval
// of no width, with a warning. Refused: fewer than 2 ratios, NaN, a ratio at
// or below 0 (it has no logarithm). Source: Bland JM, Altman DG. BMJ
// 1996;312:1079.
func GeometricMeanInterval(ratios []float64) (Estimate, error) {
	if err := first(atLeast("an interval of a geometric mean", len(ratios), 2), positive("ratios", ratios...)); err != nil {
		return Estimate{}, err
	}
	logs := logsOf(ratios)
	m, n := mean(logs), float64(len(logs))
	half := tTwoSided(Level, n-1) * sd(logs) / math.Sqrt(n)
	e := Estimate{Value: math.Exp(m), Interval: Interval{Low: math.Exp(m - half), Method: "log-normal t"}}
	e.setHigh(math.Exp(m + half))
	if half == 0 {
		e.Warning = "the interval has no width: all ratios are equal"
	}
	return e, nil
}

// GeometricMeanRatio is the geometric mean of a over that of b, two
// independent groups, with exp(d ± t √(s_a²/n_a + s_b²/n_b)) on the logarithms
// and Welch's degrees of freedom; without unit; method "log-normal welch t".
// Both groups constant: no width, with a warning. Refused: fewer than 2
// values in a group, NaN, a value at or below 0. Source: Welch BL. Biometrika
// 1947;34:28-35; Bland JM, Altman DG. BMJ 1996;312:1153.
func GeometricMeanRatio(a, b []float64) (Estimate, error) {
	if err := first(atLeast("a ratio of geometric means, first group,", len(a), 2),
		atLeast("a ratio of geometric means, second group,", len(b), 2),
		positive("a", a...), positive("b", b...)); err != nil {
		return Estimate{}, err
	}
	la, lb := logsOf(a), logsOf(b)
	va, vb := sd(la)*sd(la)/float64(len(a)), sd(lb)*sd(lb)/float64(len(b))
	d := mean(la) - mean(lb)
	e := Estimate{Value: math.Exp(d), Interval: Interval{Low: math.Exp(d), High: math.Exp(d), Method: "log-normal welch t"}}
	if va+vb == 0 {
		e.Warning = "the interval has no width: both groups are constant"
		return e, nil
	}
	df := (va + vb) * (va + vb) / (va*va/float64(len(a)-1) + vb*vb/float64(len(b)-1))
	half := tTwoSided(Level, df) * math.Sqrt(va+vb)
	e.Low = math.Exp(d - half)
	e.setHigh(math.Exp(d + half))
	return e, nil
}

func logsOf(values []float64) []float64 {
	logs := make([]float64, len(values))
	for i, v := range values {
		logs[i] = math.Log(v)
	}
	return logs
}
