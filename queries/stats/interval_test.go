package stats

import (
	"math"
	"testing"
)

// Newcombe 1998, Table I, and R with Python, as in checks.md.
func TestProportionsPublished(t *testing.T) {
	for _, row := range table(t, "proportions.csv") {
		v := numbers(t, row...)
		w, cp := must(WilsonAt(v[0], v[1], v[2]))(t), must(ClopperPearsonAt(v[0], v[1], v[2]))(t)
		near(t, "wilson low "+row[0], w.Low, v[3], 1e-9)
		near(t, "wilson high "+row[0], w.High, v[4], 1e-9)
		near(t, "exact low "+row[0], cp.Low, v[5], 1e-9)
		near(t, "exact high "+row[0], cp.High, v[6], 1e-9)
	}
	// Murray and Stewart 2008: 0 of 207 under way, exact upper limit 1.77 %.
	near(t, "0 of 207", must(ClopperPearson(0, 207))(t).High, 0.0177, 3e-3)
	near(t, "0 of 207, closed form", must(ClopperPearson(0, 207))(t).High, 1-math.Pow(0.025, 1.0/207), 1e-12)
	// Penman 2014: 32 of 256 is 12.5 %.
	near(t, "32 of 256", must(Wilson(32, 256))(t).Value, 0.125, 1e-15)
}

// Many cases: limits of R 4.2.2 (qbeta, qgamma), as stated in the doc comments.
func TestManyCases(t *testing.T) {
	cp := must(ClopperPearson(3, 1e6))(t)
	near(t, "3 in a million, low", cp.Low, 6.18672550190639e-07, 1e-9)
	near(t, "3 in a million, high", cp.High, 8.76724778814522e-06, 1e-9)
	half := must(ClopperPearson(5e8, 1e9))(t)
	near(t, "half of 1e9, low", half.Low, 0.499969009748422, 1e-11)
	rare := must(ClopperPearson(3, 1e9))(t)
	near(t, "3 in 1e9, low", rare.Low, 6.18672123322895e-10, 1e-5)
	p := must(PoissonExact(1e6, 1))(t)
	near(t, "a million events, low", p.Low, 998040.983340294, 1e-12)
	near(t, "a million events, high", p.High, 1001961.91194543, 1e-12)
}

func TestProportionEdges(t *testing.T) {
	for _, f := range []func(x, n float64) (Estimate, error){Wilson, ClopperPearson} {
		for _, n := range []float64{1, 2, 3, 10, 1e6} {
			none, all := must(f(0, n))(t), must(f(n, n))(t)
			sound(t, "none", none)
			sound(t, "all", all)
			if none.Low != 0 || all.High != 1 {
				t.Errorf("n %v: limits %v and %v, want 0 and 1", n, none.Low, all.High)
			}
		}
		for _, bad := range [][2]float64{{0, 0}, {2, 1}, {-1, 5}, {0.5, 2}, {nan, 3}, {1, nan}, {1, inf}} {
			_, err := f(bad[0], bad[1])
			refused(t, "proportion", err)
		}
	}
	_, err := WilsonAt(1, 2, 1)
	refused(t, "level 1", err)
}

// Same proportion, more cases: never wider.
func TestProportionNarrowsWithN(t *testing.T) {
	for _, f := range []func(x, n float64) (Estimate, error){Wilson, ClopperPearson} {
		last := 1.0
		for k := 1.0; k <= 4096; k *= 2 {
			e := must(f(3*k, 10*k))(t)
			if w := e.High - e.Low; w >= last {
				t.Errorf("n %v: width %v, before %v", 10*k, w, last)
			} else {
				last = w
			}
		}
	}
}

