package stats

import (
	"fmt"
	"math"
	"slices"
	"testing"
)

// outsideOf lists the points (from 1) beyond 3 sigma.
func outsideOf(c Chart) []int {
	var out []int
	for _, s := range c.Signals {
		if s.Rule == RuleBeyond {
			out = append(out, s.First+1)
		}
	}
	return out
}

// NIST/SEMATECH e-Handbook 6.3.3.1: wafer 3 stands on its limit and is in,
// wafer 24 is out.
func TestCChartNIST(t *testing.T) {
	c := must(CChart(series(t, "nist_c_defects"), Options{}))(t)
	p := c.Points[0]
	near(t, "centre", p.Centre, wanted(t, "nist_c.cl"), 1e-12)
	near(t, "upper", p.Upper, wanted(t, "nist_c.ucl"), 1e-12)
	near(t, "lower", p.Lower, wanted(t, "nist_c.lcl"), 1e-12)
	if got := outsideOf(c); !slices.Equal(got, []int{24}) || c.Kind != "c" {
		t.Errorf("%s: outside %v, want 24", c.Kind, got)
	}
}

func fill(n int, v float64) []float64 { return slices.Repeat([]float64{v}, n) }

// NIST/SEMATECH e-Handbook 6.3.3.2: all 30 wafers, then without 15 and 23.
func TestPChartNIST(t *testing.T) {
	x := series(t, "nist_p_defectives_of_50")
	c := must(PChart(x, fill(30, 50), Options{}))(t)
	near(t, "centre", c.Points[0].Centre, wanted(t, "nist_p.cl"), 1e-12)
	near(t, "upper", c.Points[0].Upper, wanted(t, "nist_p.ucl[1]"), 1e-12)
	near(t, "lower", c.Points[0].Lower, wanted(t, "nist_p.lcl[1]"), 1e-12)
	if got := outsideOf(c); !slices.Equal(got, []int{15, 23}) {
		t.Errorf("outside %v, want 15 and 23 (NIST)", got)
	}
	var base []int
	for i := range x {
		if i != 14 && i != 22 {
			base = append(base, i)
		}
	}
	c = must(PChart(x, fill(30, 50), Options{Baseline: base}))(t)
	near(t, "centre", c.Points[14].Centre, wanted(t, "nist_p_excl15_23.cl"), 1e-12)
	near(t, "upper", c.Points[14].Upper, wanted(t, "nist_p_excl15_23.ucl[1]"), 1e-12)
	near(t, "lower", c.Points[14].Lower, wanted(t, "nist_p_excl15_23.lcl[1]"), 1e-12)
	if c.Points[14].Baseline || !c.Points[0].Baseline {
		t.Error("baseline marks are wrong")
	}
}

// limitsOf collects the limits of a chart.
func limitsOf(c Chart) (lower, upper []float64) {
	for _, p := range c.Points {
		lower, upper = append(lower, p.Lower), append(upper, p.Upper)
	}
	return lower, upper
}

func holdLimits(t *testing.T, c Chart, name string) {
	t.Helper()
	lower, upper := limitsOf(c)
	for i, want := range named(t, "wanted.csv", name+".ucl") {
		near(t, fmt.Sprintf("%s upper %d", name, i+1), upper[i], want, 1e-11)
	}
	for i, want := range named(t, "wanted.csv", name+".lcl") {
		near(t, fmt.Sprintf("%s lower %d", name, i+1), lower[i], want, 1e-11)
	}
}

// Ishikawa, Guide to Quality Control, p. 77-84; limits R and Python.
func TestChartsIshikawa(t *testing.T) {
	c := must(CChart(series(t, "ishikawa_c"), Options{}))(t)
	near(t, "c centre", c.Points[0].Centre, wanted(t, "ishikawa_c.cl"), 1e-12)
	near(t, "c upper", c.Points[0].Upper, wanted(t, "ishikawa_c.ucl"), 1e-12)
	near(t, "c lower", c.Points[0].Lower, wanted(t, "ishikawa_c.lcl"), 1e-12)
	u := must(UChart(series(t, "ishikawa_u_count"), series(t, "ishikawa_u_metres"), Options{}))(t)
	near(t, "u centre", u.Points[0].Centre, wanted(t, "ishikawa_u.cl"), 1e-12)
	holdLimits(t, u, "ishikawa_u")
	p := must(PChart(series(t, "ishikawa_p_defective"), series(t, "ishikawa_p_size"), Options{}))(t)
	near(t, "p centre", p.Points[0].Centre, wanted(t, "ishikawa_p.cl"), 1e-12)
	holdLimits(t, p, "ishikawa_p")
}

