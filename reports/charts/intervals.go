package charts

import (
	"fmt"
	"math"
)

// Intervals shows values with their intervals, a row each, in groups: sites, vehicles, bands.
type Intervals struct {
	Frame
	Axis          Axis // Log is allowed
	Groups        []IntervalGroup
	Reference     *float64
	ReferenceName string // "" is "all"
}

// IntervalGroup is some rows under a heading.
type IntervalGroup struct {
	Name string // "" is no heading
	Rows []Interval
}

// Interval is one row. A value that is NaN shows "no data"; a Low or High that is NaN leaves the value alone.
type Interval struct {
	Label            string
	Value, Low, High float64
	N                int    // below 0 is not printed
	Text             string // "" is "4.3 (0.1–24.2)"
}

const noData = "no data"

// Intervals draws dots with intervals.
func (r *Renderer) Intervals(c Intervals) (string, error) {
	s, err := c.sheet()
	if err != nil {
		return "", err
	}
	return r.finish(s)
}

// slot is one line of the chart: a heading or a row.
type slot struct {
	heading string
	row     *Interval
}

func (c Intervals) slots() []slot {
	var out []slot
	for g := range c.Groups {
		if c.Groups[g].Name != "" {
			out = append(out, slot{heading: c.Groups[g].Name})
		}
		for i := range c.Groups[g].Rows {
			out = append(out, slot{row: &c.Groups[g].Rows[i]})
		}
	}
	return out
}

func (c Intervals) values() []float64 {
	out := optional(c.Reference)
	for _, sl := range c.slots() {
		if sl.row != nil {
			out = append(out, present([]float64{sl.row.Value, sl.row.Low, sl.row.High})...)
		}
	}
	return out
}

func (c Intervals) check() error {
	rows := 0
	for _, sl := range c.slots() {
		if sl.row == nil {
			continue
		}
		rows++
		v := []float64{sl.row.Value, sl.row.Low, sl.row.High}
		if err := c.column("Rows: Value, Low, High", v, 3, false, true); err != nil {
			return err
		}
		if v[1] > v[0] || v[2] < v[0] {
			return c.wrong("row %q: %v is not inside %v to %v", sl.row.Label, v[0], v[1], v[2])
		}
	}
	if rows == 0 {
		return c.wrong("no rows: say so in the page instead")
	}
	return firstError(c.Frame.check(300, 120), c.single("Reference", c.Reference), c.checkLog(c.Axis, c.values()))
}

func (c Intervals) sheet() (*sheet, error) {
	if err := c.check(); err != nil {
		return nil, err
	}
	slots := c.slots()
	s := newSheet("intervals", c.Frame, 0)
	each := rowHeight
	if s.narrow() {
		each = rowHeight * 1.6 // the words stand above the mark
	}
	const top, bottom = 24.0, labelRoom + 18
	if s.frame.Height == 0 {
		s.height = math.Ceil(top + each*float64(len(slots)) + bottom)
		s.frame.Height = int(s.height)
	}
	labels, ns, texts := c.words(slots)
	left, right := c.columns(s, labels, ns, texts)
	s.setPlot(left, top, right, bottom)
	s.x = valueScale(c.Axis, c.values(), ticksFor(s.plot.width(), 70))
	s.y = scale{lo: -0.5, hi: float64(len(slots)) - 0.5, down: true}
	s.xAxisLabels(c.Axis)
	c.reference(s)
	c.marks(s, slots)
	c.rows(s, slots, ns, texts)
	return s, nil
}

// words are, line by line, the labels, the sizes and the printed values.
func (c Intervals) words(slots []slot) (labels, ns, texts []string) {
	for _, sl := range slots {
		label, n, text := sl.heading, "", ""
		if sl.row != nil {
			label, text = sl.row.Label, c.text(*sl.row)
		}
		if sl.row != nil && sl.row.N >= 0 {
			n = fmt.Sprintf("n\u00a0=\u00a0%s", number(float64(sl.row.N), 0))
		}
		labels, ns, texts = append(labels, clean(label)), append(ns, n), append(texts, clean(text))
	}
	return labels, ns, texts
}