// Exact coverage by summing the binomial law, not by simulation: Clopper and
// Pearson never under 95 %; Wilson on average near 95 % and not under 83 % at
// its worst (Newcombe 1998 reports a minimum of 0.83 near the ends).
func TestProportionCoverage(t *testing.T) {
	for _, n := range []float64{5, 20, 60} {
		total, steps := 0.0, 0.0
		for p := 0.01; p < 0.995; p += 0.0049 {
			cw, ce := 0.0, 0.0
			for x := 0.0; x <= n; x++ {
				prob := binomialCDF(x, n, p) - binomialCDF(x-1, n, p)
				if w := must(Wilson(x, n))(t); w.Low <= p && p <= w.High {
					cw += prob
				}
				if e := must(ClopperPearson(x, n))(t); e.Low <= p && p <= e.High {
					ce += prob
				}
			}
			total, steps = total+cw, steps+1
			if ce < 0.95-1e-9 || cw < 0.83 {
				t.Errorf("n %v p %.4f: coverage exact %v, wilson %v", n, p, ce, cw)
			}
		}
		if c := total / steps; math.Abs(c-0.95) > 0.01 {
			t.Errorf("n %v: mean coverage of wilson %v", n, c)
		}
	}
}

// Garwood 1936; values R and Python as in checks.md.
func TestPoissonPublished(t *testing.T) {
	for _, row := range table(t, "poisson.csv") {
		v := numbers(t, row...)
		e := must(PoissonExactAt(v[0], 1, v[1]))(t)
		near(t, "poisson low "+row[0], e.Low, v[2], 1e-9)
		near(t, "poisson high "+row[0], e.High, v[3], 1e-9)
	}
	// Breslow and Day, Welsh nickel workers: 137 against 24.19893.
	e := must(PoissonExact(137, 24.19893))(t)
	near(t, "O/E", e.Value, 5.66140734321724, 1e-9)
	near(t, "O/E low", e.Low, 4.75312480484875, 1e-9)
	near(t, "O/E high", e.High, 6.69270933417607, 1e-9)
}

func TestPoissonEdges(t *testing.T) {
	e := must(PoissonExact(0, 100))(t)
	if e.Low != 0 || e.Value != 0 {
		t.Errorf("no events: %+v", e)
	}
	sound(t, "many", must(PoissonExact(1e7, 3))(t))
	_, err := PoissonExact(3, 5e-324)
	refused(t, "tiny exposure", err)
	for _, bad := range [][2]float64{{1, 0}, {-1, 1}, {1.5, 1}, {nan, 1}, {1, nan}, {1, -2}, {inf, 1}} {
		_, err := PoissonExact(bad[0], bad[1])
		refused(t, "poisson", err)
	}
}

// P(X >= 3), mean 2: 1 - 5 exp(-2), by hand.
func TestPoissonTail(t *testing.T) {
	near(t, "tail", must(PoissonTail(3, 2))(t), 1-5*math.Exp(-2), 1e-12)
	near(t, "all", must(PoissonTail(0, 2))(t), 1, 0)
	near(t, "mean 0", must(PoissonTail(1, 0))(t), 0, 0)
	near(t, "far tail", must(PoissonTail(40, 1))(t), 4.6239397e-49, 1e-2) // e^-1/40! (1 + 1/41 + …)
	for _, bad := range [][2]float64{{1, -1}, {nan, 1}, {1, nan}, {-1, 1}, {1.5, 1}, {inf, 1}} {
		_, err := PoissonTail(bad[0], bad[1])
		refused(t, "tail", err)
	}
}

// Exact coverage by summing the Poisson law: never under 95 %.
func TestPoissonCoverage(t *testing.T) {
	for mean := 0.3; mean < 40; mean *= 1.17 {
		cover := 0.0
		for x := 0.0; x < mean+12*math.Sqrt(mean)+12; x++ {
			if e := must(PoissonExact(x, 1))(t); e.Low <= mean && mean <= e.High {
				cover += poissonCDF(x, mean) - poissonCDF(x-1, mean)
			}
		}
		if cover < 0.95-1e-9 {
			t.Errorf("mean %.3f: coverage %v", mean, cover)
		}
	}
}

// Ranks and coverage, checks.md (Conover; R and Python).
func TestMedianRanksPublished(t *testing.T) {
	for _, row := range table(t, "median_ranks.csv") {
		v := numbers(t, row...)
		lower, upper, coverage, err := MedianRanks(int(v[0]))
		if err != nil || lower != int(v[1]) || upper != int(v[2]) {
			t.Errorf("n %s: ranks %d %d (%v)", row[0], lower, upper, err)
		}
		near(t, "coverage "+row[0], coverage, v[3], 1e-11)
	}
}

