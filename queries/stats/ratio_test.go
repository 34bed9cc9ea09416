package stats

import (
	"math"
	"testing"
)

// Against the formula of Cochran 1977, 6.3 worked on the units one by one, and against ClusteredRate, whose standard error
// is the same.
func TestRatioOfSums(t *testing.T) {
	x, exposure := []float64{3, -1, 4, 7, 0, 2}, []float64{10, 5, 12, 20, 4, 9}
	m, err := MomentsOf(x, exposure)
	if err != nil {
		t.Fatal(err)
	}
	got, err := RatioOfSums(m, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	r, squares := 15.0/60, 0.0
	for i := range x {
		squares += (x[i] - r*exposure[i]) * (x[i] - r*exposure[i])
	}
	se := math.Sqrt(6.0/5*squares) / 60
	// t(5) at 97.5 %: 2.570581836 (tables of Student's t, NIST/SEMATECH e-Handbook 1.3.6.7.2 prints 2.571).
	for name, pair := range map[string][2]float64{"value": {got.Value, r}, "low": {got.Low, r - 2.570581836*se}, "high": {got.High, r + 2.570581836*se}} {
		if math.Abs(pair[0]-pair[1]) > 1e-9 {
			t.Errorf("%s: got %v, want %v", name, pair[0], pair[1])
		}
	}
	even, err := MomentsOf([]float64{1, 2, 3}, []float64{10, 20, 30})
	if err != nil {
		t.Fatal(err)
	}
	if e, err := RatioOfSums(even, 0.95); err != nil || e.Low != e.High || e.Warning == "" {
		t.Errorf("equal ratios: got %+v, %v, want no width and a warning", e, err)
	}
	for name, bad := range map[string]Moments{"one unit": {N: 1, X: 1, T: 1}, "no exposure": {N: 3, X: 1}, "NaN": {N: 3, X: math.NaN(), T: 1}} {
		if _, err := RatioOfSums(bad, 0.95); err == nil {
			t.Errorf("%s: got no error", name)
		}
	}
	if _, err := MomentsOf([]float64{1}, nil); err == nil {
		t.Error("unequal lengths: got no error")
	}
	if _, err := TQuantile(0.95, 0); err == nil {
		t.Error("no degrees of freedom: got no error")
	}
	if v, err := TQuantile(0.95, 5); err != nil || math.Abs(v-2.570581836) > 1e-9 {
		t.Errorf("t(5): got %v, %v", v, err)
	}
}

// At the median the ranks are those of MedianRanks (a published table is held against that). For the 99th of a hundred an
// upper limit needs 1 - 0.99^n >= 0.975, so n >= 368 (own derivation), and 0.99^368 = 0.02477.
func TestQuantileInterval(t *testing.T) {
	values := make([]float64, 400)
	for i := range values {
		values[i] = float64(i + 1)
	}
	for n := 6; n <= 60; n++ {
		lower, upper, coverage, _ := MedianRanks(n)
		got, err := QuantileInterval(values[:n], 0.5)
		if err != nil || got.Low != float64(lower) || got.High != float64(upper) || math.Abs(got.Coverage-coverage) > 1e-12 {
			t.Errorf("n %d: got %+v, %v, want ranks %d and %d", n, got, err, lower, upper)
		}
	}
	open, err := QuantileInterval(values[:367], 0.99)
	if err != nil || !open.Open || open.Warning == "" {
		t.Errorf("367: got %+v, %v, want an open interval with a warning", open, err)
	}
	closed, err := QuantileInterval(values[:368], 0.99)
	if err != nil || closed.Open || closed.High != 368 || math.Abs(closed.Value-(1+0.99*367)) > 1e-9 {
		t.Errorf("368: got %+v, %v, want an upper limit of 368", closed, err)
	}
	// P(B <= 0) = 0.01 of one value and P(B <= 1) = 0.0199 of two leave the smallest as the lower rank; of 3, 0.0298 is too much.
	if one, err := QuantileInterval(values[:1], 0.99); err != nil || one.Low != 1 || !one.Open {
		t.Errorf("one value: got %+v, %v", one, err)
	}
	for name, call := range map[string]func() error{
		"none":         func() error { _, err := QuantileInterval(nil, 0.9); return err },
		"out of order": func() error { _, err := QuantileInterval([]float64{2, 1}, 0.9); return err },
		"p":            func() error { _, err := QuantileInterval(values, 1); return err },
	} {
		if call() == nil {
			t.Errorf("%s: got no error", name)
		}
	}
}
