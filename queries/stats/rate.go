package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// PoissonExact is the rate count/exposure (events per unit of the exposure)
// with Garwood's exact interval, χ²(α/2; 2x)/2t and χ²(1-α/2; 2x+2)/2t; method
// "poisson exact". It supposes independent events: clustered ones need
// ClusteredRate. Count 0 has lower limit 0. With an expected number in place
// of the exposure it is observed over expected (ObservedExpected). Refused:
// exposure at or below 0, count negative or not whole, NaN. Source: Garwood F.
// Biometrika 1936;28:437-442.
func PoissonExact(count, exposure float64) (Estimate, error) {
	return PoissonExactAt(count, exposure, Level)
}

// PoissonExactAt is PoissonExact at another level (0 to 1).
func PoissonExactAt(events, exposure, level float64) (Estimate, error) {
	if err := first(count("count", events), positive("exposure", exposure), levelInside(level)); err != nil {
		return Estimate{}, err
	}
	tail := (1 - level) / 2
	e := Estimate{Value: events / exposure, Interval: Interval{Method: "poisson exact"}}
	if events > 0 {
		e.Low = gammaQuantile(tail, events) / exposure
	}
	e.High = gammaQuantile(1-tail, events+1) / exposure
	return e, nil
}

// fewClusters is where the normal interval of a clustered rate starts to be
// clearly too narrow (common practice).
const fewClusters = 10

// ClusteredRate is the ratio of sums r = Σx/Σt of m clusters (x events in
// exposure t each; r in events per unit of t) with the interval
// r exp(±z se/r), se² = m/(m-1) Σ(x_i - r t_i)² / (Σt)²; method "clustered".
// It supposes independent clusters, whatever happens inside one. All x 0: the
// exact Poisson interval of PoissonExact with that method's name and a
// warning. Fewer than 10 clusters, or events in one cluster only: a warning.
// All clusters of the same rate: an interval of no width, with a warning.
// Refused: fewer than 2 clusters, an exposure at or below 0, a count negative
// or not whole, NaN, unequal lengths. Source: Cochran WG. Sampling
// Techniques, 3rd ed. 1977, 6.3 (ratio estimate); definitions of this project.
func ClusteredRate(x, t []float64) (Estimate, error) {
	if err := clustersFit(x, t); err != nil {
		return Estimate{}, err
	}
	events, exposure := sum(x), sum(t)
	r, ss, hit := events/exposure, 0.0, 0
	for i := range x {
		d := x[i] - r*t[i]
		ss += d * d
		if x[i] > 0 {
			hit++
		}
	}
	return clusteredRate(len(x), hit, events, exposure, ss)
}

// clusteredRate is that of m clusters, hit of them with an event, whose squared distances from the common rate add up to ss.
func clusteredRate(m, hit int, events, exposure, ss float64) (Estimate, error) {
	if events == 0 {
		e, err := PoissonExact(0, exposure)
		e.Warning = "no events: exact Poisson interval, which takes events for independent"
		return e, err
	}
	r := events / exposure
	half := zTwoSided(Level) * math.Sqrt(float64(m)/float64(m-1)*ss) / exposure / r
	e := Estimate{Value: r, Interval: Interval{Low: r * math.Exp(-half), Method: "clustered"}}
	e.setHigh(r * math.Exp(half))
	e.Warning = clusterWarning(m, hit, half)
	return e, nil
}

func clustersFit(x, t []float64) error {
	return first(sameLength("counts", x, "exposures", t), atLeast("a clustered rate", len(x), 2),
		counts("counts", x...), positive("exposures", t...))
}

func clusterWarning(m, hit int, half float64) string {
	switch {
	case half < 1e-12:
		return "the interval has no width: all clusters have the same rate"
	case hit == 1:
		return "all events are in one cluster: the interval says little"
	case m < fewClusters:
		return fmt.Sprintf("only %d clusters: the interval is likely too narrow", m)
	}
	return ""
}

func sum(xs []float64) float64 {
	total := 0.0
	for _, v := range xs {
		total += v
	}
	return total
}

// PoissonTail is P(X >= k) for a Poisson mean, to say how rare k events or more
// would be by chance; 0 to 1, without loss of digits in the far tail. k = 0
// gives 1; mean 0 gives 0. Refused: k negative, not whole or NaN, a mean
// negative, above 1e70 or NaN. Source: Poisson law.
func PoissonTail(k, mean float64) (float64, error) {
	if err := first(count("count", k), finite("mean", []float64{mean})); err != nil {
		return 0, err
	}
	switch {
	case mean < 0:
		return 0, fmt.Errorf("stats: mean is %v: expected a mean from 0", mean)
	case k == 0:
		return 1, nil
	case mean == 0:
		return 0, nil
	}
	return mathext.GammaIncReg(k, mean), nil
}