func TestMedianIntervalEdges(t *testing.T) {
	_, err := MedianInterval([]float64{1, 2, 3, 4, 5})
	refused(t, "five values", err)
	_, err = MedianInterval([]float64{6, 5, 4, 3, 2, 1})
	refused(t, "unsorted", err)
	_, err = MedianInterval([]float64{1, 2, 3, 4, 5, nan})
	refused(t, "NaN", err)
	e := must(MedianInterval([]float64{2, 2, 2, 2, 2, 2}))(t)
	if e.Low != 2 || e.High != 2 || e.Warning == "" {
		t.Errorf("all equal: %+v", e)
	}
	big := make([]float64, 100001)
	for i := range big {
		big[i] = float64(i)
	}
	sound(t, "many", must(MedianInterval(big))(t))
}

// Coverage of the median interval by simulation, 4000 samples of an
// exponential law, n = 11: the rank table says 0.98828; the standard error of
// the simulated share is 0.0017, tolerance four of them.
func TestMedianCoverage(t *testing.T) {
	r, hits := dice(1), 0
	const samples = 4000
	for range samples {
		v := make([]float64, 11)
		for i := range v {
			v[i] = r.ExpFloat64()
		}
		if e := must(MedianInterval(sortedCopy(v)))(t); e.Low <= math.Ln2 && math.Ln2 <= e.High {
			hits++
		}
	}
	if share := float64(hits) / samples; math.Abs(share-0.98828) > 0.0068 {
		t.Errorf("coverage %v, want 0.98828", share)
	}
}

// A small case worked by hand: logs 0, ln 2, ln 4: mean ln 2, sd ln 2,
// t(2) = 4.302653 (tables of Student's t).
func TestGeometricMean(t *testing.T) {
	e := must(GeometricMeanInterval([]float64{1, 2, 4}))(t)
	near(t, "value", e.Value, 2, 1e-14)
	near(t, "low", e.Low, 2*math.Exp(-4.302652729911275*math.Ln2/math.Sqrt(3)), 1e-9)
	near(t, "high", e.High, 2*math.Exp(4.302652729911275*math.Ln2/math.Sqrt(3)), 1e-9)
	if e := must(GeometricMeanInterval([]float64{1.5, 1.5, 1.5}))(t); e.Warning == "" || !isFinite(e.High) {
		t.Errorf("all equal: %+v", e)
	}
	sound(t, "wide", must(GeometricMeanInterval([]float64{1e-60, 1e60}))(t))
	for _, bad := range [][]float64{nil, {1}, {1, 0}, {1, -1}, {1, nan}, {1, inf}} {
		_, err := GeometricMeanInterval(bad)
		refused(t, "geometric mean", err)
	}
}

// Against itself shifted: a ratio of 3 is inside; exchange turns it over.
func TestGeometricMeanRatio(t *testing.T) {
	a, b := []float64{3, 6, 12, 9}, []float64{1, 2, 4, 3, 2}
	e, back := must(GeometricMeanRatio(a, b))(t), must(GeometricMeanRatio(b, a))(t)
	sound(t, "ratio", e)
	near(t, "exchange", e.Low*back.High, 1, 1e-12)
	near(t, "same", must(GeometricMeanRatio(a, a))(t).Value, 1, 1e-15)
	if c := must(GeometricMeanRatio([]float64{2, 2}, []float64{1, 1}))(t); c.Value != 2 || c.Warning == "" {
		t.Errorf("constants: %+v", c)
	}
	for _, bad := range [][]float64{nil, {1}, {1, 0}, {1, nan}, {1, inf}} {
		_, err := GeometricMeanRatio(a, bad)
		refused(t, "ratio of geometric means", err)
	}
}

