package stats

import (
	"math"
	"testing"
)

// warpbreaks of R's datasets: 9 looms for each wool (A, B) and tension (L, M, H).
func warpbreaks(t *testing.T) Model {
	t.Helper()
	var m Model
	for _, row := range table(t, "warpbreaks.csv") {
		dummies := []float64{0, 0, 0}
		if row[1] == "B" {
			dummies[0] = 1
		}
		switch row[2] {
		case "M":
			dummies[1] = 1
		case "H":
			dummies[2] = 1
		}
		m.Y = append(m.Y, numbers(t, row[0])[0])
		m.Rows = append(m.Rows, dummies)
	}
	return m
}

// infert of R's datasets: case, spontaneous, induced.
func infert(t *testing.T) Model {
	t.Helper()
	var m Model
	for _, row := range table(t, "infert.csv") {
		v := numbers(t, row...)
		m.Y, m.Rows = append(m.Y, v[0]), append(m.Rows, v[1:])
	}
	return m
}

// R 4.2.2 glm with epsilon 1e-14, checks.md (printed to 12 digits, standard
// errors to 10).
func TestRegressionPublished(t *testing.T) {
	fits := map[string]Fit{
		"warp_pois":    must(PoissonRegression(warpbreaks(t)))(t),
		"infert_logit": must(LogisticRegression(infert(t)))(t),
	}
	next := map[string]int{}
	for _, row := range table(t, "regression.csv") {
		c := fits[row[0]].Terms[next[row[0]]]
		next[row[0]]++
		want := numbers(t, row[2:]...)
		near(t, row[1], c.Value, want[0], 1e-11)
		near(t, row[1]+" se", c.SE, want[1], 1e-9)
		near(t, row[1]+" z", c.Z, want[2], 1e-9)
	}
	if next["warp_pois"] != 4 || next["infert_logit"] != 3 {
		t.Errorf("terms checked: %v", next)
	}
}

// One yes/no covariate: the odds ratio is the cross product with Woolf's
// interval, the rate ratio that of the sums with se² = 1/x1 + 1/x2; both are
// closed forms.
func TestRegressionClosedForms(t *testing.T) {
	var logit, pois Model
	for i := range 54 {
		exposed := float64(i % 2)
		y := 0.0
		if i%3 == 0 || i%5 == 1 {
			y = 1
		}
		logit.Rows, logit.Y = append(logit.Rows, []float64{exposed}), append(logit.Y, y)
		pois.Rows, pois.Y = append(pois.Rows, []float64{exposed}), append(pois.Y, float64(i%4))
		pois.Offset = append(pois.Offset, math.Log(1+exposed+float64(i%7)))
	}
	var x, n, events, exposure [2]float64
	for i := range logit.Y {
		g := int(logit.Rows[i][0])
		n[g]++
		x[g] += logit.Y[i]
		events[g] += pois.Y[i]
		exposure[g] += math.Exp(pois.Offset[i])
	}
	fit := must(LogisticRegression(logit))(t)
	or := must(OddsRatio(x[1], n[1], x[0], n[0]))(t)
	near(t, "odds ratio", fit.Terms[1].Ratio.Value, or.Value, 1e-12)
	near(t, "odds ratio high", fit.Terms[1].Ratio.High, or.High, 1e-12)
	pf := must(PoissonRegression(pois))(t)
	near(t, "rate ratio", pf.Terms[1].Ratio.Value, events[1]/exposure[1]/(events[0]/exposure[0]), 1e-12)
	near(t, "rate ratio se", pf.Terms[1].SE, math.Sqrt(1/events[0]+1/events[1]), 1e-12)
	alone := must(PoissonRegression(Model{Y: pois.Y, Rows: make([][]float64, len(pois.Y)), Offset: pois.Offset}))(t)
	near(t, "intercept only", math.Exp(alone.Terms[0].Value), sum(events[:])/sum(exposure[:]), 1e-12)
}

// Every case written twice as one cluster: coefficients the same, robust
// errors those of the single cases up to the factors G/(G-1) (both alike),
// while the plain errors are too small by √2.
func TestRegressionClusters(t *testing.T) {
	single, double := warpbreaks(t), Model{}
	for i := range single.Y {
		single.Cluster = append(single.Cluster, i)
		for range 2 {
			double.Y, double.Rows = append(double.Y, single.Y[i]), append(double.Rows, single.Rows[i])
			double.Cluster = append(double.Cluster, 100-i)
		}
	}
	a, b := must(PoissonRegression(single))(t), must(PoissonRegression(double))(t)
	double.Cluster = nil
	naive := must(PoissonRegression(double))(t)
	plain := must(PoissonRegression(warpbreaks(t)))(t)
	for j := range a.Terms {
		near(t, "coefficient", b.Terms[j].Value, a.Terms[j].Value, 1e-10)
		near(t, "robust error", b.Terms[j].SE, a.Terms[j].SE, 1e-10)
		near(t, "naive error", naive.Terms[j].SE*math.Sqrt2, plain.Terms[j].SE, 1e-10)
	}
	if b.Clusters != 54 || b.Terms[1].Ratio.Method != "wald, clustered" {
		t.Errorf("clusters %d, method %q", b.Clusters, b.Terms[1].Ratio.Method)
	}
}