// Laney p': Mohammed and others 2013; the plain chart puts 16 of 20 weeks
// outside, p' none; limits R and Python.
func TestPPrimeNHS(t *testing.T) {
	x, n := series(t, "nhs_seen_in_4h"), series(t, "nhs_attendances")
	plain := must(PChart(x, n, Options{}))(t)
	if got := len(outsideOf(plain)); got != 16 {
		t.Errorf("plain p chart: %d outside, want 16", got)
	}
	c := must(PAuto(x, n, Options{}))(t)
	if c.Kind != "p'" || len(outsideOf(c)) != 0 {
		t.Errorf("%s: outside %v, want p' and none", c.Kind, outsideOf(c))
	}
	near(t, "centre", c.Points[0].Centre, wanted(t, "laney_nhs.cl"), 1e-12)
	near(t, "sigma z", c.SigmaZ, wanted(t, "laney_nhs.sigma_z"), 1e-9)
	holdLimits(t, c, "laney_nhs")
}

// UK national neonatal transfers 2012-2016, checks.md (limits computed there).
func TestChartsUKTransfers(t *testing.T) {
	n := []float64{7152, 7562, 7892, 7997, 7910}
	p := must(PChart([]float64{1889, 1961, 1949, 2155, 2000}, n, Options{}))(t)
	near(t, "centre", p.Points[0].Centre, 0.25846, 2e-5)
	near(t, "lower", p.Points[0].Lower, 0.24293, 2e-5)
	near(t, "upper", p.Points[0].Upper, 0.27399, 2e-5)
	thousands := make([]float64, len(n))
	for i := range n {
		thousands[i] = n[i] / 1000
	}
	u := must(UChart([]float64{99, 111, 117, 138, 145}, thousands, Options{}))(t)
	near(t, "u centre", u.Points[0].Centre, 15.839, 4e-5)
	near(t, "u lower", u.Points[0].Lower, 11.374, 5e-5)
	near(t, "u upper", u.Points[0].Upper, 20.303, 5e-5)
	if len(outsideOf(p))+len(outsideOf(u)) != 0 {
		t.Error("a point is outside: checks.md has none")
	}
}

