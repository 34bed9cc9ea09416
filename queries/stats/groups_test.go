package stats

import (
	"math"
	"strings"
	"testing"
)

// Newcombe 1998 (17:873), Table II, method 10, as in checks.md.
func TestNewcombePublished(t *testing.T) {
	for _, row := range table(t, "differences.csv") {
		v := numbers(t, row...)
		e := must(NewcombeDifference(v[0], v[1], v[2], v[3]))(t)
		near(t, "difference", e.Value, v[4], 1e-9)
		near(t, "low", e.Low, v[5], 1e-9)
		near(t, "high", e.High, v[6], 1e-9)
	}
}

// Willeberg 1977; Fagerland, Lydersen and Laake 2015; R and Python.
func TestTwoByTwoPublished(t *testing.T) {
	type maker func(x1, n1, x2, n2 float64) (Estimate, error)
	estimates := map[string]maker{"rr_katz": RiskRatio, "or_woolf": OddsRatio, "or_cond_tight": OddsRatioConditional, "rd_wald": WaldDifference}
	for _, row := range table(t, "two_by_two.csv") {
		c := numbers(t, strings.ReplaceAll(row[0], "_", " "))
		want := numbers(t, row[2])
		if f, ok := estimates[row[1]]; ok {
			e := must(f(c[0], c[1], c[2], c[3]))(t)
			near(t, row[1]+" value", e.Value, want[0], 1e-9)
			near(t, row[1]+" low", e.Low, want[1], 1e-9)
			near(t, row[1]+" high", e.High, want[2], 1e-9)
			continue
		}
		if row[1] == "fisher_p" {
			near(t, "fisher", must(Fisher(c[0], c[1], c[2], c[3]))(t).P, want[0], 1e-9)
			continue
		}
		test := must(ChiSquare(c[0], c[1], c[2], c[3], row[1] == "chisq_yates"))(t)
		near(t, row[1], test.Statistic, want[0], 1e-9)
		near(t, row[1]+" p", test.P, want[1], 1e-9)
	}
}

// Meberg and Hansen 2011: night departures 24/119 and 38/381, printed p =
// 0.003; checks.md: chi-square 8.675, risk ratio 2.022 (1.267, 3.228).
func TestNightDepartures(t *testing.T) {
	chi := must(ChiSquare(24, 119, 38, 381, false))(t)
	near(t, "chi-square", chi.Statistic, 8.675, 6e-5)
	near(t, "p", chi.P, 0.0032, 0.016)
	rr := must(RiskRatio(24, 119, 38, 381))(t)
	near(t, "risk ratio", rr.Value, 2.022, 3e-4)
	near(t, "low", rr.Low, 1.267, 4e-4)
	near(t, "high", rr.High, 3.228, 2e-4)
}

// Exact conditional ratio of rates, checks.md.
func TestRateRatioPublished(t *testing.T) {
	e := must(RateRatio(11, 800, 21, 3011))(t)
	near(t, "value", e.Value, 1.97148809524, 1e-11)
	near(t, "low", e.Low, 0.858426403392, 1e-11)
	near(t, "high", e.High, 4.27726594365, 1e-11)
	e = must(RateRatio(8, 500, 0, 500))(t)
	near(t, "low", e.Low, 1.70697058897, 1e-11)
	if !e.Infinite || !e.Open || !isFinite(e.Value) || !isFinite(e.High) {
		t.Errorf("none in the second group: %+v", e)
	}
}

func TestTwoByTwoEdges(t *testing.T) {
	makers := map[string]func(a, b, c, d float64) (Estimate, error){
		"newcombe": NewcombeDifference, "wald": WaldDifference, "katz": RiskRatio, "woolf": OddsRatio,
		"conditional": OddsRatioConditional, "rates": RateRatio,
	}
	for name, f := range makers {
		for _, b := range [][4]float64{{1, 0, 1, 2}, {-1, 2, 1, 2}, {nan, 2, 1, 2}, {1, 2, 1, nan}, {0.5, 2, 1, 2}} {
			_, err := f(b[0], b[1], b[2], b[3])
			refused(t, name, err)
		}
	}
	for _, name := range []string{"katz", "woolf", "conditional", "rates"} {
		_, err := makers[name](0, 5, 0, 7)
		refused(t, name+" without cases", err)
	}
	for _, c := range [][4]float64{{0, 5, 0, 7}, {5, 5, 7, 7}, {0, 5, 7, 7}, {1, 1, 0, 1}} {
		sound(t, "newcombe", must(NewcombeDifference(c[0], c[1], c[2], c[3]))(t))
		if e := must(WaldDifference(c[0], c[1], c[2], c[3]))(t); e.Warning == "" {
			t.Errorf("wald of %v: no warning", c)
		}
	}
	none := must(OddsRatioConditional(0, 10, 3, 12))(t)
	if none.Value != 0 || none.Low != 0 || none.Open {
		t.Errorf("none in the first: %+v", none)
	}
	all := must(OddsRatioConditional(10, 10, 3, 12))(t)
	if !all.Infinite || !all.Open || all.Low <= 1 {
		t.Errorf("all in the first: %+v", all)
	}
	_, err := ChiSquare(0, 5, 0, 6, true)
	refused(t, "chi-square without cases", err)
	if p := must(Fisher(0, 5, 0, 6))(t).P; p != 1 {
		t.Errorf("fisher without cases: %v", p)
	}
	if e := must(RiskRatio(4, 4, 6, 6))(t); e.Warning == "" || e.Value != 1 {
		t.Errorf("all affected: %+v", e)
	}
}

