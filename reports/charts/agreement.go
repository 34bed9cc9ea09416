package charts

import (
	"math"
	"slices"
)

// Agreement is a scatter: differences against means with bias and limits, or one way of measuring against another.
type Agreement struct {
	Frame
	X, Y     Axis
	Groups   []PointGroup // at most 5; told apart by shape and colour
	Levels   []Level
	Identity bool // draw where y equals x
}

// PointGroup is a named set of points.
type PointGroup struct {
	Name   string
	Points []Point
}

// Point is one mark.
type Point struct{ X, Y float64 }

// Level is a horizontal line, named at the right edge.
type Level struct {
	Name   string
	Value  float64
	Dashed bool
}

// Agreement draws a scatter.
func (r *Renderer) Agreement(a Agreement) (string, error) {
	s, err := a.sheet()
	if err != nil {
		return "", err
	}
	return r.finish(s)
}

func (a Agreement) columns() (xs, ys, levels []float64) {
	for _, g := range a.Groups {
		for _, p := range g.Points {
			xs, ys = append(xs, p.X), append(ys, p.Y)
		}
	}
	for _, l := range a.Levels {
		levels = append(levels, l.Value)
	}
	return xs, ys, levels
}

func (a Agreement) check() error {
	xs, ys, levels := a.columns()
	if len(xs) == 0 {
		return a.wrong("no points: say so in the page instead")
	}
	if len(a.Groups) > len(groupMarks) {
		return a.wrong("%d groups: at most %d can be told apart", len(a.Groups), len(groupMarks))
	}
	return firstError(a.Frame.check(300, 120), a.column("X", xs, len(xs), false, false), a.column("Y", ys, len(ys), false, false),
		a.column("Levels", levels, len(levels), true, false), a.checkLog(a.X, xs), a.checkLog(a.Y, append(ys, levels...)))
}

func (a Agreement) sheet() (*sheet, error) {
	if err := a.check(); err != nil {
		return nil, err
	}
	xs, ys, levels := a.columns()
	s := newSheet("agreement", a.Frame, 340)
	top, bottom := titleRoom, labelRoom+18
	if a.keyed() {
		top += keyRoom + 2
	}
	s.y = valueScale(a.Y, slices.Concat(ys, levels), ticksFor(s.height-top-bottom, 42))
	var texts []string
	for _, e := range a.edges(s) {
		texts = append(texts, e.text)
	}
	s.setPlot(widest(s.y.tickTexts(), smallSize)+tickGap+2, top, s.edgeRoom(texts), bottom)
	s.x = valueScale(a.X, xs, ticksFor(s.plot.width(), 70))
	a.draw(s)
	s.yAxisLabels(a.Y)
	s.xAxisLabels(a.X)
	s.edgeLabels(a.edges(s))
	return s, nil
}

func (a Agreement) keyed() bool { return len(a.Groups) > 1 || a.crowded() }

func (a Agreement) edges(s *sheet) []edgeLabel {
	var out []edgeLabel
	for _, l := range a.Levels {
		out = append(out, edgeLabel{y: s.py(l.Value), text: clean(l.Name) + " " + a.Y.value(l.Value)})
	}
	return out
}

func (a Agreement) draw(s *sheet) {
	if a.Identity {
		a.identity(s)
	}
	for _, l := range a.Levels {
		k := centreStroke
		if l.Dashed {
			k = limitStroke
		}
		s.line([]xy{{s.x.lo, l.Value}, {s.x.hi, l.Value}}, k)
	}
	if a.crowded() {
		a.crowd(s)
		return
	}
	var key []keyEntry
	for i, g := range a.Groups {
		points := make([]xy, len(g.Points))
		for j, p := range g.Points {
			points[j] = xy(p)
			s.tip(p.X, p.Y, g.Name, a.X.value(p.X)+", "+a.Y.value(p.Y))
		}
		s.dots(points, sized(groupMarks[i], len(points)))
		key = append(key, keyEntry{g.Name + " (" + number(float64(len(points)), 0) + ")", groupMarks[i]})
	}
	if a.keyed() {
		s.key(titleRoom+4, key)
	}
}

// sized makes the marks of a large group smaller, so that they hide each other less.
func sized(m marker, points int) marker {
	if points > 300 {
		m.size, m.edgeWidth = m.size*0.7, m.edgeWidth*0.6
	}
	return m
}

// identity draws where both axes say the same, as far as both show it.
func (a Agreement) identity(s *sheet) {
	lo, hi := math.Max(s.x.lo, s.y.lo), math.Min(s.x.hi, s.y.hi)
	if lo >= hi {
		return
	}
	const steps = 40 // a straight line bends where only one axis is logarithmic
	points := make([]xy, steps+1)
	for i := range points {
		v := lo + (hi-lo)*float64(i)/steps
		points[i] = xy{v, v}
	}
	s.line(points, limitStroke)
	s.callout(s.px(hi), s.py(hi), "equal", nil, true)
}
