package stats

import (
	"math"
	"testing"
)

// Exact limits against the definition: the probability strictly beyond each
// is at most alpha/2, and one count nearer it is more.
func TestFunnelExactLimits(t *testing.T) {
	x := []float64{3, 6, 12, 20, 50, 30}
	n := []float64{30, 60, 100, 200, 500, 310}
	f := must(FunnelProportions(x, n))(t)
	if f.Method != "binomial exact" {
		t.Fatalf("method %q with phi %v", f.Method, f.Phi)
	}
	for _, p := range f.Points {
		for _, l := range []struct{ low, high, tail float64 }{{p.InnerLow, p.InnerHigh, 0.025}, {p.OuterLow, p.OuterHigh, 0.001}} {
			low, high := math.Round(l.low*p.Size), math.Round(l.high*p.Size)
			if binomialCDF(low-1, p.Size, f.Centre) > l.tail || binomialCDF(low, p.Size, f.Centre) < l.tail {
				t.Errorf("n %v: low %v is no quantile", p.Size, low)
			}
			if 1-binomialCDF(high, p.Size, f.Centre) > l.tail || 1-binomialCDF(high-1, p.Size, f.Centre) < l.tail {
				t.Errorf("n %v: high %v is no quantile", p.Size, high)
			}
		}
		if p.Outside != "" {
			t.Errorf("n %v is outside", p.Size)
		}
	}
	at, err := f.LimitsAt(60)
	if err != nil || at.OuterHigh != f.Points[1].OuterHigh {
		t.Errorf("curve: %+v (%v)", at, err)
	}
}

func TestFunnelOutlier(t *testing.T) {
	f := must(FunnelRates([]float64{10, 11, 9, 10, 10, 9, 11, 10, 10, 31}, fill(10, 10)))(t)
	if p := f.Points[9]; p.Outside != "99.8 %" || !p.Up {
		t.Errorf("outlier: %+v (phi %v)", p, f.Phi)
	}
}

// Over-dispersion worked by hand: z = ±2 in equal halves, none winsorized
// away: phi = 4, limits centre ± 2 z se.
func TestFunnelOverdispersed(t *testing.T) {
	x := []float64{80, 120, 80, 120, 80, 120, 80, 120, 80, 120}
	f := must(FunnelRates(x, fill(10, 100)))(t)
	near(t, "phi", f.Phi, 4, 1e-12)
	near(t, "upper", f.Points[0].InnerHigh, 1+2*1.959963984540054*0.1, 1e-9)
	near(t, "outer", f.Points[0].OuterHigh, 1+2*3.090232306167813*0.1, 1e-9)
	if f.Method != "z times root phi" || f.Points[0].Outside != "" {
		t.Errorf("%q %+v", f.Method, f.Points[0])
	}
}

func TestFunnelEdges(t *testing.T) {
	f := must(FunnelProportions([]float64{0, 0, 0}, []float64{5, 0, 9}))(t)
	if f.Warning == "" || f.Points[1].HasValue || f.Points[0].Outside != "" {
		t.Errorf("no events: %+v", f)
	}
	one := must(FunnelProportions([]float64{2}, []float64{7}))(t)
	if one.Points[0].Z != 0 || one.Warning == "" {
		t.Errorf("one unit: %+v", one)
	}
	all := must(FunnelProportions([]float64{4, 7}, []float64{4, 7}))(t)
	if all.Points[0].OuterHigh != 1 || all.Points[0].Outside != "" {
		t.Errorf("all had it: %+v", all)
	}
	_, err := FunnelProportions(nil, nil)
	refused(t, "no unit", err)
	_, err = FunnelProportions([]float64{0}, []float64{0})
	refused(t, "no denominator", err)
	_, err = FunnelRates([]float64{1, nan}, []float64{1, 1})
	refused(t, "NaN", err)
	_, err = FunnelProportions([]float64{3}, []float64{2})
	refused(t, "3 of 2", err)
	_, err = Funnel{}.LimitsAt(3)
	refused(t, "empty funnel", err)
	_, err = one.LimitsAt(0)
	refused(t, "size 0", err)
	_, err = one.LimitsAt(1e13)
	refused(t, "size 1e13", err)
}
