package charts

import (
	"math"
	"slices"
)

// Effects is a chart of columns, one per month, whose parts add to a plan or take from it: those above 0 are stacked
// upward, those below 0 downward.
type Effects struct {
	Frame
	Axis  Axis
	X     []string // names of the columns
	Parts []Part   // at most 3, from the zero line outward; values of either sign, NaN counts as 0
	Focus string   // the name in X of the month under report; "" is none
}

// effectColours differ in lightness, so that they differ on a grey print; the last, which must be seen first, is darkest.
var effectColours = []string{paleSky, blue, vermillion}

// Effects draws columns of parts of either sign.
func (r *Renderer) Effects(c Effects) (string, error) {
	s, err := c.sheet()
	if err != nil {
		return "", err
	}
	return r.finish(s)
}

func (c Effects) check() error {
	if len(c.X) == 0 || len(c.Parts) == 0 || len(c.Parts) > len(effectColours) {
		return c.wrong("X %d, Parts %d: want some columns of 1 to %d parts", len(c.X), len(c.Parts), len(effectColours))
	}
	for _, p := range c.Parts {
		if err := c.column("Parts: Values", p.Values, len(c.X), false, true); err != nil {
			return err
		}
	}
	if c.Focus != "" && !slices.Contains(c.X, c.Focus) {
		return c.wrong("Focus %q is not one of X", c.Focus)
	}
	return c.Frame.check(300, 120)
}

// ends are the sums above and below 0 of every column.
func (c Effects) ends() []float64 {
	ends := []float64{0}
	for i := range c.X {
		above, below := 0.0, 0.0
		for _, p := range c.Parts {
			if v := p.Values[i]; v > 0 {
				above += v
			} else if v < 0 {
				below += v
			}
		}
		ends = append(ends, above, below)
	}
	return ends
}

func (c Effects) sheet() (*sheet, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	s := newSheet("effects", c.Frame, 290)
	axis := c.Axis
	axis.Log = false
	s.y = valueScale(axis, c.ends(), ticksFor(s.height-titleRoom-keyRoom-labelRoom, 42))
	s.x = bandScale(len(c.X), false)
	s.setPlot(widest(s.y.tickTexts(), smallSize)+tickGap+2, titleRoom+keyRoom+4, 6, labelRoom+2)
	focus := slices.Index(c.X, c.Focus)
	if focus >= 0 {
		half := s.plot.width() / float64(len(c.X)) / 2
		x := s.px(float64(focus))
		s.fill(box{x - half, s.plot.top, x + half, s.plot.bottom}, shade, underMarks)
	}
	c.tips(s)
	var entries []keyEntry
	for i, p := range c.Parts {
		s.bars(zeroed(p.Values), effectColours[i], "72%")
		entries = append(entries, keyEntry{p.Name, marker{shape: "rect", fill: effectColours[i]}})
	}
	s.yAxisLabels(axis)
	s.draw(s.plot.left, s.py(0), s.plot.right, s.py(0), axisStroke, overMarks)
	s.bandLabels(c.X, focus)
	s.key(titleRoom+8, entries)
	return s, nil
}

// tips say of each part of a column what it adds or takes, in the middle of it.
func (c Effects) tips(s *sheet) {
	for i, x := range c.X {
		above, below := 0.0, 0.0
		for _, p := range c.Parts {
			v := p.Values[i]
			switch {
			case v > 0:
				s.tip(float64(i), above+v/2, x+", "+p.Name+": "+c.Axis.value(v))
				above += v
			case v < 0:
				s.tip(float64(i), below+v/2, x+", "+p.Name+": "+c.Axis.value(v))
				below += v
			}
		}
	}
}

// zeroed stands 0 for a missing part, so that the parts after it stack on what is there.
func zeroed(values []float64) []float64 {
	out := slices.Clone(values)
	for i, v := range out {
		if math.IsNaN(v) {
			out[i] = 0
		}
	}
	return out
}