// NIST/SEMATECH e-Handbook 6.3.2.2, flow rate.
func TestXmRNIST(t *testing.T) {
	x, mr, err := XmR(series(t, "nist_flowrate"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "centre", x.Points[0].Centre, wanted(t, "nist_flow.mean"), 1e-12)
	near(t, "upper", x.Points[0].Upper, wanted(t, "nist_flow.ucl"), 1e-12)
	near(t, "lower", x.Points[0].Lower, wanted(t, "nist_flow.lcl"), 1e-12)
	near(t, "sigma", x.Points[0].Sigma, wanted(t, "nist_flow.sigma"), 1e-12)
	near(t, "mean range", x.MeanRange, wanted(t, "nist_flow.mrbar"), 1e-12)
	near(t, "range limit", mr.Points[1].Upper, wanted(t, "nist_flow.mr_ucl_3.267"), 1e-12)
	if mr.Points[0].HasValue {
		t.Error("the first value has no moving range")
	}
}

// spc4hc, rare events: 15 gaps; limits R and Python.
func TestRareEventsPublished(t *testing.T) {
	gaps := series(t, "births_g")
	g := must(GChart(gaps, Options{}))(t)
	near(t, "n", float64(len(g.Points)), wanted(t, "births_g.n"), 0)
	near(t, "g centre", g.Points[0].Centre, wanted(t, "births_g.mean"), 1e-12)
	near(t, "g sigma", g.Points[0].Sigma, wanted(t, "births_g.sd"), 1e-12)
	near(t, "g upper", g.Points[0].Upper, wanted(t, "births_g.ucl3"), 1e-12)
	near(t, "g lower", g.Points[0].Lower, wanted(t, "births_g.lcl3"), 0)
	q := must(GChartProbability(gaps, Options{}))(t).Points[0]
	near(t, "g median", q.Centre, wanted(t, "births_g.q_0.5"), 0)
	near(t, "g high quantile", q.Upper, wanted(t, "births_g.q_0.99865"), 0)
	near(t, "g low quantile", q.Lower, wanted(t, "births_g.q_0.00135"), 0)
	near(t, "sample median", must(Median(sortedCopy(gaps)))(t), wanted(t, "births_g.median"), 0)

	days := series(t, "births_t_minutes")
	for i := range days {
		days[i] /= 1440
	}
	c := must(TChart(days, 1.0/1440, Options{}))(t)
	near(t, "t centre", c.Points[0].Centre, wanted(t, "births_t_days.cl"), 1e-11)
	near(t, "t upper", c.Points[0].Upper, wanted(t, "births_t_days.ucl"), 1e-11)
	near(t, "t lower", c.Points[0].Lower, wanted(t, "births_t_days.lcl"), 1e-9)
	near(t, "t mean range", c.MeanRange, wanted(t, "births_t_days.trans_mrbar"), 1e-12)
	near(t, "t mean", math.Pow(c.Points[0].Centre, 1/3.6), wanted(t, "births_t_days.trans_mean"), 1e-12)
}

// The geometric quantile against its own law: P(X <= k) >= q > P(X <= k-1).
func TestGeometricQuantileLaw(t *testing.T) {
	for _, m := range []float64{0.2, 1, 7.3, 129, 5000} {
		for _, q := range []float64{0.00135, 0.3, 0.5, 0.9, 0.99865} {
			k, stay := geometricQuantile(q, m), m/(m+1)
			if 1-math.Pow(stay, k+1) < q-1e-9 || k > 0 && 1-math.Pow(stay, k) >= q+1e-9 {
				t.Errorf("mean %v quantile %v: %v", m, q, k)
			}
		}
	}
}

func TestRareEventEdges(t *testing.T) {
	g := must(GChartProbability([]float64{0, 0, 0}, Options{}))(t)
	soundChart(t, "zeros", g)
	soundChart(t, "one gap", must(GChart([]float64{5}, Options{}))(t))
	if g.Warning == "" {
		t.Error("all gaps 0: no warning")
	}
	_, err := GChart(nil, Options{})
	refused(t, "no gap", err)
	_, err = GChart([]float64{1, nan}, Options{})
	refused(t, "NaN", err)
	_, err = GChart([]float64{1.5}, Options{})
	refused(t, "half a transport", err)
	c := must(TChart([]float64{3, 0, 8}, 1, Options{}))(t)
	if c.Points[1].Value != 0.5 || c.Warning == "" {
		t.Errorf("gap 0: %+v %q", c.Points[1], c.Warning)
	}
	soundChart(t, "t", c)
	_, err = TChart([]float64{3, 0, 8}, 0, Options{})
	refused(t, "no resolution", err)
	_, err = TChart([]float64{3, -1}, 1, Options{})
	refused(t, "negative gap", err)
	_, err = TChart([]float64{3}, 1, Options{})
	refused(t, "one gap", err)
	_, err = TChart([]float64{3, nan}, 1, Options{})
	refused(t, "NaN gap", err)
}

// A subgroup with nothing in it has no value and no limits, and hides no run.
func TestZeroDenominators(t *testing.T) {
	x := []float64{1, 1, 1, 1, 0, 1, 1, 1, 1, 9, 9}
	n := []float64{10, 10, 10, 10, 0, 10, 10, 10, 10, 10, 10}
	for _, f := range []func(x, n []float64, o Options) (Chart, error){PChart, PPrime, UChart, UPrime, PAuto, UAuto} {
		c := must(f(x, n, Options{}))(t)
		soundChart(t, c.Kind, c)
		if p := c.Points[4]; p.HasValue || p.HasLimits {
			t.Errorf("%s: point without denominator has %+v", c.Kind, p)
		}
		if !slices.ContainsFunc(c.Signals, func(s Signal) bool { return s == Signal{RuleEight, 0, 8, false} }) {
			t.Errorf("%s: no run of 8 over the gap: %v", c.Kind, c.Signals)
		}
		_, err := f(fill(3, 0), fill(3, 0), Options{})
		refused(t, "no denominator at all", err)
		_, err = f([]float64{1}, []float64{0}, Options{})
		refused(t, "count without exposure", err)
		_, err = f(nil, nil, Options{})
		refused(t, "no points", err)
		_, err = f([]float64{1, 2}, []float64{5}, Options{})
		refused(t, "unequal lengths", err)
		_, err = f([]float64{nan, 2}, []float64{5, 5}, Options{})
		refused(t, "NaN", err)
		_, err = f([]float64{1, 2}, []float64{5, nan}, Options{})
		refused(t, "NaN size", err)
	}
	_, err := PChart([]float64{6}, []float64{5}, Options{})
	refused(t, "6 of 5", err)
}

func TestAttributeFlat(t *testing.T) {
	for _, x := range [][]float64{fill(12, 0), fill(12, 10)} {
		for _, f := range []func(x, n []float64, o Options) (Chart, error){PChart, PPrime, PAuto, UChart, UPrime} {
			c := must(f(x, fill(12, 10), Options{}))(t)
			soundChart(t, c.Kind, c)
			if len(c.Signals) != 0 {
				t.Errorf("%s of equal points signals: %v", c.Kind, c.Signals)
			}
		}
	}
	c := must(PPrime(fill(12, 0), fill(12, 10), Options{}))(t)
	if c.Warning == "" {
		t.Error("no spread: no warning")
	}
}

// Limits are cut at 0 and, for proportions, at 1; not for rates.
func TestLimitsAreCut(t *testing.T) {
	x, n := []float64{9, 10, 10, 9, 10, 10, 9, 10, 10, 10}, fill(10, 10)
	p, u := must(PChart(x, n, Options{}))(t).Points[0], must(UChart(x, n, Options{}))(t).Points[0]
	if p.Upper != 1 || p.Lower <= 0 || u.Upper <= 1 {
		t.Errorf("p %+v, u %+v", p, u)
	}
}

// A leap between two level stretches is one range beyond its limit.
func TestMovingRangeSignal(t *testing.T) {
	v := []float64{1, 2, 1, 2, 1, 2, 1, 20, 19, 20, 19, 20, 19}
	_, mr, err := XmR(v, Options{})
	if err != nil || !slices.Equal(outsideOf(mr), []int{8}) {
		t.Errorf("ranges outside: %v (%v), want the 8th", outsideOf(mr), err)
	}
}

// Warnings stand once each, however many phases repeat them.
func TestChartWarnings(t *testing.T) {
	x, n := []float64{0, 1, 0, 0, 1, 0, 0, 1, 0}, fill(9, 50)
	c := must(PChart(x, n, Options{Phases: []Phase{{0, 3}, {3, 6}, {6, 9}}}))(t)
	want := "limits from 3 points only: provisional; less than one event a point: a g or t chart says more"
	if c.Warning != want {
		t.Errorf("warning %q, want %q", c.Warning, want)
	}
	if c := must(PChart(fill(12, 5), fill(12, 50), Options{}))(t); c.Warning != "" {
		t.Errorf("plain chart warns: %q", c.Warning)
	}
}

// Binomial counts keep sigma z near 1, so the plain chart stays; counts with
// a chance of their own per month do not.
func TestAutoPicksPrimeOnlyWhenOverdispersed(t *testing.T) {
	r := dice(4)
	draw := func(spread float64) (x, n []float64) {
		for range 60 {
			p, k := 0.3+spread*(r.Float64()-0.5), 0.0
			for range 400 {
				if r.Float64() < p {
					k++
				}
			}
			x, n = append(x, k), append(n, 400)
		}
		return x, n
	}
	x, n := draw(0)
	if c := must(PAuto(x, n, Options{}))(t); c.Kind != "p" || math.Abs(c.SigmaZ-1) > 0.2 {
		t.Errorf("binomial: %s with sigma z %v", c.Kind, c.SigmaZ)
	}
	x, n = draw(0.4)
	if c := must(PAuto(x, n, Options{}))(t); c.Kind != "p'" {
		t.Errorf("over-dispersed: %s with sigma z %v", c.Kind, c.SigmaZ)
	}
}

// Limits come nearer with the size of the subgroup.
func TestLimitsMonotoneInSize(t *testing.T) {
	n := []float64{10, 20, 40, 80, 160, 320, 640}
	x := []float64{3, 6, 12, 24, 48, 96, 192}
	c := must(PChart(x, n, Options{}))(t)
	for i := 1; i < len(n); i++ {
		if c.Points[i].Upper > c.Points[i-1].Upper || c.Points[i].Lower < c.Points[i-1].Lower {
			t.Errorf("n %v: limits widen", n[i])
		}
	}
}

func TestXmREdges(t *testing.T) {
	x, mr, err := XmR([]float64{1, nan, 4, 2}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	soundChart(t, "gap", x)
	soundChart(t, "gap ranges", mr)
	if x.Points[1].HasValue || mr.Points[2].Value != 3 || x.MeanRange != 2.5 {
		t.Errorf("gap: %+v, mean range %v", mr.Points, x.MeanRange)
	}
	x, _, err = XmR(fill(12, 0.3), Options{})
	if err != nil || len(x.Signals) != 0 || x.Warning == "" {
		t.Errorf("equal values: %v %v %q", err, x.Signals, x.Warning)
	}
	for _, bad := range [][]float64{nil, {1}, {1, inf}, {1, nan}, {nan, nan, nan}} {
		_, _, err := XmR(bad, Options{})
		refused(t, "XmR", err)
	}
	_, _, err = XmRLog([]float64{1, 0, 2}, Options{})
	refused(t, "ratio 0", err)
}

// Logs and back: the limits are those of XmR of the logs.
func TestXmRLog(t *testing.T) {
	ratios := []float64{0.8, 1.3, nan, 1.1, 0.9, 2.2}
	logs := make([]float64, len(ratios))
	for i, v := range ratios {
		logs[i] = math.Log(v)
	}
	a, _, err := XmRLog(ratios, Options{})
	b, _, err2 := XmR(logs, Options{})
	if err != nil || err2 != nil {
		t.Fatal(err, err2)
	}
	soundChart(t, "log", a)
	near(t, "upper", a.Points[0].Upper, math.Exp(b.Points[0].Upper), 1e-14)
	near(t, "centre", a.Points[5].Centre, math.Exp(b.Points[5].Centre), 1e-14)
	near(t, "value", a.Points[5].Value, 2.2, 0)
}

func TestOptions(t *testing.T) {
	v := []float64{1, 2, 1, 2, 1, 2, 11, 12, 11, 12, 11, 12}
	x, mr, err := XmR(v, Options{Phases: []Phase{{0, 6}, {6, 12}}})
	if err != nil {
		t.Fatal(err)
	}
	if x.Points[0].Centre != 1.5 || x.Points[6].Centre != 11.5 || mr.Points[6].HasValue {
		t.Errorf("phases: centres %v %v", x.Points[0].Centre, x.Points[6].Centre)
	}
	if len(x.Signals) != 0 {
		t.Errorf("two level phases signal: %v", x.Signals)
	}
	x, _, err = XmR(v, Options{Baseline: []int{0, 1, 2, 3, 4, 5}})
	if err != nil || x.Points[11].Centre != 1.5 || len(outsideOf(x)) != 6 {
		t.Errorf("frozen limits: centre %v outside %v (%v)", x.Points[11].Centre, outsideOf(x), err)
	}
	bad := []Options{
		{Baseline: []int{12}}, {Baseline: []int{-1}}, {Phases: []Phase{{0, 5}}}, {Phases: []Phase{{1, 12}}},
		{Phases: []Phase{{0, 6}, {5, 12}}}, {Phases: []Phase{{0, 0}, {0, 12}}}, {Phases: []Phase{{0, 13}}},
		{Baseline: []int{0, 2, 4}},
	}
	for i, o := range bad {
		_, _, err := XmR(v, o)
		refused(t, fmt.Sprintf("options %d", i), err)
	}
}
