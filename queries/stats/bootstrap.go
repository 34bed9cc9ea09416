package stats

import (
	"fmt"
	"math/rand/v2"
	"slices"
)

// resamples is how often a bootstrap draws anew (Efron and Tibshirani 1993 advise 1000 and more for percentile limits).
const resamples = 2000

// BootstrapSum is the sum of values with a percentile interval from a bootstrap over blocks: each value is what one block
// (a week) adds to the sum, and as many blocks as there are are drawn anew, with replacement, 2000 times; limits are the
// type 7 quantiles 2.5 and 97.5 % of the sums. What lies together inside a block stays together. It supposes that blocks are
// independent and alike. The same values and seed give the same limits. Method "bootstrap over blocks". Warned of: blocks of
// no width (all sums alike), fewer than 10 blocks. Refused: no block, NaN. Source: Efron B, Tibshirani RJ. An Introduction to
// the Bootstrap, 1993, chapters 8 and 13.
func BootstrapSum(blocks []float64, seed uint64) (Estimate, error) {
	if err := first(atLeast("a bootstrap over blocks", len(blocks), 1), finite("blocks", blocks)); err != nil {
		return Estimate{}, err
	}
	if slices.Min(blocks) == slices.Max(blocks) { // every draw gives the same
		e := Estimate{Value: sum(blocks), Interval: Interval{Method: "bootstrap over blocks", Warning: alikeBlocks}}
		e.Low, e.High = e.Value, e.Value
		return e, nil
	}
	return bootstrap(len(blocks), seed, func(drawn []int) float64 {
		sum := 0.0
		for _, i := range drawn {
			sum += blocks[i]
		}
		return sum
	}), nil
}

// BootstrapRatio is Σa/Σb over blocks as BootstrapSum has it; draws in which Σb is 0 are left out. Refused as there, and
// unequal lengths and Σb = 0.
func BootstrapRatio(a, b []float64, seed uint64) (Estimate, error) {
	err := first(atLeast("a bootstrap over blocks", len(a), 1), sameLength("a", a, "b", b), finite("a", a), finite("b", b))
	if err == nil && sum(b) == 0 {
		err = fmt.Errorf("stats: the denominators add up to 0: a ratio needs something to divide by")
	}
	if err != nil {
		return Estimate{}, err
	}
	return bootstrap(len(a), seed, func(drawn []int) float64 {
		over, under := 0.0, 0.0
		for _, i := range drawn {
			over, under = over+a[i], under+b[i]
		}
		return over / under
	}), nil
}

const alikeBlocks = "all blocks are alike: the interval has no width"

// fewBlocks is where a percentile interval becomes clearly too narrow (common practice).
const fewBlocks = 10

// bootstrap draws blocks anew; statistic takes the numbers of the blocks drawn, each once and in order the first time, which
// gives the value. Draws without a finite value are left out.
func bootstrap(blocks int, seed uint64, statistic func(drawn []int) float64) Estimate {
	drawn := make([]int, blocks)
	for i := range drawn {
		drawn[i] = i
	}
	e := Estimate{Value: statistic(drawn), Interval: Interval{Method: "bootstrap over blocks"}}
	dice := rand.New(rand.NewPCG(seed, 0))
	found := []float64{e.Value}
	for range resamples {
		for i := range drawn {
			drawn[i] = dice.IntN(blocks)
		}
		if v := statistic(drawn); isFinite(v) {
			found = append(found, v)
		}
	}
	if len(found) > 1 {
		found = found[1:]
	}
	slices.Sort(found)
	e.Low, e.High = quantile7(found, (1-Level)/2), quantile7(found, (1+Level)/2)
	switch {
	case blocks < fewBlocks:
		e.Warning = fmt.Sprintf("%d blocks only: the interval is too narrow", blocks)
	case found[0] == found[len(found)-1]:
		e.Warning = alikeBlocks
	}
	return e
}
