package charts

import (
	"math"
	"slices"
)

// Spark is a line for a table cell: no axis, no words, the last point marked.
type Spark struct {
	Frame            // 120 by 28 unless given
	Y      []float64 // NaN is a gap
	Centre *float64  // a thin level line
	Floor  *float64  // where the scale begins; nil is the smallest value
}

// Spark draws a line for a table cell.
func (r *Renderer) Spark(c Spark) (string, error) {
	s, err := c.sheet()
	if err != nil {
		return "", err
	}
	return r.finish(s)
}

func (c Spark) sheet() (*sheet, error) {
	values := append(present(c.Y), optional(c.Centre, c.Floor)...)
	if len(present(c.Y)) == 0 {
		return nil, c.wrong("no points: leave the cell empty instead")
	}
	if err := firstError(c.Frame.check(40, 16), c.column("Y", c.Y, len(c.Y), false, true),
		c.single("Centre", c.Centre), c.single("Floor", c.Floor)); err != nil {
		return nil, err
	}
	if c.Width == 0 {
		c.Width = 120
	}
	s := newSheet("spark", c.Frame, 28)
	s.setPlot(4, 4, 5, 4)
	lo, hi := slices.Min(values), slices.Max(values)
	if lo == hi {
		lo, hi = lo-1, hi+1
	}
	s.x, s.y = scale{lo: 0, hi: math.Max(1, float64(len(c.Y)-1))}, scale{lo: lo, hi: hi}
	c.draw(s)
	return s, nil
}

func (c Spark) draw(s *sheet) {
	if c.Centre != nil {
		s.line([]xy{{s.x.lo, *c.Centre}, {s.x.hi, *c.Centre}}, axisStroke)
	}
	points := make([]xy, len(c.Y))
	var alone []xy
	last := 0
	for i, v := range c.Y {
		points[i] = xy{float64(i), v}
		if math.IsNaN(v) {
			continue
		}
		last = i
		if (i == 0 || math.IsNaN(c.Y[i-1])) && (i+1 == len(c.Y) || math.IsNaN(c.Y[i+1])) {
			alone = append(alone, points[i])
		}
	}
	s.line(points, dataStroke)
	s.dots(alone, marker{shape: "circle", size: 3, fill: blue})
	s.dots(points[last:last+1], marker{shape: "circle", size: 6, fill: ink, edge: white, edgeWidth: 1})
}