// The rate of clusters is the Poisson model of the intercept alone: same
// value and same interval as ClusteredRate, whose formula is the contract's.
func TestClusterModelIsClusteredRate(t *testing.T) {
	x, tt := []float64{2, 0, 4, 1, 7, 3}, []float64{1, 1, 2, 3, 2, 2.5}
	m := Model{Y: x, Rows: make([][]float64, len(x))}
	for i := range x {
		m.Offset, m.Cluster = append(m.Offset, math.Log(tt[i])), append(m.Cluster, i)
	}
	fit, want := must(PoissonRegression(m))(t).Terms[0].Ratio, must(ClusteredRate(x, tt))(t)
	near(t, "value", fit.Value, want.Value, 1e-10)
	near(t, "low", fit.Low, want.Low, 1e-10)
	near(t, "high", fit.High, want.High, 1e-10)
}

// Change of unit and of origin of a covariate.
func TestRegressionUnits(t *testing.T) {
	m, moved := infert(t), infert(t)
	for i := range moved.Rows {
		moved.Rows[i] = []float64{1000 * m.Rows[i][0], m.Rows[i][1] + 500}
	}
	a, b := must(LogisticRegression(m))(t), must(LogisticRegression(moved))(t)
	near(t, "unit", b.Terms[1].Value*1000, a.Terms[1].Value, 1e-9)
	near(t, "origin", b.Terms[2].Value, a.Terms[2].Value, 1e-9)
	near(t, "deviance", b.Deviance, a.Deviance, 1e-9)
}

func TestRegressionRefusals(t *testing.T) {
	x := [][]float64{{1}, {2}, {3}, {4}, {5}, {6}}
	y := []float64{0, 0, 0, 1, 1, 1}
	mixed := []float64{0, 1, 0, 1, 0, 1}
	constant := [][]float64{{7}, {7}, {7}, {7}, {7}, {7}}
	zero := [][]float64{{0}, {0}, {0}, {0}, {0}, {0}}
	half := [][]float64{{0}, {0}, {0}, {1}, {1}, {1}}
	logistic := map[string]Model{
		"separated":      {Rows: x, Y: y},
		"quasi":          {Rows: half, Y: []float64{0, 1, 0, 1, 1, 1}},
		"all 0":          {Rows: x, Y: fill(6, 0)},
		"all 1":          {Rows: x, Y: fill(6, 1)},
		"not 0 or 1":     {Rows: x, Y: []float64{0, 1, 2, 0, 1, 0}},
		"constant":       {Rows: constant, Y: mixed},
		"always 0":       {Rows: zero, Y: mixed},
		"ragged":         {Rows: [][]float64{{1}, {2}, {3, 4}, {4}, {5}, {6}}, Y: mixed},
		"NaN row":        {Rows: [][]float64{{1}, {2}, {nan}, {4}, {5}, {6}}, Y: mixed},
		"NaN offset":     {Rows: x, Y: mixed, Offset: []float64{0, 0, nan, 0, 0, 0}},
		"short offset":   {Rows: x, Y: mixed, Offset: []float64{0}},
		"short clusters": {Rows: x, Y: mixed, Cluster: []int{0}},
		"two clusters":   {Rows: x, Y: mixed, Cluster: []int{0, 0, 0, 1, 1, 1}},
		"none":           {},
		"two cases":      {Rows: x[:2], Y: mixed[:2]},
	}
	for name, m := range logistic {
		_, err := LogisticRegression(m)
		refused(t, name, err)
	}
	poisson := map[string]Model{
		"no event in a group": {Rows: half, Y: []float64{0, 0, 0, 3, 1, 2}},
		"negative":            {Rows: x, Y: []float64{1, 2, -1, 3, 1, 1}},
		"NaN":                 {Rows: x, Y: []float64{1, 2, nan, 3, 1, 1}},
		"no event":            {Rows: x, Y: fill(6, 0)},
	}
	for name, m := range poisson {
		_, err := PoissonRegression(m)
		refused(t, name, err)
	}
	if f := must(LogisticRegression(Model{Rows: x, Y: mixed}))(t); f.Warning == "" {
		t.Error("six cases: no warning")
	}
}
