package charts

import (
	"strings"
	"testing"
)

func effectsSample(width int) Effects {
	return Effects{
		Frame: frame("effects", width), X: months(6), Focus: "2025-06", Axis: Axis{Title: "Mean per transport", Unit: "L"},
		Parts: []Part{{"time", []float64{-20, 10, 0, Missing(), 5, -5}}, {"settings", []float64{-30, -5, 8, 2, 5, 0}}, {"unexplained", []float64{4, 120, 90, -3, 1, 2}}},
	}
}

// Parts of either sign lie on both sides of a zero line that is inside the plot, in the report's and a phone's width.
func TestEffects(t *testing.T) {
	r, err := NewRenderer()
	if err != nil {
		t.Fatal(err)
	}
	for _, width := range []int{0, 340} {
		c := effectsSample(width)
		c.ID = strings.Repeat("e", 1+width/100)
		s, err := c.sheet()
		if err != nil {
			t.Fatal(err)
		}
		if s.y.lo > -50 || s.y.hi < 125 {
			t.Errorf("width %d: axis from %v to %v, want -50 to 125 inside it", width, s.y.lo, s.y.hi)
		}
		if zero := s.py(0); zero <= s.plot.top || zero >= s.plot.bottom {
			t.Errorf("width %d: zero line at %v outside the plot", width, zero)
		}
		svg, err := r.Effects(c)
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{"time", "settings", "unexplained", paleSky, blue, vermillion} {
			if !strings.Contains(svg, want) {
				t.Errorf("width %d: %q is not in the chart", width, want)
			}
		}
	}
}

func TestEffectsRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*Effects){
		"no columns":   func(c *Effects) { c.X = nil },
		"too many":     func(c *Effects) { c.Parts = append(c.Parts, c.Parts[0]) },
		"wrong length": func(c *Effects) { c.Parts[0].Values = []float64{1} },
		"focus":        func(c *Effects) { c.Focus = "1999-01" },
	} {
		c := effectsSample(0)
		spoil(&c)
		if _, err := c.sheet(); err == nil {
			t.Errorf("%s: got no error", name)
		}
	}
}
