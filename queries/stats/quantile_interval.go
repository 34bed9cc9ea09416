package stats

import (
	"fmt"
	"math"
)

// QuantileInterval is the type 7 quantile p of values in ascending order with the interval between two order statistics
// that leave at most 2.5 % on each side, in the unit of the values; method "order statistics". It supposes independent
// values of one distribution, of whatever form. Near the ends few values cannot bound a quantile: without a lower rank
// Low is the smallest value and Warning says so; without an upper one the interval is Open. Coverage is the probability
// reached, of the side that exists. Refused: p outside 0.001 to 0.999, no values, NaN, values out of order. Source:
// Conover WJ. Practical Nonparametric Statistics, 3rd ed. 1999, section 3.2.
func QuantileInterval(sorted []float64, p float64) (Estimate, error) {
	if err := ascending(sorted); err != nil {
		return Estimate{}, err
	}
	if !(p >= 0.001 && p <= 0.999) {
		return Estimate{}, fmt.Errorf("stats: quantile %v: expected a share of 0.001 to 0.999", p)
	}
	n := float64(len(sorted))
	lower, upper := quantileRanks(n, p)
	e := Estimate{Value: quantile7(sorted, p), Interval: Interval{Low: sorted[0], Method: "order statistics"}}
	if lower >= 1 {
		e.Low = sorted[lower-1]
	} else {
		e.Warning = fmt.Sprintf("%d values give this quantile no lower limit: the smallest stands for it", len(sorted))
	}
	if upper <= len(sorted) {
		e.setHigh(sorted[upper-1])
	} else {
		e.Open, e.High = true, math.MaxFloat64
		e.Warning = join(e.Warning, fmt.Sprintf("%d values give this quantile no upper limit", len(sorted)))
	}
	e.Coverage = binomialCDF(float64(upper)-1, n, p) - binomialCDF(float64(lower)-1, n, p)
	return e, nil
}

// quantileRanks are the largest lower rank (from 1; 0: none) with P(B < lower) <= 2.5 % and the smallest upper rank with
// P(B >= upper) <= 2.5 %, B binomial(n, p); n+1 where there is none.
func quantileRanks(n, p float64) (lower, upper int) {
	const tail = (1 - Level) / 2
	for lower < int(n) && binomialCDF(float64(lower), n, p) <= tail {
		lower++
	}
	upper = lower
	for upper <= int(n) && 1-binomialCDF(float64(upper)-1, n, p) > tail {
		upper++
	}
	return lower, max(upper, 1)
}
