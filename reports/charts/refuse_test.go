package charts

import (
	"math"
	"strings"
	"testing"
)

func TestRefusals(t *testing.T) {
	inf := math.Inf(1)
	control := func(change func(*Control)) func(*Renderer) (string, error) {
		c := controlSample(0)
		change(&c)
		return func(r *Renderer) (string, error) { return r.Control(c) }
	}
	for _, c := range []struct {
		want string
		draw func(*Renderer) (string, error)
	}{
		{"ID \"A b\"", control(func(c *Control) { c.ID = "A b" })},
		{"ID \"\"", control(func(c *Control) { c.ID = "" })},
		{"Title and Desc", control(func(c *Control) { c.Desc = " " })},
		{"Width is 100", control(func(c *Control) { c.Width = 100 })},
		{"Height is 9999", control(func(c *Control) { c.Height = 9999 })},
		{"no points", control(func(c *Control) { c.X, c.Y, c.Focus = nil, nil, "" })},
		{"Y has 17 values: want 18", control(func(c *Control) { c.Y = c.Y[:17] })},
		{"Upper has 1 values", control(func(c *Control) { c.Upper = c.Upper[:1] })},
		{"Y[2] is +Inf", control(func(c *Control) { c.Y[2] = inf })},
		{"Target[0] is NaN", control(func(c *Control) { c.Target = At(Missing()) })},
		{"Focus \"1999-01\"", control(func(c *Control) { c.Focus = "1999-01" })},
		{"Signals[0]", control(func(c *Control) { c.Signals = []Signal{{At: 99}} })},
		{"Signals[0]", control(func(c *Control) { c.Signals = []Signal{{At: 6}} })}, // a gap
		{"Signals[0]", control(func(c *Control) { c.Signals = []Signal{{At: 1, Kind: 9}} })},
		{"Phases[1]", control(func(c *Control) { c.Phases = []Phase{{5, "a"}, {5, "b"}} })},
		{"Notes[0]", control(func(c *Control) { c.Notes = []Note{{At: -1}} })},
		{"logarithmic", func(r *Renderer) (string, error) {
			c := rareSample(0)
			c.Y[0] = 0
			return r.RareEvents(c)
		}},
		{"below 0", func(r *Renderer) (string, error) {
			return r.Bars(Bars{Frame: frame("b", 0), Rows: []Bar{{"a", -1, 0, ""}}})
		}},
		{"no rows", func(r *Renderer) (string, error) { return r.Bars(Bars{Frame: frame("b", 0)}) }},
		{"is not inside", func(r *Renderer) (string, error) {
			return r.Intervals(Intervals{Frame: frame("b", 0), Groups: []IntervalGroup{{"", []Interval{{"a", 5, 6, 7, 1, ""}}}}})
		}},
		{"no rows", func(r *Renderer) (string, error) {
			return r.Intervals(Intervals{Frame: frame("b", 0), Groups: []IntervalGroup{{"a", nil}}})
		}},
		{"Counts[0] has 1 cells: want 2", func(r *Renderer) (string, error) {
			return r.Matrix(Matrix{Frame: frame("b", 0), Rows: []string{"a"}, Columns: []string{"a", "b"}, Counts: [][]int{{1}}})
		}},
		{"Rows 1, Columns 0", func(r *Renderer) (string, error) {
			return r.Matrix(Matrix{Frame: frame("b", 0), Rows: []string{"a"}, Counts: [][]int{{}}})
		}},
		{"at most 5", func(r *Renderer) (string, error) {
			g := PointGroup{"a", []Point{{1, 1}}}
			return r.Agreement(Agreement{Frame: frame("b", 0), Groups: []PointGroup{g, g, g, g, g, g}})
		}},
		{"no points", func(r *Renderer) (string, error) { return r.Agreement(Agreement{Frame: frame("b", 0)}) }},
		{"1 to 6 parts", func(r *Renderer) (string, error) { return r.Stacked(Stacked{Frame: frame("b", 0), X: []string{"a"}}) }},
		{"Parts[0] has a value below 0", func(r *Renderer) (string, error) {
			return r.Stacked(Stacked{Frame: frame("b", 0), X: []string{"a"}, Parts: []Part{{"p", []float64{-1}}}})
		}},
		{"leave the cell empty", func(r *Renderer) (string, error) {
			return r.Spark(Spark{Frame: frame("b", 0), Y: []float64{Missing()}})
		}},
		{"ascending", func(r *Renderer) (string, error) {
			f := funnelSample(0)
			f.Limits[0].N[0] = 999
			return r.Funnel(f)
		}},
		{"no points", func(r *Renderer) (string, error) { return r.Funnel(Funnel{Frame: frame("b", 0)}) }},
		{"no values", func(r *Renderer) (string, error) { return r.Distribution(Distribution{Frame: frame("b", 0)}) }},
		{"bins: want at most 200", func(r *Renderer) (string, error) {
			return r.Distribution(Distribution{Frame: frame("b", 0), Values: []float64{0, 1000}, BinWidth: 1})
		}},
	} {
		svg, err := c.draw(newRenderer(t))
		if err == nil || !strings.Contains(err.Error(), c.want) || svg != "" {
			t.Errorf("want an error with %q, got %v", c.want, err)
		}
		if err != nil && strings.Contains(err.Error(), "\n") {
			t.Errorf("not one line: %v", err)
		}
	}
}

