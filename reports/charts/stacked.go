package charts

import (
	"math"
	"slices"
)

// Stacked is a chart of columns, one per month, made of parts.
type Stacked struct {
	Frame
	Axis  Axis
	X     []string // names of the columns
	Parts []Part   // at most 6, from the bottom
	Focus string   // the name in X of the month under report; "" is none
}

// Part is what a layer of the columns shows. Values are 0 or more; NaN counts as 0.
type Part struct {
	Name   string
	Values []float64 // len(X)
}

// Stacked draws stacked columns.
func (r *Renderer) Stacked(c Stacked) (string, error) {
	s, err := c.sheet()
	if err != nil {
		return "", err
	}
	return r.finish(s)
}

func (c Stacked) check() error {
	if len(c.X) == 0 || len(c.Parts) == 0 || len(c.Parts) > len(partColours) {
		return c.wrong("X %d, Parts %d: want some columns of 1 to %d parts", len(c.X), len(c.Parts), len(partColours))
	}
	for i, p := range c.Parts {
		if err := c.column("Parts: Values", p.Values, len(c.X), false, true); err != nil {
			return err
		}
		if v := present(p.Values); len(v) > 0 && slices.Min(v) < 0 {
			return c.wrong("Parts[%d] has a value below 0: columns show amounts", i)
		}
	}
	if c.Focus != "" && !slices.Contains(c.X, c.Focus) {
		return c.wrong("Focus %q is not one of X", c.Focus)
	}
	return c.Frame.check(300, 120)
}

// tops are the sums up to and with each part, by part and column.
func (c Stacked) tops() [][]float64 {
	out := make([][]float64, len(c.Parts))
	below := make([]float64, len(c.X))
	for i, p := range c.Parts {
		out[i] = slices.Clone(below)
		for j, v := range p.Values {
			if !math.IsNaN(v) {
				out[i][j] += v
			}
		}
		below = out[i]
	}
	return out
}

func (c Stacked) sheet() (*sheet, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	s := newSheet("stacked", c.Frame, 270)
	tops := c.tops()
	sums := tops[len(tops)-1]
	axis := c.Axis
	axis.Log, axis.Floor = false, At(0)
	s.y = valueScale(axis, append([]float64{0}, sums...), ticksFor(s.height-titleRoom-labelRoom, 42))
	s.x = bandScale(len(c.X), false)
	var names []string
	for _, p := range c.Parts {
		names = append(names, p.Name)
	}
	s.setPlot(widest(s.y.tickTexts(), smallSize)+tickGap+2, titleRoom+4, s.edgeRoom(names), labelRoom+2)
	focus := slices.Index(c.X, c.Focus)
	if c.Focus == "" {
		focus = -1
	}
	c.draw(s, focus)
	s.yAxisLabels(axis)
	s.bandLabels(c.X, focus)
	s.edgeLabels(c.edges(s, tops))
	c.sums(s, sums)
	return s, nil
}

func (c Stacked) draw(s *sheet, focus int) {
	if focus >= 0 {
		half := s.plot.width() / float64(len(c.X)) / 2
		x := s.px(float64(focus))
		s.fill(box{x - half, s.plot.top, x + half, s.plot.bottom}, shade, underMarks)
	}
	tops := c.tops()
	for i, p := range c.Parts {
		for j, v := range p.Values {
			if v > 0 {
				s.tip(float64(j), tops[i][j]-v/2, c.X[j]+", "+p.Name+": "+c.Axis.value(v))
			}
		}
		s.bars(p.Values, partColours[i], "72%")
	}
}

// edges names each part beside its place in the last column that has any.
func (c Stacked) edges(s *sheet, tops [][]float64) []edgeLabel {
	last := len(c.X) - 1
	for last > 0 && tops[len(tops)-1][last] == 0 {
		last--
	}
	var out []edgeLabel
	below := 0.0
	for i, p := range c.Parts {
		out = append(out, edgeLabel{y: s.py((below + tops[i][last]) / 2), text: p.Name})
		below = tops[i][last]
	}
	return out
}

// sums prints the total above each column, where the columns are wide enough for all.
func (c Stacked) sums(s *sheet, sums []float64) {
	texts := make([]string, len(sums))
	for i, v := range sums {
		texts[i] = number(v, c.Axis.Decimals)
	}
	if widest(texts, smallSize)+4 > s.plot.width()/float64(len(c.X)) {
		return
	}
	for i, v := range sums {
		s.write(s.px(float64(i)), s.py(v)-8, texts[i], lettering{size: smallSize, align: "center", halo: true})
	}
}
