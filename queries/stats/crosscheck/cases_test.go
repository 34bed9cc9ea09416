//go:build crosscheck

package crosscheck

import (
	"math"
	"math/rand/v2"
	"slices"

	"tripwake/queries/stats"
)

// one is a case: what goes to the other programs and what stats says.
type one struct {
	kind string
	in   [][]float64
	out  []float64
	err  error
}

// limits are an estimate's numbers, with infinities where they are flagged.
func limits(e stats.Estimate, withValue bool) []float64 {
	value, high := e.Value, e.High
	if e.Infinite {
		value = math.Inf(1)
	}
	if e.Open {
		high = math.Inf(1)
	}
	if withValue {
		return []float64{value, e.Low, high}
	}
	return []float64{e.Low, high}
}

// draw makes values around a mean, rounded to a step so that some tie (0: none do).
func draw(r *rand.Rand, n int, mean, step float64) []float64 {
	v := make([]float64, n)
	for i := range v {
		v[i] = mean + r.NormFloat64()*3
		if step > 0 {
			v[i] = math.Round(v[i]/step) * step
		}
	}
	return v
}

// part draws a count and its denominator.
func part(r *rand.Rand) (x, n float64) {
	size := 1 + r.IntN(1<<(1+r.IntN(11)))
	return float64(r.IntN(size + 1)), float64(size)
}

func poisson(r *rand.Rand, mean float64) float64 {
	k, p := 0.0, r.Float64()
	for limit := math.Exp(-mean); p > limit; k++ {
		p *= r.Float64()
	}
	return k
}