func TestAnIDIsUsedOnce(t *testing.T) {
	r := newRenderer(t)
	if _, err := r.Spark(sparkSample(0)); err != nil {
		t.Fatal(err)
	}
	if _, err := r.Spark(sparkSample(0)); err == nil || !strings.Contains(err.Error(), "used before") {
		t.Errorf("the same ID again: %v", err)
	}
}

// Charts of little or odd data still come out.
func TestSmallAndOddCharts(t *testing.T) {
	one := []float64{5}
	for name, draw := range map[string]func(*Renderer) (string, error){
		"one point": func(r *Renderer) (string, error) {
			return r.Control(Control{Frame: frame("a", 0), X: []string{"x"}, Y: one})
		},
		"all missing": func(r *Renderer) (string, error) {
			return r.Control(Control{Frame: frame("a", 0), X: []string{"x"}, Y: []float64{Missing()}, Upper: one})
		},
		"zero bars": func(r *Renderer) (string, error) {
			return r.Bars(Bars{Frame: frame("a", 0), Rows: []Bar{{"x", 0, 0, ""}}})
		},
		"one value": func(r *Renderer) (string, error) {
			return r.Distribution(Distribution{Frame: frame("a", 0), Values: one})
		},
		"empty columns": func(r *Renderer) (string, error) {
			return r.Stacked(Stacked{Frame: frame("a", 0), X: []string{"x"}, Parts: []Part{{"p", []float64{0}}}})
		},
		"one spark point": func(r *Renderer) (string, error) { return r.Spark(Spark{Frame: frame("a", 0), Y: one}) },
		"120 months": func(r *Renderer) (string, error) {
			return r.Control(Control{Frame: frame("a", 300), X: months(120), Y: wave(120, 1e6, 4e5), Focus: "2025-01"})
		},
		"identity on logarithms": func(r *Renderer) (string, error) {
			return r.Agreement(Agreement{Frame: frame("a", 0), X: Axis{Log: true}, Y: Axis{Log: true}, Identity: true,
				Groups: []PointGroup{{"g", []Point{{1, 2}, {300, 250}}}}})
		},
	} {
		svg, err := draw(newRenderer(t))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if strings.Contains(svg, "NaN") || strings.Contains(svg, "undefined") {
			t.Errorf("%s: %s", name, svg)
		}
		elements(t, svg, nil, nil)
	}
}
