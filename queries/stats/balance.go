package stats

import (
	"fmt"
	"math"
)

// StandardizedDifference is (mean a - mean b)/√((s_a²+s_b²)/2), in standard
// deviations, for the balance of two groups. Both groups constant and equal: 0.
// Refused: a group under 2 values, NaN, groups constant and different. Source:
// Austin PC. Commun Stat Simul Comput 2009;38:1228-1234.
func StandardizedDifference(a, b []float64) (float64, error) {
	if err := first(atLeast("a standardized difference, first group,", len(a), 2),
		atLeast("a standardized difference, second group,", len(b), 2), finite("a", a), finite("b", b)); err != nil {
		return 0, err
	}
	return standardize(mean(a)-mean(b), sd(a)*sd(a), sd(b)*sd(b))
}

// StandardizedDifferenceOfProportions is the same for x1 of n1 against x2 of n2
// with variances p(1-p). Refused: as Wilson refuses; 0 against all. Source: as
// StandardizedDifference.
func StandardizedDifferenceOfProportions(x1, n1, x2, n2 float64) (float64, error) {
	if err := twoGroups(x1, n1, x2, n2); err != nil {
		return 0, err
	}
	p, q := x1/n1, x2/n2
	return standardize(p-q, p*(1-p), q*(1-q))
}

func standardize(d, va, vb float64) (float64, error) {
	if d == 0 {
		return 0, nil
	}
	if va+vb == 0 {
		return 0, fmt.Errorf("stats: both groups are constant and differ by %v: a standardized difference needs spread", d)
	}
	return d / math.Sqrt((va+vb)/2), nil
}