// Exchange of the groups turns ratios over and differences round.
func TestTwoByTwoSymmetry(t *testing.T) {
	r := dice(7)
	for range 200 {
		n1, n2 := float64(2+r.IntN(40)), float64(2+r.IntN(40))
		x1, x2 := float64(1+r.IntN(int(n1)-1)), float64(1+r.IntN(int(n2)-1))
		a, b := must(OddsRatioConditional(x1, n1, x2, n2))(t), must(OddsRatioConditional(x2, n2, x1, n1))(t)
		sound(t, "conditional", a)
		near(t, "conditional", a.Value*b.Value, 1, 1e-9)
		near(t, "conditional limits", a.Low*b.High, 1, 1e-9)
		p, q := must(NewcombeDifference(x1, n1, x2, n2))(t), must(NewcombeDifference(x2, n2, x1, n1))(t)
		near(t, "newcombe", p.Low, -q.High, 1e-12)
		near(t, "fisher", must(Fisher(x1, n1, x2, n2))(t).P, must(Fisher(x2, n2, x1, n1))(t).P, 1e-9)
	}
}

// Hollander and Wolfe 1973 as in R's help pages.
func TestRanksPublished(t *testing.T) {
	m := must(MannWhitney(series(t, "hw_mw_x"), series(t, "hw_mw_y")))(t)
	near(t, "W", m.Statistic, wanted(t, "hw_mw.two[1]"), 1e-12)
	near(t, "p", m.P, wanted(t, "hw_mw.two[2]"), 1e-12)
	near(t, "shift", m.Shift.Value, wanted(t, "hw_mw.two[3]"), 1e-12)
	near(t, "low", m.Shift.Low, wanted(t, "hw_mw.two[4]"), 1e-12)
	near(t, "high", m.Shift.High, wanted(t, "hw_mw.two[5]"), 1e-12)
	k := must(KruskalWallis(series(t, "hw_kw_group1"), series(t, "hw_kw_group2"), series(t, "hw_kw_group3")))(t)
	near(t, "H", k.Statistic, wanted(t, "hw_kw[1]"), 1e-9)
	near(t, "df", k.DF, wanted(t, "hw_kw[2]"), 0)
	near(t, "p", k.P, wanted(t, "hw_kw[3]"), 1e-9)
}

// Ties, and Yates where |O-E| is under 1/2: values of R 4.2.2 (wilcox.test with
// exact = FALSE, kruskal.test, chisq.test).
func TestTiesAgainstR(t *testing.T) {
	m := must(MannWhitney([]float64{1, 2, 2, 3, 5}, []float64{2, 3, 4, 6, 6, 6, 7}))(t)
	near(t, "W", m.Statistic, 5.5, 0)
	near(t, "p", m.P, 0.0577365689429459, 1e-12)
	k := must(KruskalWallis([]float64{1, 2, 2}, []float64{2, 3, 5}, []float64{1, 1, 6}))(t)
	near(t, "H", k.Statistic, 1.80952380952381, 1e-13)
	near(t, "H p", k.P, 0.404638216066989, 1e-12)
	yates := must(ChiSquare(3, 6, 4, 7, true))(t)
	near(t, "yates", yates.Statistic, 0, 0)
	near(t, "yates p", yates.P, 1, 0)
}

// The law of W against counting all 126 ways to choose 4 ranks of 9.
func TestRankLaw(t *testing.T) {
	ways, total := make([]float64, 21), 0.0
	for set := 0; set < 1<<9; set++ {
		w, k := 0, 0
		for i := range 9 {
			if set>>i&1 == 1 {
				k++
				w += i + 1
			}
		}
		if k == 4 {
			ways[w-10]++
			total++
		}
	}
	below := 0.0
	for w, p := range rankLaw(4, 5) {
		below += ways[w]
		near(t, "law", p, below/total, 1e-14)
	}
}

func TestRankEdges(t *testing.T) {
	one := must(MannWhitney([]float64{1}, []float64{2}))(t)
	if one.P != 1 || one.Shift.Warning == "" || one.Shift.Value != -1 {
		t.Errorf("one against one: %+v", one)
	}
	tied := must(MannWhitney([]float64{1, 2, 2, 3}, []float64{2, 3, 4}))(t)
	if tied.Method != "mann-whitney normal" || !isFinite(tied.P) {
		t.Errorf("ties: %+v", tied)
	}
	sound(t, "ties", tied.Shift)
	for _, b := range [][2][]float64{{nil, {1}}, {{1}, nil}, {{nan}, {1}}, {{3, 3}, {3}}} {
		_, err := MannWhitney(b[0], b[1])
		refused(t, "mann-whitney", err)
		_, err = KruskalWallis(b[0], b[1])
		refused(t, "kruskal-wallis", err)
	}
	_, err := KruskalWallis([]float64{1, 2})
	refused(t, "one group", err)
}

