package stats

// MedianRanks gives the ranks (from 1) of the order statistics that bound the
// median of n independent values with at least 95 %: the largest lower rank j
// with P(j <= B < n+1-j) >= 0.95, B binomial(n, 1/2); upper = n+1-j. Coverage
// is that probability, a lower bound where values tie. Refused: n < 6, where
// even the extremes cover less. Source: Conover WJ. Practical Nonparametric
// Statistics, 3rd ed. 1999, section 3.2.
func MedianRanks(n int) (lower, upper int, coverage float64, err error) {
	if err := atLeast("an interval of the median", n, 6); err != nil {
		return 0, 0, 0, err
	}
	size := float64(n)
	// The smallest k with P(B <= k) >= alpha/2, so that rank k leaves less
	// than alpha/2 outside on each side.
	k := binomialQuantile((1-Level)/2, size, 0.5)
	coverage = 1 - 2*binomialCDF(k-1, size, 0.5)
	return int(k), n + 1 - int(k), coverage, nil
}

// MedianInterval is the median of values in ascending order with the interval
// between two order statistics of symmetric ranks (MedianRanks), in the unit
// of the values; method "order statistics". It supposes independent values of
// one distribution, of whatever form. Coverage is the probability reached.
// All-equal values give an interval of no width, with a warning. Refused:
// fewer than 6 values, NaN, values out of order. Source: as MedianRanks.
func MedianInterval(sorted []float64) (Estimate, error) {
	lower, upper, coverage, err := MedianRanks(len(sorted))
	if err = first(err, ascending(sorted)); err != nil {
		return Estimate{}, err
	}
	e := Estimate{Value: quantile7(sorted, 0.5), Interval: Interval{
		Low: sorted[lower-1], High: sorted[upper-1], Method: "order statistics",
		Coverage: coverage,
	}}
	if e.Low == e.High {
		e.Warning = "the interval has no width: the values tie"
	}
	return e, nil
}
