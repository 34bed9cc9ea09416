package stats

import (
	"fmt"
	"math"
)

// ObservedExpected is observed events over the expected number with the exact
// Poisson interval (PoissonExact with the expected number as exposure); method
// "poisson exact". The expected number is taken as known. Refused as
// PoissonExact refuses. Source: Breslow NE, Day NE 1987, 2.3.
func ObservedExpected(observed, expected float64) (Estimate, error) {
	return PoissonExact(observed, expected)
}

// MTBF is the mean time between failures T/r after a stated time on test (time
// truncated), in the unit of hours, at a two-sided level (0 to 1): lower limit
// 2T/χ²(1-α/2; 2r+2), upper 2T/χ²(α/2; 2r); method "chi-square, time
// truncated". It supposes a constant failure rate. No failure: no value and no
// upper limit (Infinite, Open), and the lower limit is one-sided at the level,
// 2T/χ²(level; 2), with a warning. Refused: hours at or below 0, failures
// negative or not whole, NaN. Source: NIST/SEMATECH e-Handbook 8.4.5.1.
func MTBF(hours, failures, level float64) (Estimate, error) {
	if err := first(positive("hours", hours), count("failures", failures), levelInside(level)); err != nil {
		return Estimate{}, err
	}
	e := Estimate{Interval: Interval{Method: "chi-square, time truncated"}}
	if failures == 0 {
		e.setValue(math.Inf(1))
		e.setHigh(math.Inf(1))
		e.Low = hours / gammaQuantile(level, 1)
		e.Warning = "no failure: the lower limit is one-sided"
		return e, nil
	}
	tail := (1 - level) / 2
	e.setValue(hours / failures)
	e.Low = hours / gammaQuantile(1-tail, failures+1)
	e.setHigh(hours / gammaQuantile(tail, failures))
	return e, nil
}

// MTBFFailureTruncated is MTBF where the time ends at the last failure: lower
// limit 2T/χ²(1-α/2; 2r); method "chi-square, failure truncated". Refused: no
// failure, and as MTBF refuses. Source: as MTBF.
func MTBFFailureTruncated(hours, failures, level float64) (Estimate, error) {
	if failures == 0 {
		return Estimate{}, fmt.Errorf("stats: failure-truncated time without a failure: expected at least 1")
	}
	e, err := MTBF(hours, failures, level)
	if err != nil {
		return Estimate{}, err
	}
	e.Low = hours / gammaQuantile(1-(1-level)/2, failures)
	e.Method = "chi-square, failure truncated"
	return e, nil
}
