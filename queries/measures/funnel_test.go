package measures

import (
	"math"
	"strings"
	"testing"

	"tripwake/queries"
)

// sites answers a measure by referring site.
func sites(measure string, x, t []float64) *fake {
	f := &fake{}
	for i, name := range []string{"Aldmoor", "Brackholm", "Cinderquay", "Dunvarrel", "Eastmere"}[:len(x)] {
		f.sums = append(f.sums, queries.Sum{Measure: measure, Month: queries.AllMonths, Group: name, X: x[i], T: t[i], Transports: int(t[i])})
	}
	return f
}

// below sums the binomial law itself: the probability of fewer than k of n.
func below(k, n, p float64) float64 {
	sum := 0.0
	for i := 0.0; i < k; i++ {
		a, _ := math.Lgamma(n + 1)
		b, _ := math.Lgamma(i + 1)
		c, _ := math.Lgamma(n - i + 1)
		sum += math.Exp(a - b - c + i*math.Log(p) + (n-i)*math.Log(1-p))
	}
	return sum
}

// Spiegelhalter 2005: limits where the binomial law puts 2.5 % and 0.1 % in each tail.
func TestFunnelLimitsAreThoseOfTheLaw(t *testing.T) {
	f := sites("declined", []float64{10, 22, 33, 40}, []float64{100, 200, 300, 400})
	f.sums = append(f.sums, queries.Sum{Measure: "declined", Month: queries.AllMonths, Group: queries.NotRecorded, X: 9, T: 9, Transports: 9})
	got, ok, err := FunnelOf(t.Context(), f, "declined", "", "")
	if err != nil || !ok {
		t.Fatal(ok, err)
	}
	close9(t, "centre", got.Centre, 10.5, 1e-9)
	if got.Widened || got.Words() != "exact binomial limits" || len(got.Sites) != 4 || got.NotRecorded != 9 || f.asked[0].By != "referring_site" {
		t.Errorf("got %+v", got)
	}
	for _, s := range got.Sites {
		low, high := math.Round(s.InnerLow*s.Size/100), math.Round(s.InnerHigh*s.Size/100)
		if below(low, s.Size, 0.105) >= 0.025 || below(low+1, s.Size, 0.105) < 0.025 || 1-below(high+1, s.Size, 0.105) > 0.025 || 1-below(high, s.Size, 0.105) <= 0.025 {
			t.Errorf("%s: limits %g and %g of %g", s.Name, low, high, s.Size)
		}
		if s.Outside != "" || !(s.OuterLow <= s.InnerLow && s.InnerHigh <= s.OuterHigh) {
			t.Errorf("%+v", s)
		}
	}
	c := got.Inner
	if len(c.Sizes) != len(c.Lower) || c.Sizes[0] > 100 || c.Sizes[len(c.Sizes)-1] < 400 || c.Upper[0]-c.Lower[0] <= c.Upper[len(c.Upper)-1]-c.Lower[len(c.Lower)-1] {
		t.Errorf("the funnel does not narrow: %+v", c)
	}
}

// z-scores by hand: at a centre of 20 of 100 the standard error is 4; 8 and 32 of 100 are 3 of these away.
func TestFunnelWidensWhereSitesDiffer(t *testing.T) {
	got, ok, err := FunnelOf(t.Context(), sites("declined", []float64{8, 32, 8, 32, 20}, []float64{100, 100, 100, 100, 100}), "declined", "", "")
	if err != nil || !ok || !got.Widened || !strings.Contains(got.Words(), "φ = 7.20") {
		t.Fatalf("%v %v %+v", ok, err, got)
	}
	close9(t, "95 % limit", got.Sites[0].InnerHigh, 20+1.959963984540054*4*math.Sqrt(7.2), 1e-9)
	rates, ok, err := FunnelOf(t.Context(), sites("adverse_events", []float64{10, 11, 12, 9, 24}, []float64{100, 100, 100, 100, 100}), "adverse_events", "", "")
	if err != nil || !ok {
		t.Fatal(ok, err)
	}
	close9(t, "centre per 100", rates.Centre, 13.2, 1e-9)
	if last := rates.Sites[4]; last.Outside != "95 %" || !last.Up || last.Value != 24 {
		t.Errorf("%+v", last)
	}
}

func TestFunnelIsRefusedOrLeftAway(t *testing.T) {
	for _, id := range []string{"trip_time", "oxygen_ratio", "alarming_time", "speed"} {
		if _, _, err := FunnelOf(t.Context(), &fake{}, id, "", ""); err == nil {
			t.Errorf("a funnel of %s was made", id)
		}
	}
	if _, ok, err := FunnelOf(t.Context(), sites("declined", []float64{1, 2, 0}, []float64{10, 10, 0}), "declined", "", ""); ok || err != nil {
		t.Errorf("two sites with members: %v, %v", ok, err)
	}
	got, ok, err := FunnelOf(t.Context(), sites("declined", []float64{0, 0, 0}, []float64{10, 10, 10}), "declined", "", "")
	if err != nil || !ok || got.Sites[0].Outside != "" || got.Warning == "" {
		t.Errorf("no event at all: %v, %v, %+v", ok, err, got)
	}
}
