package stats

import (
	"math"
	"testing"
)

// Bland and Altman 1986, peak flow of 17 subjects; values of checks.md.
func TestAgreementPublished(t *testing.T) {
	a, b := series(t, "pefr_a"), series(t, "pefr_b")
	want := map[string][]float64{}
	for _, row := range table(t, "agreement.csv") {
		want[row[0]] = numbers(t, row[1])
	}
	g := must(BlandAltman(a, b))(t)
	near(t, "n", float64(g.N), want["n"][0], 0)
	near(t, "bias", g.Bias.Value, want["bias"][0], 1e-9)
	near(t, "sd", g.SD, want["sd"][0], 1e-9)
	near(t, "lower", g.Lower.Value, want["loa_1.96"][0], 1e-9)
	near(t, "upper", g.Upper.Value, want["loa_1.96"][1], 1e-9)
	near(t, "lower low", g.Lower.Low, want["lower_ci_1999"][0], 1e-9)
	near(t, "lower high", g.Lower.High, want["lower_ci_1999"][1], 1e-9)
	near(t, "upper low", g.Upper.Low, want["upper_ci_1999"][0], 1e-9)
	near(t, "upper high", g.Upper.High, want["upper_ci_1999"][1], 1e-9)
	near(t, "concordance", must(Concordance(a, b))(t).Value, want["ccc_n"][0], 1e-9)
	line := must(Calibration(b, a))(t) // the first meter on the second
	near(t, "intercept", line.Intercept.Value, want["calib_intercept"][0], 1e-9)
	near(t, "intercept se", line.InterceptSE, want["calib_intercept"][1], 1e-9)
	near(t, "slope", line.Slope.Value, want["calib_slope"][0], 1e-9)
	near(t, "slope se", line.SlopeSE, want["calib_slope"][1], 1e-9)
}

// On the log scale the limits are those of the logarithms, and the unit of
// measurement does not matter.
func TestAgreementLog(t *testing.T) {
	a, b := series(t, "pefr_a"), series(t, "pefr_b")
	la, lb, a10 := make([]float64, 17), make([]float64, 17), make([]float64, 17)
	b10 := make([]float64, 17)
	for i := range a {
		la[i], lb[i], a10[i], b10[i] = math.Log(a[i]), math.Log(b[i]), 10*a[i], 10*b[i]
	}
	g, l, u := must(BlandAltmanLog(a, b))(t), must(BlandAltman(la, lb))(t), must(BlandAltmanLog(a10, b10))(t)
	near(t, "upper", g.Upper.High, math.Exp(l.Upper.High), 1e-14)
	near(t, "bias", g.Bias.Value, math.Exp(l.Bias.Value), 1e-14)
	near(t, "unit", u.Lower.Low, g.Lower.Low, 1e-12)
	if !g.Log || g.Warning == "" {
		t.Errorf("log %v warning %q", g.Log, g.Warning)
	}
	_, err := BlandAltmanLog([]float64{1, 0}, []float64{1, 2})
	refused(t, "zero", err)
}

func TestAgreementEdges(t *testing.T) {
	v := []float64{1, 2, 3, 5}
	same := must(BlandAltman(v, v))(t)
	if same.SD != 0 || same.Upper.High != 0 {
		t.Errorf("identical: %+v", same)
	}
	c := must(Concordance(v, v))(t)
	if c.Value != 1 || c.Warning == "" || c.High != 1 {
		t.Errorf("identical: %+v", c)
	}
	flat := must(Concordance([]float64{1, 2, 3}, []float64{2, 2, 2}))(t)
	if flat.Value != 0 || flat.Warning == "" {
		t.Errorf("one constant: %+v", flat)
	}
	for _, b := range [][2][]float64{{nil, nil}, {{1}, {2}}, {{1, 2, 3}, {1, 2}}, {{1, nan, 3, 4}, {1, 2, 3, 4}}} {
		_, err := BlandAltman(b[0], b[1])
		refused(t, "agreement", err)
		_, err = Concordance(b[0], b[1])
		refused(t, "concordance", err)
		_, err = Calibration(b[0], b[1])
		refused(t, "calibration", err)
		_, err = SpreadGrowth(b[0], b[1])
		refused(t, "growth", err)
	}
	_, err := Concordance(fill(4, 2), fill(4, 2))
	refused(t, "all one value", err)
	_, err = Calibration(fill(4, 2), v)
	refused(t, "predictions equal", err)
	_, err = SpreadGrowth(v, v)
	refused(t, "no differences", err)
}

// Differences made to grow with size are found, constant ones mostly not.
func TestSpreadGrowth(t *testing.T) {
	r, grown, level := dice(9), 0, 0
	for range 200 {
		a, b, c := make([]float64, 60), make([]float64, 60), make([]float64, 60)
		for i := range a {
			a[i] = 10 + 90*r.Float64()
			e := r.NormFloat64()
			b[i], c[i] = a[i]*(1+0.2*e), a[i]+5*e
		}
		if s := must(SpreadGrowth(a, b))(t); s.P < 0.05 && s.Statistic > 0 {
			grown++
		}
		if s := must(SpreadGrowth(a, c))(t); s.P < 0.05 {
			level++
		}
	}
	if grown < 160 || level > 24 {
		t.Errorf("found %d of 200 that grow and %d of 200 that do not", grown, level)
	}
}

// Coverage of the limits' intervals by simulation: 2000 samples of 40 normal
// pairs; true upper limit 1.96 sd. The formula is approximate: 0.93 to 0.97.
func TestAgreementCoverage(t *testing.T) {
	r, hits := dice(10), 0
	zero := make([]float64, 40)
	for range 2000 {
		d := make([]float64, 40)
		for i := range d {
			d[i] = r.NormFloat64()
		}
		if u := must(BlandAltman(d, zero))(t).Upper; u.Low <= 1.959964 && 1.959964 <= u.High {
			hits++
		}
	}
	if c := float64(hits) / 2000; c < 0.93 || c > 0.97 {
		t.Errorf("coverage %v", c)
	}
}

// Lin's standard error by simulation: 2000 samples of 200 normal pairs with
// correlation 0.6 and shift 0.3. The spread of the z of the concordance must be
// the error that the interval is made of within 5 % (its own error is 1.6 %),
// and the interval must cover 2ρ/(2 + shift²) in 0.935 to 0.965 of samples.
func TestConcordanceError(t *testing.T) {
	r, hits, errors := dice(12), 0, 0.0
	const samples = 2000
	truth := 2 * 0.6 / (2 + 0.09)
	zs := make([]float64, samples)
	for s := range zs {
		a, b := make([]float64, 200), make([]float64, 200)
		for i := range a {
			a[i] = r.NormFloat64()
			b[i] = 0.6*a[i] + 0.8*r.NormFloat64() + 0.3
		}
		e := must(Concordance(a, b))(t)
		sound(t, "concordance", e)
		zs[s] = math.Atanh(e.Value)
		errors += (math.Atanh(e.High) - zs[s]) / 1.959964 / samples
		if e.Low <= truth && truth <= e.High {
			hits++
		}
	}
	near(t, "error", errors, sd(zs), 0.05)
	near(t, "coverage", float64(hits)/samples, 0.95, 0.0158)
}
