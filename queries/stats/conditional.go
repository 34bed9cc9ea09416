package stats

import (
	"fmt"
	"math"
)

// hypergeometric is the law of x1 given all margins of a two-by-two table,
// as logarithms of weights for an odds ratio of 1, the greatest being 0.
type hypergeometric struct {
	low, high int       // possible x1
	logs      []float64 // logs[k-low]
}

// newHypergeometric builds the weights by the ratio of neighbours, which loses
// no digits however large the table.
func newHypergeometric(n1, n2, cases float64) hypergeometric {
	h := hypergeometric{low: int(math.Max(0, cases-n2)), high: int(math.Min(n1, cases))}
	h.logs = make([]float64, h.high-h.low+1)
	top := 0.0
	for i := 1; i < len(h.logs); i++ {
		k := float64(h.low + i)
		h.logs[i] = h.logs[i-1] + math.Log((n1-k+1)*(cases-k+1)/(k*(n2-cases+k)))
		top = math.Max(top, h.logs[i])
	}
	for i := range h.logs {
		h.logs[i] -= top
	}
	return h
}

// weights are the probabilities for an odds ratio of exp(u).
func (h hypergeometric) weights(u float64) []float64 {
	w, top := make([]float64, len(h.logs)), math.Inf(-1)
	for i, l := range h.logs {
		w[i] = l + u*float64(i)
		top = math.Max(top, w[i])
	}
	total := 0.0
	for i := range w {
		w[i] = math.Exp(w[i] - top)
		total += w[i]
	}
	for i := range w {
		w[i] /= total
	}
	return w
}

func (h hypergeometric) mean(u float64) float64 {
	m := 0.0
	for i, p := range h.weights(u) {
		m += p * float64(h.low+i)
	}
	return m
}

// atLeast is P(X1 >= x).
func (h hypergeometric) atLeast(x int, u float64) float64 {
	p := 0.0
	for i, w := range h.weights(u) {
		if h.low+i >= x {
			p += w
		}
	}
	return p
}

// rising solves f(u) = target for a rising f by widening and halving.
func rising(f func(float64) float64, target float64) float64 {
	lo, hi := -1.0, 1.0
	for f(lo) > target && lo > -1e6 {
		lo *= 2
	}
	for f(hi) < target && hi < 1e6 {
		hi *= 2
	}
	for range 200 {
		mid := lo + (hi-lo)/2
		if mid == lo || mid == hi {
			break
		}
		if f(mid) < target {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo + (hi-lo)/2
}

// conditionalTable checks the margins and builds the law.
func conditionalTable(x1, n1, x2, n2 float64) (hypergeometric, error) {
	if err := twoGroups(x1, n1, x2, n2); err != nil {
		return hypergeometric{}, err
	}
	if n1+n2 > 1e7 {
		return hypergeometric{}, fmt.Errorf("stats: a conditional analysis of %v cases: expected at most 1e7; use the chi-square test", n1+n2)
	}
	return newHypergeometric(n1, n2, x1+x2), nil
}

// OddsRatioConditional is the odds ratio of x1 of n1 against x2 of n2 by
// maximum likelihood given the margins (not the plain cross product), with the
// exact interval whose ends leave 2.5 % in the tails of Fisher's noncentral
// hypergeometric law; method "conditional exact". x1 the least possible: value
// and lower limit 0. x1 the greatest possible: no value and no upper limit
// (Infinite, Open). Refused: nobody or everybody affected (any odds ratio
// would do), more than 1e7 cases, and as Wilson refuses. Source: Cornfield J.
// Proc Third Berkeley Symp 1956;4:135-148; as R's fisher.test.
func OddsRatioConditional(x1, n1, x2, n2 float64) (Estimate, error) {
	h, err := conditionalTable(x1, n1, x2, n2)
	if err != nil {
		return Estimate{}, err
	}
	if h.low == h.high {
		return Estimate{}, fmt.Errorf("stats: conditional odds ratio of %v of %v against %v of %v: expected some cases and not all", x1, n1, x2, n2)
	}
	x, tail := int(x1), (1-Level)/2
	e := Estimate{Interval: Interval{Method: "conditional exact"}}
	switch {
	case x == h.high:
		e.setValue(math.Inf(1))
	case x > h.low:
		e.Value = math.Exp(rising(h.mean, x1))
	}
	if x > h.low {
		e.Low = math.Exp(rising(func(u float64) float64 { return h.atLeast(x, u) }, tail))
	}
	if x == h.high {
		e.setHigh(math.Inf(1))
		return e, nil
	}
	e.setHigh(math.Exp(rising(func(u float64) float64 { return h.atLeast(x+1, u) }, 1-tail)))
	return e, nil
}

// Fisher is Fisher's exact test of x1 of n1 against x2 of n2, two-sided: the
// sum of all tables with these margins that are not more probable than the
// one seen (within a part in 1e7, so that equal ones count as equal); method
// "fisher exact". Nobody or everybody affected gives 1. Refused: more than 1e7
// cases, and as Wilson refuses. Source: Fisher RA. J R Stat Soc 1935;98:39-82;
// as R's fisher.test.
func Fisher(x1, n1, x2, n2 float64) (Test, error) {
	h, err := conditionalTable(x1, n1, x2, n2)
	if err != nil {
		return Test{}, err
	}
	w, p := h.weights(0), 0.0
	seen := w[int(x1)-h.low] * (1 + 1e-7)
	for _, v := range w {
		if v <= seen {
			p += v
		}
	}
	return Test{P: math.Min(1, p), Method: "fisher exact"}, nil
}
