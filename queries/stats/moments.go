package stats

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// Quantile is the Hyndman-Fan type 7 quantile of values in ascending order:
// with h = (n-1)p, x[⌊h⌋] + (h-⌊h⌋)(x[⌊h⌋+1] - x[⌊h⌋]), in the unit of the
// values. p is a fraction from 0 to 1; 0 gives the least, 1 the greatest.
// One value is its own quantile for every p; ties and all-equal data need no
// care. Refused: no value, NaN, values not ascending, p outside [0, 1].
// Source: Hyndman RJ, Fan Y. Am Stat 1996;50:361-365, definition 7.
func Quantile(sorted []float64, p float64) (float64, error) {
	if err := ascending(sorted); err != nil {
		return 0, err
	}
	if !(p >= 0 && p <= 1) {
		return 0, fmt.Errorf("stats: quantile fraction is %v: expected 0 to 1", p)
	}
	return quantile7(sorted, p), nil
}

func quantile7(sorted []float64, p float64) float64 {
	h := float64(len(sorted)-1) * p
	k := int(math.Floor(h))
	if k+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	part := h - float64(k)
	return sorted[k] + part*(sorted[k+1]-sorted[k])
}

// Median is Quantile(sorted, 0.5): the middle value, or the mean of the two in
// the middle. Refused as Quantile refuses.
func Median(sorted []float64) (float64, error) { return Quantile(sorted, 0.5) }

// Mean is Σx/n in the unit of the values, summed in two passes so that a large
// common part costs no digits. One value is its own mean. Refused: no value,
// NaN. Source: NIST StRD, univariate summary statistics.
func Mean(values []float64) (float64, error) {
	if err := first(atLeast("a mean", len(values), 1), finite("values", values)); err != nil {
		return 0, err
	}
	return mean(values), nil
}

// mean corrects the plain mean by the mean of the residuals.
func mean(values []float64) float64 {
	m := stat.Mean(values, nil)
	rest := 0.0
	for _, v := range values {
		rest += v - m
	}
	return m + rest/float64(len(values))
}

// SD is the sample standard deviation sqrt(Σ(x-mean)²/(n-1)), in the unit of
// the values, by two passes with correction. All-equal values give 0.
// Refused: fewer than 2 values, NaN. Source: NIST StRD; Chan TF, Golub GH,
// LeVeque RJ. Am Stat 1983;37:242-247.
func SD(values []float64) (float64, error) {
	if err := first(atLeast("a standard deviation", len(values), 2), finite("values", values)); err != nil {
		return 0, err
	}
	return sd(values), nil
}

func sd(values []float64) float64 {
	ss, m := 0.0, mean(values)
	rest := 0.0
	for _, v := range values {
		d := v - m
		ss += d * d
		rest += d
	}
	n := float64(len(values))
	return math.Sqrt(math.Max(0, (ss-rest*rest/n)/(n-1)))
}

// LagOne is the autocorrelation of neighbours,
// Σ(x_i-m)(x_{i+1}-m)/Σ(x_i-m)², a number without unit. A value far from 0
// says that the limits of a control chart made for independent points do not
// hold. Refused: fewer than 3 values, NaN, all-equal values (0/0). Source:
// NIST/SEMATECH e-Handbook 1.3.5.12.
func LagOne(values []float64) (float64, error) {
	if err := first(atLeast("an autocorrelation", len(values), 3), finite("values", values)); err != nil {
		return 0, err
	}
	m := mean(values)
	num, den := 0.0, 0.0
	for i, v := range values {
		den += (v - m) * (v - m)
		if i > 0 {
			num += (v - m) * (values[i-1] - m)
		}
	}
	if den == 0 {
		return 0, fmt.Errorf("stats: all %d values are equal: an autocorrelation needs values that vary", len(values))
	}
	return num / den, nil
}

// ascending refuses an empty slice, NaN and values out of order.
func ascending(sorted []float64) error {
	if err := first(atLeast("a quantile", len(sorted), 1), finite("values", sorted)); err != nil {
		return err
	}
	if !slices.IsSorted(sorted) {
		return fmt.Errorf("stats: values are not in ascending order: sort them before")
	}
	return nil
}

// sortedCopy leaves the caller's slice as it was.
func sortedCopy(values []float64) []float64 {
	s := slices.Clone(values)
	slices.Sort(s)
	return s
}
