package stats

import (
	"fmt"
	"math"
)

// Moments are what a ratio of sums over n units needs: Σx, Σt, Σx², Σxt and Σt², so that units by the million need not
// be passed.
type Moments struct{ N, X, T, XX, XT, TT float64 }

// MomentsOf adds up the units x and t of a ratio. Refused: unequal lengths, NaN.
func MomentsOf(x, t []float64) (Moments, error) {
	if err := first(sameLength("x", x, "t", t), finite("x", x), finite("t", t)); err != nil {
		return Moments{}, err
	}
	m := Moments{N: float64(len(x))}
	for i := range x {
		m.X, m.T = m.X+x[i], m.T+t[i]
		m.XX, m.XT, m.TT = m.XX+x[i]*x[i], m.XT+x[i]*t[i], m.TT+t[i]*t[i]
	}
	return m, nil
}

// RatioOfSums is r = Σx/Σt of independent units, x of either sign, with the interval r ± t(n-1) se of the given level,
// se² = n/(n-1) Σ(x - r t)² / (Σt)²; in units of x per unit of t; method "ratio of sums t". Unlike ClusteredRate, whose
// x are counts and whose limits lie on the log scale, it allows a ratio at or below 0. Units of one ratio give an interval
// of no width, with a warning. Refused: fewer than 2 units, Σt at or below 0, NaN, a level outside 0.01 to 0.9999999.
// Source: Cochran WG. Sampling Techniques, 3rd ed. 1977, 6.3.
func RatioOfSums(m Moments, level float64) (Estimate, error) {
	if err := first(atLeast("a ratio of sums", int(m.N), 2), positive("Σt", m.T), levelInside(level),
		finite("moments", []float64{m.N, m.X, m.XX, m.XT, m.TT})); err != nil {
		return Estimate{}, err
	}
	se := m.SE()
	r, half := m.X/m.T, tTwoSided(level, m.N-1)*se
	e := Estimate{Value: r, Interval: Interval{Low: r - half, High: r + half, Method: "ratio of sums t"}}
	if se == 0 {
		e.Warning = fmt.Sprintf("the interval has no width: all %v units have the same ratio", m.N)
	}
	return e, nil
}

// SE is the standard error of Σx/Σt, as RatioOfSums uses it. NaN with fewer than 2 units or Σt of 0.
func (m Moments) SE() float64 {
	r := m.X / m.T
	spread := math.Max(0, m.XX-2*r*m.XT+r*r*m.TT)
	if spread <= 1e-14*(m.XX+r*r*m.TT) { // what is left of equal ratios after rounding
		spread = 0
	}
	return math.Sqrt(m.N/(m.N-1)*spread) / m.T
}

// TQuantile is the two-sided t of a level: the number of standard errors that an interval with df degrees of freedom
// takes on each side. Refused: df below 1, a level outside 0.01 to 0.9999999.
func TQuantile(level, df float64) (float64, error) {
	if err := levelInside(level); err != nil {
		return 0, err
	}
	if !(df >= 1) {
		return 0, fmt.Errorf("stats: degrees of freedom are %v: expected 1 or more", df)
	}
	return tTwoSided(level, df), nil
}
