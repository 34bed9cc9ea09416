package stats

import (
	"fmt"
	"math"
)

// grain is the step to which numbers are rounded before they are held against
// a limit, so that a value computed in two ways does not cross it.
const grain = 1e-9

// round9 rounds to 1e-9. Beyond 2^53 grains a float64 has no such digits and
// the value is returned as it is.
func round9(v float64) float64 {
	if math.Abs(v) > 9e6 {
		return v
	}
	return math.Round(v/grain) * grain
}

// compare9 is -1, 0 or 1 as a is below, at or above b after rounding to 1e-9;
// beyond the reach of that rounding a part in 1e15 counts as equal.
func compare9(a, b float64) int {
	a, b = round9(a), round9(b)
	d := a - b
	if math.Abs(d) <= math.Max(grain/2, 1e-15*math.Max(math.Abs(a), math.Abs(b))) {
		return 0
	}
	return int(math.Copysign(1, d))
}

func isFinite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// tooLarge bounds values, and its inverse divisors, so that products of sums
// of squares stay finite; mostCounted is far beyond what anyone counts and
// within what the tails are good for.
const (
	tooLarge    = 1e70
	mostCounted = 1e12
)

// finite refuses a slice with a NaN, an infinity or a value whose square
// would be one.
func finite(name string, xs []float64) error {
	for i, v := range xs {
		if !(math.Abs(v) < tooLarge) {
			return fmt.Errorf("stats: %s[%d] is %v: expected a finite number below 1e70; leave missing values out before", name, i, v)
		}
	}
	return nil
}

// finiteOrMissing is finite, but NaN stands for "no value here".
func finiteOrMissing(name string, xs []float64) error {
	for i, v := range xs {
		if math.Abs(v) >= tooLarge {
			return fmt.Errorf("stats: %s[%d] is %v: expected a finite number below 1e70, or NaN for no value", name, i, v)
		}
	}
	return nil
}

// counts refuses what is not a whole number of things.
func counts(name string, xs ...float64) error {
	for i, v := range xs {
		if count(name, v) != nil {
			return fmt.Errorf("stats: %s[%d] is %v: expected a whole number from 0 to 1e12", name, i, v)
		}
	}
	return nil
}

// count refuses one number that is not a whole number of things.
func count(name string, v float64) error {
	if !(v >= 0 && v <= mostCounted) || v != math.Floor(v) {
		return fmt.Errorf("stats: %s is %v: expected a whole number from 0 to 1e12", name, v)
	}
	return nil
}

// positive refuses numbers that are not finite and above zero.
func positive(name string, xs ...float64) error {
	for i, v := range xs {
		if !(v > 1/tooLarge && v < tooLarge) {
			if len(xs) == 1 {
				return fmt.Errorf("stats: %s is %v: expected a finite number above 0 (1e-70 to 1e70)", name, v)
			}
			return fmt.Errorf("stats: %s[%d] is %v: expected a finite number above 0 (1e-70 to 1e70)", name, i, v)
		}
	}
	return nil
}

// successes refuses a numerator that is no part of its denominator.
func successes(x, n float64) error {
	if err := first(count("count", x), count("denominator", n)); err != nil {
		return err
	}
	if n == 0 {
		return fmt.Errorf("stats: the denominator is 0: a proportion needs at least one case")
	}
	if x > n {
		return fmt.Errorf("stats: count %v is above its denominator %v: expected a part of it", x, n)
	}
	return nil
}

// sameLength refuses slices that do not run side by side.
func sameLength(a string, x []float64, b string, y []float64) error {
	if len(x) != len(y) {
		return fmt.Errorf("stats: %s has %d values and %s has %d: expected the same number", a, len(x), b, len(y))
	}
	return nil
}

// atLeast refuses a sample that is too small for the method.
func atLeast(what string, n, least int) error {
	if n < least {
		return fmt.Errorf("stats: %s needs at least %d values, got %d", what, least, n)
	}
	return nil
}

// levelInside refuses a coverage that nobody means: 95 for 95 %, 0 or 1.
func levelInside(level float64) error {
	if !(level >= 0.01 && level <= 0.9999999) {
		return fmt.Errorf("stats: level is %v: expected a coverage of 0.01 to 0.9999999, such as 0.95", level)
	}
	return nil
}

// first returns the first error that is one.
func first(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
