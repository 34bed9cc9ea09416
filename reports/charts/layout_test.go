package charts

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
)

// checkTexts holds that no text covers another, and none leaves the picture.
func checkTexts(t *testing.T, name string, s *sheet) {
	t.Helper()
	for i, a := range s.texts {
		if a.left < -0.5 || a.top < -0.5 || a.right > s.width+0.5 || a.bottom > s.height+0.5 {
			t.Errorf("%s: %q leaves the picture of %v × %v: %.0f", name, a.text, s.width, s.height, a.box)
		}
		for _, b := range s.texts[:i] {
			if a.overlap(b.box) > 0 {
				t.Errorf("%s: %q %.0f covers %q %.0f", name, a.text, a.box, b.text, b.box)
			}
		}
	}
}

func TestTextsDoNotCoverEachOther(t *testing.T) {
	for _, w := range widths {
		for _, s := range samples(w) {
			sh, err := s.sheet()
			if err != nil {
				t.Fatal(err)
			}
			checkTexts(t, fmt.Sprintf("%s at %d", s.name, w), sh)
		}
	}
}

func TestEdgeLabelsThatFallTogether(t *testing.T) {
	for _, values := range [][4]float64{{10, 10, 10, 10}, {0, 0, 0, 50}, {50, 50, 50, 0}, {1, 1.2, 1.1, 1.3}} {
		c := runSample(0)
		n := len(c.X)
		c.CentreName, c.TargetName = "a median with a name that is far too long to fit", "target agreed with the network"
		c.Lower, c.Centre, c.Upper, c.Target = repeat(n, values[0]), repeat(n, values[1]), repeat(n, values[2]), At(values[3])
		sh, err := c.sheet()
		if err != nil {
			t.Fatal(err)
		}
		checkTexts(t, fmt.Sprint(values), sh)
		edge := 0
		for _, text := range sh.texts {
			if text.left > sh.plot.right {
				edge++
			}
		}
		if edge != 4 {
			t.Errorf("%v: %d labels at the edge, want 4", values, edge)
		}
	}
}

// Advance widths of Helvetica in 1/1000 em, from Adobe's Core 14 font metrics (values from memory).
func TestTextWidthIsHelveticas(t *testing.T) {
	for text, want := range map[string]float64{" ": 278, "0": 556, "A": 667, "W": 944, "i": 222, "m": 833, "@": 1015, "AV0": 667 + 667 + 556} {
		if got := textWidth(text, 1000); math.Abs(got-want) > 1 {
			t.Errorf("%q is %.1f wide, want %.0f", text, got, want)
		}
	}
	if w := measureFont("00", "bold 20px sans-serif"); math.Abs(w-2*0.556*20) > 0.02 {
		t.Errorf("measureFont: %v", w)
	}
	if textWidth("e\u0301", 10) != textWidth("e", 10) || textWidth("漢", 10) != 10 {
		t.Error("a combining mark takes no room, an ideograph a whole em")
	}
}

func TestFitAndWrap(t *testing.T) {
	for _, s := range []string{"short", strings.Repeat("x", 300), "ä–漢字 mixed words and more"} {
		for _, room := range []float64{30, 60, 200} {
			got := fit(s, room, 12)
			if textWidth(got, 12) > room {
				t.Errorf("fit(%q, %v) = %q is too wide", s, room, got)
			}
			if got != s && !strings.HasSuffix(got, ellipsis) {
				t.Errorf("fit(%q, %v) = %q is cut without a sign", s, room, got)
			}
		}
	}
	if got := wrap("high frequency oscillation", 60, 11, 2); len(got) != 2 || !strings.HasSuffix(got[1], ellipsis) || got[0] != "high" {
		t.Errorf("wrap: %q", got)
	}
}

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		v    float64
		d    int
		want string
	}{{0, 0, "0"}, {4.3478, 1, "4.3"}, {-217, 0, "−217"}, {-0.04, 1, "0.0"}, {1456, 0, "1456"}, {12345, 0, "12\u00a0345"}, {-1234567.25, 2, "−1\u00a0234\u00a0567.25"}} {
		if got := number(c.v, c.d); got != c.want {
			t.Errorf("number(%v, %d) = %q, want %q", c.v, c.d, got, c.want)
		}
	}
}