// Order and exchange change nothing; counting by halving agrees with sorting
// all differences.
func TestRanksProperties(t *testing.T) {
	r := dice(8)
	for range 60 {
		x, y := make([]float64, 1+r.IntN(60)), make([]float64, 1+r.IntN(60))
		for i := range x {
			x[i] = math.Round(r.NormFloat64()*40) / 8
		}
		for i := range y {
			y[i] = r.NormFloat64()*5 + 1
		}
		a, b := must(MannWhitney(x, y))(t), must(MannWhitney(shuffled(r, y), shuffled(r, x)))(t)
		near(t, "p", a.P, b.P, 1e-9)
		near(t, "W", a.Statistic, float64(len(x)*len(y))-b.Statistic, 1e-9)
		near(t, "shift", a.Shift.Value, -b.Shift.Value, 1e-9)
		near(t, "low", a.Shift.Low, -b.Shift.High, 1e-9)
		var all []float64
		for _, u := range x {
			for _, v := range y {
				all = append(all, u-v)
			}
		}
		all = sortedCopy(all)
		near(t, "median difference", a.Shift.Value, quantile7(all, 0.5), 1e-12)
		k := 1 + r.IntN(len(all))
		if got := difference(sortedCopy(x), sortedCopy(y), k); got != all[k-1] {
			t.Errorf("difference %d: %v, want %v", k, got, all[k-1])
		}
	}
}

func TestStandardizedDifference(t *testing.T) {
	// By hand: means 2 and 4, both sd 1.
	near(t, "means", must(StandardizedDifference([]float64{1, 2, 3}, []float64{3, 4, 5}))(t), -2, 1e-14)
	// By hand: 0.5 against 0.2: 0.3/sqrt((0.25+0.16)/2).
	near(t, "proportions", must(StandardizedDifferenceOfProportions(5, 10, 2, 10))(t), 0.3/math.Sqrt(0.205), 1e-14)
	// Two levels are a proportion; the number of levels that nobody has does not matter, nor does their order.
	near(t, "two levels", must(StandardizedDifferenceOfLevels([]float64{5, 5}, []float64{2, 8}))(t), 0.3/math.Sqrt(0.205), 1e-14)
	near(t, "order of levels", must(StandardizedDifferenceOfLevels([]float64{4, 0, 9, 7}, []float64{6, 0, 3, 2}))(t),
		must(StandardizedDifferenceOfLevels([]float64{9, 7, 4}, []float64{3, 2, 6}))(t), 1e-12)
	near(t, "one level", must(StandardizedDifferenceOfLevels([]float64{4, 0}, []float64{6, 0}))(t), 0, 0)
	_, lonely := StandardizedDifferenceOfLevels([]float64{4, 0}, []float64{0, 5})
	refused(t, "levels apart", lonely)
	_, lonely = StandardizedDifferenceOfLevels([]float64{0, 0}, []float64{0, 5})
	refused(t, "nobody", lonely)
	_, lonely = StandardizedDifferenceOfLevels([]float64{1}, []float64{0, 5})
	refused(t, "lengths", lonely)
	if d := must(StandardizedDifference([]float64{2, 2}, []float64{2, 2}))(t); d != 0 {
		t.Errorf("equal constants: %v", d)
	}
	_, err := StandardizedDifference([]float64{2, 2}, []float64{3, 3})
	refused(t, "constants that differ", err)
	_, err = StandardizedDifference([]float64{2}, []float64{3, 3})
	refused(t, "one value", err)
	_, err = StandardizedDifference([]float64{2, nan}, []float64{3, 3})
	refused(t, "NaN", err)
	_, err = StandardizedDifferenceOfProportions(0, 4, 4, 4)
	refused(t, "0 against all", err)
}

// Coverage of the shift's interval by simulation, normal law (groups of 60)
// and exact (groups of 8, reached coverage 0.9502 to 1): 1500 samples each.
func TestShiftCoverage(t *testing.T) {
	r := dice(13)
	for _, n := range []int{60, 8} {
		hits := 0
		for range 1500 {
			x, y := make([]float64, n), make([]float64, n)
			for i := range x {
				x[i], y[i] = r.ExpFloat64()+0.7, r.ExpFloat64()
			}
			if s := must(MannWhitney(x, y))(t).Shift; s.Low <= 0.7 && 0.7 <= s.High {
				hits++
			}
		}
		if c := float64(hits) / 1500; c < 0.93 || c > 0.98 {
			t.Errorf("groups of %d: coverage %v", n, c)
		}
	}
}
