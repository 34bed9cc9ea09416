package charts

import "slices"

// Funnel shows a value per site against its size, between limits that narrow with size.
type Funnel struct {
	Frame
	X, Y       Axis // X: the size
	Points     []FunnelPoint
	Centre     float64
	CentreName string        // "" is "centre"
	Limits     []FunnelLimit // at most 2, inner first
}

// FunnelPoint is one site. One that is Outside gets another shape and its name; the others are named where they are few and there is room.
type FunnelPoint struct {
	Label    string
	N, Value float64
	Outside  bool
}

// FunnelLimit is a pair of curves over ascending sizes; NaN where there is none.
type FunnelLimit struct {
	Name            string // e.g. "95 %"
	N, Lower, Upper []float64
}

// Funnel draws a funnel plot.
func (r *Renderer) Funnel(f Funnel) (string, error) {
	s, err := f.sheet()
	if err != nil {
		return "", err
	}
	return r.finish(s)
}

func (f Funnel) columns() (xs, ys []float64) {
	ys = []float64{f.Centre}
	for _, p := range f.Points {
		xs, ys = append(xs, p.N), append(ys, p.Value)
	}
	for _, l := range f.Limits {
		xs, ys = append(xs, l.N...), append(ys, present(l.Lower, l.Upper)...)
	}
	return xs, ys
}

func (f Funnel) check() error {
	if len(f.Points) == 0 {
		return f.wrong("no points: say so in the page instead")
	}
	if len(f.Limits) > 2 {
		return f.wrong("%d limits: at most 2", len(f.Limits))
	}
	for i, l := range f.Limits {
		if err := firstError(f.column("Limits: N", l.N, len(l.N), false, false),
			f.column("Limits: Lower", l.Lower, len(l.N), false, true), f.column("Limits: Upper", l.Upper, len(l.N), false, true)); err != nil {
			return err
		}
		if !slices.IsSorted(l.N) {
			return f.wrong("Limits[%d].N: want ascending sizes", i)
		}
	}
	xs, ys := f.columns()
	return firstError(f.Frame.check(300, 120), f.column("N", xs, len(xs), false, false),
		f.column("Value", ys, len(ys), false, false), f.checkLog(f.X, xs), f.checkLog(f.Y, ys))
}

func (f Funnel) sheet() (*sheet, error) {
	if err := f.check(); err != nil {
		return nil, err
	}
	s := newSheet("funnel", f.Frame, 340)
	xs, ys := f.columns()
	const top, bottom = titleRoom, labelRoom + 18
	s.y = valueScale(f.Y, ys, ticksFor(s.height-top-bottom, 42))
	var texts []string
	for _, e := range f.edges(s) {
		texts = append(texts, e.text)
	}
	s.setPlot(widest(s.y.tickTexts(), smallSize)+tickGap+2, top, s.edgeRoom(texts), bottom)
	s.x = valueScale(f.X, xs, ticksFor(s.plot.width(), 70))
	f.draw(s)
	s.yAxisLabels(f.Y)
	s.xAxisLabels(f.X)
	s.edgeLabels(f.edges(s))
	f.names(s)
	return s, nil
}

func (f Funnel) draw(s *sheet) {
	strokes := []stroke{{colour: soft, width: 1.5, dash: "dotted"}, limitStroke}
	for i, l := range f.Limits {
		for _, curve := range [][]float64{l.Lower, l.Upper} {
			points := make([]xy, len(curve))
			for j, v := range curve {
				points[j] = xy{l.N[j], v}
			}
			s.line(points, strokes[i])
		}
	}
	s.line([]xy{{s.x.lo, f.Centre}, {s.x.hi, f.Centre}}, centreStroke)
	for _, p := range f.Points {
		s.tip(p.N, p.Value, p.Label, f.X.value(p.N)+" "+f.X.Title, f.Y.value(p.Value))
	}
	inside, outside := f.points()
	s.dots(inside, marker{shape: "circle", size: 8, fill: blue, edge: white, edgeWidth: 1})
	s.dots(outside, marker{shape: "diamond", size: 12, fill: vermillion, edge: ink, edgeWidth: 1})
}

func (f Funnel) points() (inside, outside []xy) {
	for _, p := range f.Points {
		if p.Outside {
			outside = append(outside, xy{p.N, p.Value})
		} else {
			inside = append(inside, xy{p.N, p.Value})
		}
	}
	return inside, outside
}

// edges names the centre and the limits where they end at the right.
func (f Funnel) edges(s *sheet) []edgeLabel {
	out := []edgeLabel{{y: s.py(f.Centre), text: orElse(f.CentreName, "centre") + " " + f.Y.value(f.Centre)}}
	for _, l := range f.Limits {
		for _, curve := range [][]float64{l.Upper, l.Lower} {
			if v := present(curve); len(v) > 0 {
				out = append(out, edgeLabel{y: s.py(v[len(v)-1]), text: clean(l.Name) + " limit"})
			}
		}
	}
	return out
}

// mostNamed is how many sites a funnel may have for those inside to be named as well.
const mostNamed = 14

// names writes those outside first, then, where they are few, the others where nothing is in the way.
func (f Funnel) names(s *sheet) {
	var taken []box
	for _, p := range f.Points {
		taken = append(taken, s.trail([]xy{{p.N, p.Value}}, 6)...)
	}
	for _, l := range f.Limits {
		for _, curve := range [][]float64{l.Lower, l.Upper} {
			points := make([]xy, len(curve))
			for j, v := range curve {
				points[j] = xy{l.N[j], v}
			}
			taken = append(taken, s.trail(points, 1)...)
		}
	}
	y := s.py(f.Centre)
	taken = append(taken, box{s.plot.left, y - 1, s.plot.right, y + 1})
	for _, outside := range []bool{true, false} {
		for _, p := range f.Points {
			if p.Outside == outside && (outside || len(f.Points) <= mostNamed) {
				s.callout(s.px(p.N), s.py(p.Value), p.Label, taken, outside)
			}
		}
	}
}