// kinds make one case each; nil where the draw has no answer to compare.
var kinds = map[string]func(r *rand.Rand) one{
	"moments": func(r *rand.Rand) one {
		v := draw(r, 2+r.IntN(50), 1e3*r.NormFloat64(), 0)
		m, err := stats.Mean(v)
		s, err2 := stats.SD(v)
		return one{in: [][]float64{v}, out: []float64{m, s}, err: either(err, err2)}
	},
	"quantile": func(r *rand.Rand) one {
		v := draw(r, 1+r.IntN(60), 5, 0.5)
		slices.Sort(v)
		p := r.Float64()
		q, err := stats.Quantile(v, p)
		return one{in: [][]float64{v, {p}}, out: []float64{q}, err: err}
	},
	"wilson": func(r *rand.Rand) one {
		x, n := part(r)
		e, err := stats.Wilson(x, n)
		return one{in: [][]float64{{x, n}}, out: limits(e, false), err: err}
	},
	"exact": func(r *rand.Rand) one {
		x, n := part(r)
		e, err := stats.ClopperPearson(x, n)
		return one{in: [][]float64{{x, n}}, out: limits(e, false), err: err}
	},
	"poisson": func(r *rand.Rand) one {
		x, t := float64(r.IntN(1<<(1+r.IntN(13)))), r.ExpFloat64()*1000
		e, err := stats.PoissonExact(x, t)
		return one{in: [][]float64{{x, t}}, out: limits(e, false), err: err}
	},
	"ranks": func(r *rand.Rand) one {
		n := 6 + r.IntN(1000)
		lower, upper, coverage, err := stats.MedianRanks(n)
		return one{in: [][]float64{{float64(n)}}, out: []float64{float64(lower), float64(upper), coverage}, err: err}
	},
	"logt": func(r *rand.Rand) one {
		v := draw(r, 2+r.IntN(40), 0, 0)
		for i := range v {
			v[i] = math.Exp(v[i] / 4)
		}
		e, err := stats.GeometricMeanInterval(v)
		return one{in: [][]float64{v}, out: limits(e, false), err: err}
	},
	"logratio": func(r *rand.Rand) one {
		a, b := draw(r, 2+r.IntN(40), 0, 0), draw(r, 2+r.IntN(40), 0.4, 0)
		for _, v := range [][]float64{a, b} {
			for i := range v {
				v[i] = math.Exp(v[i] / 4)
			}
		}
		e, err := stats.GeometricMeanRatio(a, b)
		return one{in: [][]float64{a, b}, out: limits(e, false), err: err}
	},
	"tail": func(r *rand.Rand) one {
		k, m := float64(1+r.IntN(60)), r.ExpFloat64()*20
		p, err := stats.PoissonTail(k, m)
		return one{in: [][]float64{{k, m}}, out: []float64{p}, err: err}
	},
	"ratio": func(r *rand.Rand) one {
		v := []float64{float64(r.IntN(60)), 1 + r.ExpFloat64()*500, float64(1 + r.IntN(60)), 1 + r.ExpFloat64()*500}
		e, err := stats.RateRatio(v[0], v[1], v[2], v[3])
		return one{in: [][]float64{v}, out: limits(e, true), err: err}
	},
	"newcombe": func(r *rand.Rand) one {
		x1, n1 := part(r)
		x2, n2 := part(r)
		e, err := stats.NewcombeDifference(x1, n1, x2, n2)
		return one{in: [][]float64{{x1, n1, x2, n2}}, out: limits(e, false), err: err}
	},
	"fisher": func(r *rand.Rand) one {
		x1, n1 := part(r)
		x2, n2 := part(r)
		f, err := stats.Fisher(x1, n1, x2, n2)
		return one{in: [][]float64{{x1, n1, x2, n2}}, out: []float64{f.P}, err: err}
	},
	"conditional": func(r *rand.Rand) one {
		x1, n1 := part(r)
		x2, n2 := part(r)
		if x1+x2 == 0 || x1+x2 == n1+n2 {
			x1, n1 = 1, n1+1
		}
		e, err := stats.OddsRatioConditional(x1, n1, x2, n2)
		return one{in: [][]float64{{x1, n1, x2, n2}}, out: limits(e, true), err: err}
	},
	"chisq": func(r *rand.Rand) one {
		x1, n1 := part(r)
		x2, n2 := part(r)
		x1, n1, n2 = x1+1, n1+1, n2+1 // some cases, not all
		a, err := stats.ChiSquare(x1, n1, x2, n2, false)
		b, err2 := stats.ChiSquare(x1, n1, x2, n2, true)
		return one{in: [][]float64{{x1, n1, x2, n2}}, out: []float64{a.Statistic, a.P, b.Statistic, b.P}, err: either(err, err2)}
	},
	"clustered": func(r *rand.Rand) one {
		n := 3 + r.IntN(60)
		x, t := make([]float64, n), make([]float64, n)
		for i := range x {
			t[i] = 0.2 + r.Float64()*5
			x[i] = poisson(r, 2*t[i]*r.ExpFloat64()) + float64(1-min(i, 1))
		}
		e, err := stats.ClusteredRate(x, t)
		return one{in: [][]float64{x, t}, out: limits(e, true), err: err}
	},
	"rankexact": func(r *rand.Rand) one {
		x, y := draw(r, 5+r.IntN(40), 1, 0), draw(r, 5+r.IntN(40), 0, 0)
		m, err := stats.MannWhitney(x, y)
		return one{in: [][]float64{x, y}, out: append([]float64{m.Statistic, m.P}, limits(m.Shift, true)...), err: err}
	},
	"ranknormal": func(r *rand.Rand) one {
		x, y := draw(r, 3+r.IntN(80), 1, 1), draw(r, 3+r.IntN(80), 0, 1)
		x[0], x[1], y[0] = 0, 1, 1 // a tie, and not all equal
		m, err := stats.MannWhitney(x, y)
		return one{in: [][]float64{x, y}, out: []float64{m.Statistic, m.P}, err: err}
	},
	"kruskal": func(r *rand.Rand) one {
		g := [][]float64{draw(r, 2+r.IntN(20), 0, 1), draw(r, 2+r.IntN(20), 1, 1), draw(r, 2+r.IntN(20), 0, 0.25)}
		g[0][0], g[0][1] = 0, 1
		k, err := stats.KruskalWallis(g...)
		return one{in: g, out: []float64{k.Statistic, k.P}, err: err}
	},
	"line": func(r *rand.Rand) one {
		x := draw(r, 4+r.IntN(40), 20, 0)
		y := draw(r, len(x), 5, 0)
		l, err := stats.Calibration(x, y)
		return one{in: [][]float64{x, y}, out: []float64{l.Intercept.Value, l.Slope.Value, l.InterceptSE, l.SlopeSE}, err: err}
	},
	"survival": survivalCase,
	"logrank": func(r *rand.Rand) one {
		t, e, event := lifetimes(r, 12+r.IntN(60))
		group, g := make([]float64, len(t)), make([]int, len(t))
		for i := range g {
			g[i] = i % (2 + len(t)%2)
			group[i] = float64(g[i])
		}
		k, err := stats.LogRank(t, event, g)
		return one{in: [][]float64{t, e, group}, out: []float64{k.Statistic, k.P}, err: err}
	},
	"poissonfit":   func(r *rand.Rand) one { return regression(r, true, false) },
	"logisticfit":  func(r *rand.Rand) one { return regression(r, false, false) },
	"clusterfit":   func(r *rand.Rand) one { return regression(r, true, true) },
	"clusterlogit": func(r *rand.Rand) one { return regression(r, false, true) },
	"katz": func(r *rand.Rand) one {
		x1, n1 := part(r)
		x2, n2 := part(r)
		x1, n1, x2, n2 = x1+1, n1+2, x2+1, n2+2 // cases and others in both groups
		a, err := stats.RiskRatio(x1, n1, x2, n2)
		b, err2 := stats.OddsRatio(x1, n1, x2, n2)
		return one{in: [][]float64{{x1, n1, x2, n2}}, out: append(limits(a, true), limits(b, true)...), err: either(err, err2)}
	},
	"balance": func(r *rand.Rand) one {
		a, b := draw(r, 2+r.IntN(40), 1, 0), draw(r, 2+r.IntN(40), 0, 0)
		d, err := stats.StandardizedDifference(a, b)
		return one{in: [][]float64{a, b}, out: []float64{d}, err: err}
	},
	"levels": func(r *rand.Rand) one {
		a, b := make([]float64, 2+r.IntN(4)), make([]float64, 0)
		for i := range a {
			a[i] = float64(1 + r.IntN(60))
			b = append(b, float64(1+r.IntN(60)))
		}
		d, err := stats.StandardizedDifferenceOfLevels(a, b)
		return one{in: [][]float64{a, b}, out: []float64{d}, err: err}
	},
	"erlang": func(r *rand.Rand) one {
		n := 1 + r.IntN(60)
		a := float64(n) * (0.1 + 0.85*r.Float64())
		b, err := stats.ErlangB(a, n)
		c, err2 := stats.ErlangC(a, n)
		return one{in: [][]float64{{a, float64(n)}}, out: []float64{b, c}, err: either(err, err2)}
	},
	"mtbf": func(r *rand.Rand) one {
		v := []float64{10 + r.ExpFloat64()*5000, float64(1 + r.IntN(80)), 0.5 + 0.49*r.Float64()}
		a, err := stats.MTBF(v[0], v[1], v[2])
		b, err2 := stats.MTBFFailureTruncated(v[0], v[1], v[2])
		return one{in: [][]float64{v}, out: []float64{a.Low, a.High, b.Low}, err: either(err, err2)}
	},
	"fleet": func(r *rand.Rand) one {
		n := 1 + r.IntN(40)
		m, a := 1+r.IntN(n), r.Float64()
		p, err := stats.FleetUp(n, m, a)
		return one{in: [][]float64{{float64(n), float64(m), a}}, out: []float64{p}, err: err}
	},
	"binomialfunnel": func(r *rand.Rand) one {
		n, p := float64(50+r.IntN(2000)), 0.02+0.9*r.Float64()
		return funnelCase(stats.FunnelProportions, n, math.Round(n*p))
	},
	"poissonfunnel": func(r *rand.Rand) one {
		t := 20 + 500*r.Float64()
		return funnelCase(stats.FunnelRates, t, float64(1+r.IntN(300)))
	},
	"gaps": func(r *rand.Rand) one {
		v := make([]float64, 3+r.IntN(30))
		for i := range v {
			v[i] = math.Floor(r.ExpFloat64() * 40)
		}
		v[0]++
		c, err := stats.GChartProbability(v, stats.Options{})
		if err != nil {
			return one{err: err}
		}
		p := c.Points[0]
		return one{in: [][]float64{v}, out: []float64{p.Lower, p.Centre, p.Upper}}
	},
	"runlimits": func(r *rand.Rand) one {
		n := 10 + r.IntN(500)
		longest, fewest, err := stats.RunLimits(n)
		return one{in: [][]float64{{float64(n)}}, out: []float64{float64(longest), float64(fewest)}, err: err}
	},
}