func (c Intervals) text(row Interval) string {
	switch {
	case row.Text != "":
		return row.Text
	case math.IsNaN(row.Value):
		return noData
	case math.IsNaN(row.Low) || math.IsNaN(row.High):
		return number(row.Value, c.Axis.Decimals)
	}
	d := c.Axis.Decimals
	return fmt.Sprintf("%s (%s–%s)", number(row.Value, d), number(row.Low, d), number(row.High, d))
}

// columns is the room left and right of the plot; on a narrow chart the words stand above the marks and take none.
func (c Intervals) columns(s *sheet, labels, ns, texts []string) (left, right float64) {
	if s.narrow() {
		return 10, 10
	}
	left = math.Min(widest(labels, textSize)*boldWidening+26, s.width*0.32)
	right = math.Min(widest(ns, smallSize)+widest(texts, smallSize)+26, s.width*0.36)
	return left, right
}

func (c Intervals) reference(s *sheet) {
	if c.Reference == nil {
		return
	}
	x := s.px(*c.Reference)
	s.draw(x, s.plot.top-4, x, s.plot.bottom, stroke{colour: ink, width: 1.2, dash: "dashed"}, underMarks)
	text := fit(orElse(c.ReferenceName, "all")+" "+c.Axis.value(*c.Reference), s.width, smallSize)
	half := textWidth(text, smallSize) / 2
	s.write(math.Max(half, math.Min(x, s.width-half)), s.plot.top-12, text, lettering{size: smallSize, align: "center"})
}

// marks draws the intervals as lines and the values as dots.
func (c Intervals) marks(s *sheet, slots []slot) {
	var bars, ends, dots []xy
	for i, sl := range slots {
		if sl.row == nil || math.IsNaN(sl.row.Value) {
			continue
		}
		y := c.markY(s, i)
		if !math.IsNaN(sl.row.Low) && !math.IsNaN(sl.row.High) {
			bars = append(bars, xy{sl.row.Low, y}, xy{sl.row.High, y}, xy{sl.row.High, math.NaN()})
			ends = append(ends, xy{sl.row.Low, y}, xy{sl.row.High, y})
		}
		dots = append(dots, xy{sl.row.Value, y})
		s.tip(sl.row.Value, y, sl.row.Label, c.text(*sl.row))
	}
	s.line(bars, stroke{colour: blue, width: 2})
	s.dots(ends, marker{shape: "rect", size: 3, fill: blue})
	s.dots(dots, marker{shape: "circle", size: 9, fill: blue, edge: white, edgeWidth: 1})
}

// markY is where the mark of a line stands: below its words on a narrow chart.
func (c Intervals) markY(s *sheet, i int) float64 {
	if s.narrow() {
		return float64(i) + 0.22
	}
	return float64(i)
}

func (c Intervals) rows(s *sheet, slots []slot, ns, texts []string) {
	shift, indent := 0.0, 10.0
	labelRoom, textEnd := s.plot.left-14, s.width
	if s.narrow() {
		shift, indent = -rowHeight*0.4, 0
		labelRoom = s.width * 0.42
	}
	for i, sl := range slots {
		y := s.py(float64(i)) + shift
		if sl.row == nil {
			s.write(0, s.py(float64(i)), fit(sl.heading, s.width*0.9/boldWidening, textSize), lettering{bold: true, halo: true})
			continue
		}
		text, label := fit(texts[i], s.width*0.4, smallSize), fit(sl.row.Label, labelRoom-indent, textSize)
		s.write(indent, y, label, lettering{halo: s.narrow()})
		s.write(textEnd, y, text, lettering{size: smallSize, align: "right", halo: s.narrow()})
		nEnd := textEnd - widest(texts, smallSize) - 12
		if s.narrow() { // beside the label, away from the reference's line
			nEnd = indent + textWidth(label, textSize) + 8 + textWidth(ns[i], smallSize)
		}
		if room := nEnd - textWidth(ns[i], smallSize); s.narrow() && nEnd < textEnd-textWidth(text, smallSize)-8 || !s.narrow() && room > labelRoom+4 {
			s.write(nEnd, y, ns[i], lettering{size: smallSize, align: "right", colour: soft, halo: s.narrow()})
		}
	}
}
