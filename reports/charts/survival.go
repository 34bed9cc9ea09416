package charts

import "math"

// Survival shows shares that go down in steps over time, a line for each group with its interval at the steps.
type Survival struct {
	Frame
	X, Y   Axis
	Groups []SurvivalGroup // at most 5
	Joined bool            // only these points are known: they are joined by straight lines, not by steps
}

// SurvivalGroup is one line: it begins at 0 with Start and goes to the value of each step at its time; it ends at End.
type SurvivalGroup struct {
	Name  string
	Start float64
	End   float64
	Steps []SurvivalStep
}

// SurvivalStep is the value from Time on; Low and High are NaN where there is no interval.
type SurvivalStep struct{ Time, Value, Low, High float64 }

// survivalStrokes tell groups apart by dash and by colour.
var survivalStrokes = []stroke{
	{colour: blue, width: 2}, {colour: vermillion, width: 2, dash: "dashed"}, {colour: navy, width: 2, dash: "dotted"},
	{colour: green, width: 1.5, dash: "dashed"}, {colour: ink, width: 1.2},
}

// Survival draws lines of steps.
func (r *Renderer) Survival(c Survival) (string, error) {
	s, err := c.sheet()
	if err != nil {
		return "", err
	}
	return r.finish(s)
}

func (c Survival) check() error {
	if len(c.Groups) == 0 || len(c.Groups) > len(survivalStrokes) {
		return c.wrong("there are %d groups: want 1 to %d", len(c.Groups), len(survivalStrokes))
	}
	for _, g := range c.Groups {
		if err := c.column("Groups: Start, End", []float64{g.Start, g.End}, 2, false, false); err != nil {
			return err
		}
		last := 0.0
		for _, st := range g.Steps {
			if err := firstError(c.column("Steps: Time, Value", []float64{st.Time, st.Value}, 2, false, false),
				c.column("Steps: Low, High", []float64{st.Low, st.High}, 2, false, true)); err != nil {
				return err
			}
			if st.Time < last || st.Time > g.End || st.Low > st.Value || st.High < st.Value {
				return c.wrong("group %q: step at %v does not follow the one before, or is not inside its interval", g.Name, st.Time)
			}
			last = st.Time
		}
	}
	return c.Frame.check(300, 120)
}

func (c Survival) sheet() (*sheet, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	s := newSheet("survival", c.Frame, 250)
	times, values := []float64{0}, []float64{}
	for _, g := range c.Groups {
		times, values = append(times, g.End), append(values, g.Start)
		for _, st := range g.Steps {
			values = append(values, present([]float64{st.Value, st.Low, st.High})...)
		}
	}
	const bottom = labelRoom + 18
	s.x = valueScale(c.X, times, ticksFor(s.width-60, 60))
	s.y = valueScale(c.Y, values, ticksFor(s.height-titleRoom-lineHeight-bottom, 42))
	s.setPlot(widest(s.y.tickTexts(), smallSize)+tickGap+4, titleRoom+lineHeight+4, 12, bottom)
	s.yAxisLabels(c.Y)
	s.xAxisLabels(c.X)
	c.key(s)
	for i, g := range c.Groups {
		s.line(g.path(c.Joined), survivalStrokes[i])
		if c.Joined {
			s.dots(g.path(true), marker{shape: "circle", size: 6, fill: survivalStrokes[i].colour, edge: white, edgeWidth: 1})
		}
		for _, st := range g.Steps {
			s.tip(st.Time, st.Value, g.Name, c.X.value(st.Time)+": "+c.Y.value(st.Value))
			c.interval(s, st, survivalStrokes[i], float64(i)*2-1)
		}
	}
	return s, nil
}

// key writes the names of the groups beside their strokes, below the title.
func (c Survival) key(s *sheet) {
	x, y := s.plot.left, titleRoom+lineHeight/2-4
	each := (s.width-x)/float64(len(c.Groups)) - 34
	for i, g := range c.Groups {
		s.draw(x, y, x+22, y, survivalStrokes[i], overMarks)
		name := fit(clean(g.Name), each, smallSize)
		s.write(x+26, y, name, lettering{size: smallSize})
		x += 26 + textWidth(name, smallSize) + 14
	}
}

// path is the line of steps: level up to each time, then down; or the points alone.
func (g SurvivalGroup) path(joined bool) []xy {
	points, value := []xy{{0, g.Start}}, g.Start
	for _, st := range g.Steps {
		if !joined {
			points = append(points, xy{st.Time, value})
		}
		points, value = append(points, xy{st.Time, st.Value}), st.Value
	}
	if joined {
		return points
	}
	return append(points, xy{g.End, value})
}

// interval is an upright line at a step, a little aside so that those of two groups at one time are both seen.
func (c Survival) interval(s *sheet, st SurvivalStep, k stroke, aside float64) {
	if math.IsNaN(st.Low) || math.IsNaN(st.High) {
		return
	}
	x := s.px(st.Time) + aside
	s.draw(x, s.py(st.Low), x, s.py(st.High), stroke{colour: k.colour, width: 1}, overMarks)
}