func either(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// lifetimes draws times in half units, so that many tie, a third censored.
func lifetimes(r *rand.Rand, n int) (t, e []float64, event []bool) {
	t, e, event = make([]float64, n), make([]float64, n), make([]bool, n)
	for i := range t {
		t[i] = math.Ceil(r.ExpFloat64()*20) / 2
		if r.Float64() < 0.67 {
			e[i], event[i] = 1, true
		}
	}
	return t, e, event
}

func survivalCase(r *rand.Rand) one {
	t, e, event := lifetimes(r, 5+r.IntN(60))
	s, err := stats.KaplanMeier(t, event)
	columns := make([][]float64, 4)
	for _, p := range s.Steps {
		if p.HasInterval {
			for i, v := range []float64{p.Survival, p.SE, p.Low, p.High} {
				columns[i] = append(columns[i], v)
			}
		}
	}
	return one{in: [][]float64{t, e}, out: slices.Concat(columns...), err: err}
}

// regression draws two covariates, an offset and, if asked, clusters of three.
func regression(r *rand.Rand, counts, clustered bool) one {
	n := 60 + r.IntN(60)
	m := stats.Model{Offset: make([]float64, n)}
	var flat, groups []float64
	for i := range n {
		row := []float64{r.NormFloat64(), float64(r.IntN(2))}
		m.Offset[i] = r.Float64()
		eta := -0.4 + 0.3*row[0] - 0.5*row[1] + m.Offset[i]
		y := poisson(r, math.Exp(eta))
		if !counts {
			y = 0
			if r.Float64() < 1/(1+math.Exp(-eta)) {
				y = 1
			}
		}
		m.Y, m.Rows, flat = append(m.Y, y), append(m.Rows, row), append(flat, row...)
		groups = append(groups, float64(i/3))
		if clustered {
			m.Cluster = append(m.Cluster, i/3)
		}
	}
	fit, err := stats.LogisticRegression, error(nil)
	if counts {
		fit = stats.PoissonRegression
	}
	f, err := fit(m)
	var out, errors []float64
	for _, c := range f.Terms {
		out, errors = append(out, c.Value), append(errors, c.SE)
	}
	out = append(out, errors...)
	in := [][]float64{m.Y, flat, m.Offset}
	if clustered {
		return one{in: append(in, groups), out: out, err: err}
	}
	return one{in: in, out: append(out, f.Deviance), err: err}
}

// funnelCase takes one unit, where no over-dispersion can be.
func funnelCase(f func(x, n []float64) (stats.Funnel, error), size, count float64) one {
	got, err := f([]float64{count}, []float64{size})
	if err != nil {
		return one{err: err}
	}
	p := got.Points[0]
	return one{in: [][]float64{{size, count / size}}, out: []float64{p.InnerLow, p.InnerHigh, p.OuterLow, p.OuterHigh}}
}