// Worked by hand: x 2, 0, 4 in t 1, 1, 2: r = 6/4, residuals 0.5, -1.5, 1:
// var = 3/2 × 3.5 / 16, se/r = sqrt(0.328125)/1.5.
func TestClusteredRateByHand(t *testing.T) {
	e := must(ClusteredRate([]float64{2, 0, 4}, []float64{1, 1, 2}))(t)
	half := 1.959963984540054 * math.Sqrt(0.328125) / 1.5
	near(t, "value", e.Value, 1.5, 1e-15)
	near(t, "low", e.Low, 1.5*math.Exp(-half), 1e-12)
	near(t, "high", e.High, 1.5*math.Exp(half), 1e-12)
	if e.Method != "clustered" || e.Warning == "" {
		t.Errorf("method %q warning %q", e.Method, e.Warning)
	}
}

func TestClusteredRateEdges(t *testing.T) {
	e := must(ClusteredRate([]float64{0, 0}, []float64{3, 4}))(t)
	want := must(PoissonExact(0, 7))(t)
	if e.Method != "poisson exact" || e.High != want.High || e.Warning == "" {
		t.Errorf("no events: %+v", e)
	}
	for _, v := range [][]float64{{1, 1}, {5, 0}, {1, 2}} {
		e := must(ClusteredRate(v, []float64{1, 1}))(t)
		if e.Warning == "" {
			t.Errorf("%v: no warning", v)
		}
		sound(t, "two clusters", e)
	}
	bad := []struct{ x, t []float64 }{
		{nil, nil}, {[]float64{1}, []float64{1}}, {[]float64{1, 2}, []float64{1}}, {[]float64{1, 2}, []float64{1, 0}},
		{[]float64{1, -2}, []float64{1, 1}}, {[]float64{1, nan}, []float64{1, 1}}, {[]float64{1, 2}, []float64{1, inf}},
	}
	for _, b := range bad {
		_, err := ClusteredRate(b.x, b.t)
		refused(t, "clustered", err)
	}
}

// Coverage by simulation: 80 clusters, a gamma(2) rate for each (variance far
// above Poisson), 2000 samples. Normal intervals of ratios run a little low:
// between 0.92 and 0.97 is demanded. The Poisson interval of the same data
// covers less than 0.85: that is why clusters are named.
func TestClusteredCoverage(t *testing.T) {
	r, hits, plain := dice(2), 0, 0
	const samples, m = 2000, 80
	for range samples {
		x, tt := make([]float64, m), make([]float64, m)
		for i := range x {
			tt[i] = 0.5 + r.Float64()*3
			x[i] = poissonDraw(r.Float64, (r.ExpFloat64()+r.ExpFloat64())*tt[i])
		}
		if e := must(ClusteredRate(x, tt))(t); e.Low <= 2 && 2 <= e.High {
			hits++
		}
		if e := must(PoissonExact(sum(x), sum(tt)))(t); e.Low <= 2 && 2 <= e.High {
			plain++
		}
	}
	if c := float64(hits) / samples; c < 0.92 || c > 0.97 {
		t.Errorf("clustered coverage %v", c)
	}
	if c := float64(plain) / samples; c > 0.85 {
		t.Errorf("poisson coverage %v: the sample is not clustered", c)
	}
}

func poissonDraw(uniform func() float64, mean float64) float64 {
	k, p := 0.0, uniform()
	for limit := math.Exp(-mean); p > limit; k++ {
		p *= uniform()
	}
	return k
}

// Order of the input does not matter.
func TestEstimatesIgnoreOrder(t *testing.T) {
	r := dice(3)
	x, tt := []float64{4, 0, 1, 9, 2, 2, 7}, []float64{1, 2, 3, 4, 5, 6, 7}
	a := must(ClusteredRate(x, tt))(t)
	perm := r.Perm(len(x))
	px, pt := make([]float64, len(x)), make([]float64, len(x))
	for i, j := range perm {
		px[i], pt[i] = x[j], tt[j]
	}
	b := must(ClusteredRate(px, pt))(t)
	near(t, "clustered low", b.Low, a.Low, 1e-12)
	g := must(GeometricMeanInterval(tt))(t)
	near(t, "geometric high", must(GeometricMeanInterval(shuffled(r, tt)))(t).High, g.High, 1e-12)
}