func TestScalesAreRoundAndHoldTheirValues(t *testing.T) {
	for _, c := range []struct {
		axis   Axis
		values []float64
		lo, hi float64
	}{
		{Axis{Floor: At(0)}, []float64{12, 47}, 0, 50},
		{Axis{Floor: At(0), Ceiling: At(100)}, []float64{95, 97, 99.9}, 94, 100},
		{Axis{Floor: At(0), Ceiling: At(100)}, []float64{2, 100}, 0, 100},
		{Axis{Integer: true, Floor: At(0)}, []float64{0, 1}, 0, 2},
		{Axis{}, []float64{-217, 261}, -300, 300},
		{Axis{Floor: At(0)}, []float64{-5, 10}, -10, 15},
		{Axis{Log: true}, []float64{24, 855}, 20, 1000},
		{Axis{Log: true}, []float64{0.5, 2}, 0.2, 5},
	} {
		s := valueScale(c.axis, c.values, 5)
		if s.lo > slices.Min(c.values) || s.hi < slices.Max(c.values) || len(s.ticks) < 2 {
			t.Errorf("%v does not hold %v", s, c.values)
		}
		if math.Abs(s.lo-c.lo) > 1e-9*math.Abs(c.lo)+1e-9 || math.Abs(s.hi-c.hi) > 1e-9*c.hi {
			t.Errorf("%v: from %v to %v, want %v to %v", c.values, s.lo, s.hi, c.lo, c.hi)
		}
	}
}

func TestScalesOfStrangeValues(t *testing.T) {
	for _, v := range [][]float64{nil, {0}, {5}, {-3}, {1e15}, {-1e15, 1e15}, {1e-12, 2e-12}, {1000, 1000.0001}} {
		s := valueScale(Axis{}, v, 5)
		if !(s.lo < s.hi) || math.IsNaN(s.at(s.lo)) || len(s.ticks) < 2 || len(s.ticks) > 30 {
			t.Errorf("%v: %v", v, s)
		}
	}
}

func TestSpread(t *testing.T) {
	seed := uint32(7)
	next := func() float64 { seed = seed*1664525 + 1013904223; return float64(seed>>8) / (1 << 24) }
	for range 500 {
		n := 1 + int(next()*6)
		at, size := make([]float64, n), make([]float64, n)
		for i := range at {
			at[i], size[i] = next()*200, 5+next()*20
		}
		got := spread(at, size, 0, 200)
		order := make([]int, n)
		for i := range order {
			order[i] = i
		}
		slices.SortStableFunc(order, func(a, b int) int { return int(math.Copysign(1, at[a]-at[b])) })
		for k, i := range order {
			if got[i]-size[i]/2 < -1e-9 || got[i]+size[i]/2 > 200+1e-9 {
				t.Fatalf("%v: %v leaves 0 to 200", at, got)
			}
			if k > 0 && got[i]-got[order[k-1]] < (size[i]+size[order[k-1]])/2-1e-9 {
				t.Fatalf("%v of %v: %v overlap", at, size, got)
			}
		}
	}
	if got := spread([]float64{50, 20}, []float64{10, 10}, 0, 100); got[0] != 50 || got[1] != 20 {
		t.Errorf("places with room between are moved: %v", got)
	}
	if got := spread([]float64{50, 50}, []float64{10, 10}, 0, 100); got[0] != 45 || got[1] != 55 {
		t.Errorf("two at one place: %v, want 45 and 55", got)
	}
}

func TestBinsHoldEveryValueOnce(t *testing.T) {
	for _, values := range [][]float64{{1}, {5, 5, 5}, {0, 10, 20, 30}, {0.1, 0.2, 0.3, 0.7}, {-3, 4}, {29.999, 30, 30.001}} {
		b, err := Distribution{Frame: frame("d", 0), Values: values}.bins()
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, n := range b.counts {
			sum += n
		}
		if int(sum) != len(values) {
			t.Errorf("%v: %v values in bins", values, sum)
		}
	}
	b, err := Distribution{Frame: frame("d", 0), Values: []float64{0, 9.9, 10, 19, 20}, BinWidth: 10}.bins()
	if err != nil || !slices.Equal(b.counts, []float64{2, 2, 1}) {
		t.Errorf("bins are closed at the left: %v, %v", b, err)
	}
}
