package stats

import (
	"math"
	"testing"
)

// Hyndman-Fan type 7: values of R's quantile(type = 7) as in checks.md.
func TestQuantilePublished(t *testing.T) {
	sets := map[string][]float64{
		"ten":   {1, 2, 3, 4, 5, 6, 7, 8, 9, 10},
		"seven": {6, 7, 15, 41, 42, 47, 49},
		"flow":  sortedCopy(series(t, "nist_flowrate")),
	}
	ps := []float64{0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95}
	for _, row := range table(t, "quantiles.csv") {
		for i, want := range numbers(t, row[2:]...) {
			near(t, row[0], must(Quantile(sets[row[0]], ps[i]))(t), want, 1e-12)
		}
	}
}

func TestQuantileEdges(t *testing.T) {
	for _, p := range []float64{0, 0.3, 1} {
		if got := must(Quantile([]float64{7}, p))(t); got != 7 {
			t.Errorf("one value: %v", got)
		}
	}
	near(t, "two values", must(Quantile([]float64{1, 3}, 0.25))(t), 1.5, 1e-15)
	near(t, "median of two", must(Median([]float64{1, 3}))(t), 2, 1e-15)
	near(t, "all equal", must(Quantile([]float64{4, 4, 4}, 0.9))(t), 4, 0)
	_, err := Quantile(nil, 0.5)
	refused(t, "none", err)
	_, err = Quantile([]float64{2, 1}, 0.5)
	refused(t, "unsorted", err)
	_, err = Quantile([]float64{1, nan}, 0.5)
	refused(t, "NaN", err)
	_, err = Quantile([]float64{1}, 1.1)
	refused(t, "p above 1", err)
	_, err = Quantile([]float64{1}, nan)
	refused(t, "p NaN", err)
}

func numAcc(n int, from float64) []float64 {
	out := []float64{from}
	for range n / 2 {
		out = append(out, from-0.1, from+0.1)
	}
	return out
}

// NIST StRD, univariate summary statistics, certified values. The tolerance
// of NumAcc3 and 4 is what the nearest float64 to their data allows: 0.1
// beside 1e6 and 1e7 has 10 and 9 digits.
func TestStRD(t *testing.T) {
	sets := map[string][]float64{
		"Lew": series(t, "lew"), "Mavro": series(t, "mavro"), "Michelso": series(t, "michelso"),
		"NumAcc1": {10000001, 10000003, 10000002},
		"NumAcc2": numAcc(1000, 1.2), "NumAcc3": numAcc(1000, 1000000.2), "NumAcc4": numAcc(1000, 10000000.2),
	}
	tolerance := map[string]float64{"NumAcc3": 1e-9, "NumAcc4": 2e-8}
	seen := 0
	for _, row := range table(t, "strd.csv") {
		v, ok := sets[row[0]]
		if !ok {
			continue // Lottery and PiDigits: their data are not at hand
		}
		seen++
		want := numbers(t, row[1:]...)
		tol := math.Max(1e-12, tolerance[row[0]])
		near(t, row[0]+" n", float64(len(v)), want[0], 0)
		near(t, row[0]+" mean", must(Mean(v))(t), want[1], 1e-14)
		near(t, row[0]+" sd", must(SD(v))(t), want[2], tol)
		near(t, row[0]+" lag 1", must(LagOne(v))(t), want[3], tol)
	}
	if seen != len(sets) {
		t.Errorf("%d sets checked, want %d", seen, len(sets))
	}
}

func TestMomentsEdges(t *testing.T) {
	near(t, "mean of one", must(Mean([]float64{3}))(t), 3, 0)
	near(t, "sd of equal values", must(SD([]float64{0.1, 0.1, 0.1}))(t), 0, 1e-17)
	_, err := Mean(nil)
	refused(t, "mean of none", err)
	_, err = Mean([]float64{inf})
	refused(t, "mean of infinity", err)
	_, err = SD([]float64{1})
	refused(t, "sd of one", err)
	_, err = SD([]float64{1, nan})
	refused(t, "sd with NaN", err)
	_, err = LagOne([]float64{1, 2})
	refused(t, "lag 1 of two", err)
	_, err = LagOne([]float64{2, 2, 2, 2})
	refused(t, "lag 1 of equal values", err)
}

// Rounding to 1e-9 before a comparison: values computed in two ways agree.
func TestCompare9(t *testing.T) {
	cases := []struct {
		a, b float64
		want int
	}{
		{0.1 + 0.2, 0.3, 0}, {1, 1 + 4e-10, 0}, {1, 1 + 2e-9, -1}, {2, 1, 1},
		{1e12, 1e12 + 1, -1}, {1e12, 1e12, 0}, {-3, 3, -1}, {0, 0, 0}, {1e7, 8e6, 1},
	}
	for _, c := range cases {
		if got := compare9(c.a, c.b); got != c.want {
			t.Errorf("compare9(%v, %v) = %d, want %d", c.a, c.b, got, c.want)
		}
	}
}
