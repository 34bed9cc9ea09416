package charts

import "math"

// Bars is a chart of horizontal bars, one per row, with the value printed at its end.
type Bars struct {
	Frame
	Axis  Axis
	Rows  []Bar     // drawn from the top in this order
	Parts [2]string // what First and Second are; an empty second name means bars of one part
}

// Bar is one row. Values are 0 or more.
type Bar struct {
	Label         string
	First, Second float64
	Text          string // printed at the bar's end; "" is the sum with its unit
}

const (
	rowHeight   = 24.0
	keyRoom     = 20.0
	insideLeast = 8.0 // what a number inside a bar needs beside its own width
)

// Bars draws horizontal bars.
func (r *Renderer) Bars(b Bars) (string, error) {
	s, err := b.sheet()
	if err != nil {
		return "", err
	}
	return r.finish(s)
}

func (b Bars) check() error {
	if len(b.Rows) == 0 {
		return b.wrong("no rows: say so in the page instead")
	}
	for i, row := range b.Rows {
		if err := b.column("Rows: First and Second", []float64{row.First, row.Second}, 2, false, false); err != nil {
			return err
		}
		if row.First < 0 || row.Second < 0 {
			return b.wrong("Rows[%d] is below 0: bars show amounts", i)
		}
	}
	return b.Frame.check(300, 120)
}

func (b Bars) twoParts() bool { return b.Parts[1] != "" }

func (b Bars) sheet() (*sheet, error) {
	if err := b.check(); err != nil {
		return nil, err
	}
	top := titleRoom + 2
	if b.twoParts() {
		top += keyRoom
	}
	s := newSheet("bars", b.Frame, int(top+rowHeight*float64(len(b.Rows))+6))
	labels, ends, sums := b.words()
	s.x = scale{lo: 0, hi: topOf(sums)}
	s.y = bandScale(len(b.Rows), true)
	left := math.Min(widest(labels, textSize)+tickGap+2, s.width*0.42)
	s.setPlot(left, top, math.Min(widest(ends, textSize)+tickGap+4, s.width*0.3), 6)
	b.draw(s)
	for i := range b.Rows {
		s.tip(sums[i], float64(i), labels[i], ends[i])
		y := s.py(float64(i))
		s.write(left-tickGap, y, fit(labels[i], left-tickGap, textSize), lettering{align: "right"})
		s.write(s.px(sums[i])+tickGap, y, fit(ends[i], s.width-s.px(sums[i])-tickGap, textSize), lettering{})
	}
	s.draw(s.plot.left, s.plot.top, s.plot.left, s.plot.bottom, axisStroke, overMarks)
	s.write(0, 8, fit(b.Axis.heading(), s.width, textSize), lettering{})
	return s, nil
}

// words are the labels, the texts at the ends and the sums of the rows.
func (b Bars) words() (labels, ends []string, sums []float64) {
	for _, row := range b.Rows {
		sum := row.First
		if b.twoParts() {
			sum += row.Second
		}
		labels = append(labels, clean(row.Label))
		ends = append(ends, clean(orElse(row.Text, b.Axis.value(sum))))
		sums = append(sums, sum)
	}
	return labels, ends, sums
}

// topOf is the end of an axis of amounts that prints no ticks: the largest, or 1 where all are 0.
func topOf(sums []float64) float64 {
	top := 0.0
	for _, v := range sums {
		top = math.Max(top, v)
	}
	if top == 0 {
		return 1
	}
	return top
}

func (b Bars) draw(s *sheet) {
	first, second := make([]float64, len(b.Rows)), make([]float64, len(b.Rows))
	for i, row := range b.Rows {
		first[i], second[i] = row.First, row.Second
	}
	s.bars(first, blue, "64%")
	if !b.twoParts() {
		return
	}
	s.bars(second, paleSky, "64%")
	for i, row := range b.Rows {
		b.inside(s, i, 0, row.First, white)
		b.inside(s, i, row.First, row.Second, ink)
	}
	s.key(titleRoom+8, []keyEntry{{b.Parts[0], marker{shape: "rect", fill: blue}}, {b.Parts[1], marker{shape: "rect", fill: paleSky}}})
}

// inside prints a part's number on the part, where it fits.
func (b Bars) inside(s *sheet, row int, start, value float64, colour string) {
	text := number(value, b.Axis.Decimals)
	from, to := s.px(start), s.px(start+value)
	if value > 0 && to-from >= textWidth(text, smallSize)+insideLeast {
		s.write((from+to)/2, s.py(float64(row)), text, lettering{size: smallSize, colour: colour, align: "center"})
	}
}
