package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"
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

// StandardizedDifferenceOfLevels is the same for a trait of several levels: counts of each level in two groups, in the same
// order. With p and q the shares of all levels but one it is √((p-q)'S⁻¹(p-q)), S the mean of the two multinomial
// covariances; it has no sign. Levels that neither group has are passed over; one level alone gives 0. Refused: counts
// negative, not whole or NaN, an empty group, unequal lengths, groups without a level in common. Source: Yang D, Dalton JE. SAS
// Global Forum 2012, paper 335.
func StandardizedDifferenceOfLevels(a, b []float64) (float64, error) {
	if len(a) != len(b) {
		return 0, fmt.Errorf("stats: standardized difference of levels: %d and %d counts: expected the same number", len(a), len(b))
	}
	if err := first(counts("first group", a...), counts("second group", b...)); err != nil {
		return 0, err
	}
	na, nb := sum(a), sum(b)
	if na == 0 || nb == 0 {
		return 0, fmt.Errorf("stats: standardized difference of levels: groups of %v and %v: expected members in both", na, nb)
	}
	var p, q []float64
	for i := range a {
		if a[i]+b[i] > 0 {
			p, q = append(p, a[i]/na), append(q, b[i]/nb)
		}
	}
	k := len(p) - 1
	if k == 0 {
		return 0, nil
	}
	d, s := mat.NewVecDense(k, nil), mat.NewSymDense(k, nil)
	for i := range k {
		d.SetVec(i, p[i]-q[i])
		s.SetSym(i, i, (p[i]*(1-p[i])+q[i]*(1-q[i]))/2)
		for j := range i {
			s.SetSym(i, j, -(p[i]*p[j]+q[i]*q[j])/2)
		}
	}
	var chol mat.Cholesky
	if !chol.Factorize(s) || chol.Cond() > 1e12 {
		return 0, fmt.Errorf("stats: standardized difference of levels: the groups have no level in common")
	}
	var solved mat.VecDense
	if err := chol.SolveVecTo(&solved, d); err != nil {
		return 0, fmt.Errorf("stats: standardized difference of levels: %v", err)
	}
	return math.Sqrt(mat.Dot(d, &solved)), nil
}
