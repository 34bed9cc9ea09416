package invent

import (
	"math"
	"math/rand/v2"
)

// stream keeps the draws for one aspect of a transport apart, so that a change in one does not ripple through the others.
type stream uint64

const (
	streamCalls stream = iota + 1
	streamPatient
	streamTrip
	streamSupport
	streamReadings
	streamAlarms
	streamGas
	streamPower
	streamEvents
	streamAssessments
	streamChecks
	streamAwkward
	streamBench
	streamMonitor
	streamSheet
	streamCylinders
	streamShallow
)

// dice draws for one transport (or one month) and one aspect of it.
type dice struct{ *rand.Rand }

// newDice seeds a generator from the run's seed, the aspect and the running number, none of which depends on how many
// transports are asked for.
func newDice(seed uint64, s stream, n int) dice {
	return dice{rand.New(rand.NewPCG(scatter(seed+uint64(s)*0x9e3779b97f4a7c15), scatter(uint64(n)+1)))}
}

// scatter spreads neighbouring numbers over all 64 bits (multiply, fold, twice), because PCG takes its seed as its state.
func scatter(x uint64) uint64 {
	x ^= x >> 32
	x *= 0xd6e8feb86659fd93
	x ^= x >> 32
	x *= 0xd6e8feb86659fd93
	return x ^ x>>32
}

func (d dice) chance(p float64) bool { return d.Float64() < p }

func (d dice) between(lo, hi float64) float64 { return lo + (hi-lo)*d.Float64() }

// normal is cut at three standard deviations: an invented tail is not worth a refused row.
func (d dice) normal(mean, sd float64) float64 {
	return mean + sd*math.Max(-3, math.Min(3, d.NormFloat64()))
}

// around is log-normal with that median; spread is the standard deviation of the logarithm.
func (d dice) around(median, spread float64) float64 {
	return median * math.Exp(d.normal(0, spread))
}

// share is a choice with its weight.
type share[T any] struct {
	what   T
	weight float64
}

// pick draws one of the choices by weight.
func pick[T any](d dice, shares []share[T]) T {
	total := 0.0
	for _, s := range shares {
		total += s.weight
	}
	left := d.Float64() * total
	for _, s := range shares {
		if left < s.weight {
			return s.what
		}
		left -= s.weight
	}
	return shares[len(shares)-1].what
}

// one draws one of the choices, all alike.
func one[T any](d dice, from []T) T { return from[d.IntN(len(from))] }

// step rounds to the nearest multiple, as a scale or a knob does.
func step(v, to float64) float64 { return math.Round(v/to) * to }

func clamp(v, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, v)) }
