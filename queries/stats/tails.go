package stats

import (
	"math"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// zTwoSided is the normal quantile that leaves (1-level)/2 in each tail:
// 1.959964 at 95 %.
func zTwoSided(level float64) float64 {
	return distuv.UnitNormal.Quantile(0.5 + level/2)
}

// tTwoSided is the same of Student's t with df degrees of freedom.
func tTwoSided(level, df float64) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: df}.Quantile(0.5 + level/2)
}

// normalTwoSidedP is P(|Z| >= |z|), without loss of digits in the far tail.
func normalTwoSidedP(z float64) float64 { return math.Erfc(math.Abs(z) / math.Sqrt2) }

// chiSquareP is the upper tail of chi-square.
func chiSquareP(x, df float64) float64 {
	if x <= 0 {
		return 1
	}
	return mathext.GammaIncRegComp(df/2, x/2)
}

// tTwoSidedP is P(|T| >= |t|) with df degrees of freedom.
func tTwoSidedP(t, df float64) float64 {
	return mathext.RegIncBeta(df/2, 0.5, df/(df+t*t))
}

// betaQuantile inverts the incomplete beta function. The library's answer is
// good to about 1e-8; Newton steps on the library's own tail take it to
// rounding.
func betaQuantile(p, a, b float64) float64 {
	x := mathext.InvRegIncBeta(a, b, p)
	logB := mathext.Lbeta(a, b)
	density := func(x float64) float64 {
		return math.Exp((a-1)*math.Log(x) + (b-1)*math.Log1p(-x) - logB)
	}
	return polish(x, p, 0, 1, func(x float64) float64 { return mathext.RegIncBeta(a, b, x) }, density)
}

// gammaQuantile inverts the regularized incomplete gamma function of shape a,
// polished as betaQuantile.
func gammaQuantile(p, a float64) float64 {
	x := mathext.GammaIncRegInv(a, p)
	if math.IsNaN(x) {
		x = a
	}
	logG, _ := math.Lgamma(a)
	density := func(x float64) float64 {
		return math.Exp((a-1)*math.Log(x) - x - logG)
	}
	return polish(x, p, 0, math.Inf(1), func(x float64) float64 { return mathext.GammaIncReg(a, x) }, density)
}

// polish takes a few Newton steps towards cdf(x) = p, staying inside (lo, hi).
func polish(x, p, lo, hi float64, cdf, density func(float64) float64) float64 {
	for range 8 {
		if !(x > lo && x < hi) {
			return x
		}
		step := (cdf(x) - p) / density(x)
		next := x - step
		if !isFinite(next) || next <= lo || next >= hi {
			return x
		}
		x = next
		if math.Abs(step) <= 4e-16*math.Abs(x) {
			return x
		}
	}
	return x
}

// binomialCDF is P(X <= k) for n trials of probability p, any k.
func binomialCDF(k, n, p float64) float64 {
	switch {
	case k < 0:
		return 0
	case k >= n || p <= 0:
		return 1
	case p >= 1:
		return 0
	}
	return distuv.Binomial{N: n, P: p}.CDF(k)
}

// poissonCDF is P(X <= k) for a Poisson mean, any k.
func poissonCDF(k, mean float64) float64 {
	switch {
	case k < 0:
		return 0
	case mean <= 0:
		return 1
	}
	return distuv.Poisson{Lambda: mean}.CDF(k)
}

// countQuantile is the smallest whole k in [0, top] with cdf(k) >= p. The
// guess only saves steps. A tail that equals p to 1e-13 counts as reaching
// it, because the tail function is good to no more.
func countQuantile(p, guess, top float64, cdf func(float64) float64) float64 {
	const slack = 1e-13
	lo, hi := -1.0, math.Max(0, math.Min(top, math.Floor(guess)))
	for step := 1.0; hi < top && cdf(hi) < p-slack; step *= 2 {
		lo, hi = hi, math.Min(top, hi+step)
	}
	for hi-lo > 1 {
		mid := math.Floor((lo + hi) / 2)
		if mid <= lo || mid >= hi { // whole numbers end at 2^53
			break
		}
		if cdf(mid) >= p-slack {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}

// binomialQuantile is the smallest k with P(X <= k) >= q.
func binomialQuantile(q, n, p float64) float64 {
	guess := n*p + distuv.UnitNormal.Quantile(q)*math.Sqrt(n*p*(1-p))
	return countQuantile(q, guess, n, func(k float64) float64 { return binomialCDF(k, n, p) })
}

// poissonQuantile is the smallest k with P(X <= k) >= q.
func poissonQuantile(q, mean float64) float64 {
	guess := mean + distuv.UnitNormal.Quantile(q)*math.Sqrt(mean)
	return countQuantile(q, guess, math.MaxInt64, func(k float64) float64 { return poissonCDF(k, mean) })
}
