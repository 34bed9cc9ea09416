package charts

import (
	"math"
	"slices"
)

// Distribution is a histogram of times or other values, with the median and the target marked.
type Distribution struct {
	Frame
	Axis       Axis      // of the values
	Values     []float64 // sorted into bins for drawing only; a bin holds its lower end, not its upper
	BinWidth   float64   // 0 is chosen: 1, 2 or 5 times a power of ten
	CountName  string    // "" is "transports"
	Median     *float64
	Target     *float64
	TargetName string // "" is "target"
}

const mostBins = 200

// Distribution draws a histogram.
func (r *Renderer) Distribution(d Distribution) (string, error) {
	s, err := d.sheet()
	if err != nil {
		return "", err
	}
	return r.finish(s)
}

func (d Distribution) check() error {
	if len(d.Values) == 0 {
		return d.wrong("no values: say so in the page instead")
	}
	if math.IsNaN(d.BinWidth) || math.IsInf(d.BinWidth, 0) || d.BinWidth < 0 {
		return d.wrong("BinWidth is %v: want 0 or a width above it", d.BinWidth)
	}
	return firstError(d.Frame.check(300, 120), d.column("Values", d.Values, len(d.Values), false, false),
		d.single("Median", d.Median), d.single("Target", d.Target))
}

// bins are counts of values from start on, each bin so wide.
type bins struct {
	start, width float64
	counts       []float64
}

func (d Distribution) bins() (bins, error) {
	all := append(slices.Clone(d.Values), optional(d.Median, d.Target)...)
	lo, hi := slices.Min(all), slices.Max(all)
	width := d.BinWidth
	if width == 0 {
		width = niceStep(math.Max((hi-lo)/24, 1e-9), d.Axis.Integer)
	}
	if hi == lo && d.BinWidth == 0 {
		width = 1
	}
	b := bins{start: math.Floor(lo/width+1e-9) * width, width: width}
	n := math.Floor((hi-b.start)/width+1e-9) + 1
	if n > mostBins {
		return bins{}, d.wrong("BinWidth %v makes %.0f bins: want at most %d", width, n, mostBins)
	}
	b.counts = make([]float64, int(n))
	for _, v := range d.Values {
		b.counts[min(int(n)-1, int(math.Floor((v-b.start)/width+1e-9)))]++
	}
	return b, nil
}

func (d Distribution) sheet() (*sheet, error) {
	if err := d.check(); err != nil {
		return nil, err
	}
	b, err := d.bins()
	if err != nil {
		return nil, err
	}
	s := newSheet("distribution", d.Frame, 240)
	const top, bottom = titleRoom + lineHeight + 3, labelRoom + 18
	counts := Axis{Title: "Number of " + orElse(d.CountName, "transports"), Integer: true, Floor: At(0)}
	s.y = valueScale(counts, append([]float64{0}, b.counts...), ticksFor(s.height-top-bottom, 42))
	s.x = bandScale(len(b.counts), false)
	s.setPlot(widest(s.y.tickTexts(), smallSize)+tickGap+4, top, 12, bottom)
	s.bars(b.filled(), blue, "99.9%")
	d.tips(s, b)
	s.yAxisLabels(counts)
	d.xAxis(s, b)
	d.levels(s, b)
	return s, nil
}

// tips say of each bar from where to where it goes, and how many it holds.
func (d Distribution) tips(s *sheet, b bins) {
	axis := d.Axis
	axis.Decimals = max(axis.Decimals, decimalsOf(b.width))
	for i, n := range b.counts {
		if from := b.start + float64(i)*b.width; n > 0 {
			s.tip(float64(i), n, axis.value(from)+" to under "+axis.value(from+b.width), orElse(d.CountName, "transports")+": "+number(n, 0))
		}
	}
}

// filled is the counts, with those that are 0 left out: a bar without height would still leave its border.
func (b bins) filled() []float64 {
	out := slices.Clone(b.counts)
	for i, n := range out {
		if n == 0 {
			out[i] = Missing()
		}
	}
	return out
}

// place is where a value stands along the bins, in px.
func (b bins) place(s *sheet, v float64) float64 {
	return s.plot.left + (v-b.start)/(b.width*float64(len(b.counts)))*s.plot.width()
}

// xAxis labels round values, which lie on ends of bins, by way of an axis of values over the same stretch.
func (d Distribution) xAxis(s *sheet, b bins) {
	end := b.start + b.width*float64(len(b.counts))
	step := niceStep((end-b.start)/float64(ticksFor(s.plot.width(), 60)), d.Axis.Integer)
	bands := s.x
	s.x = scale{lo: b.start, hi: end, decimals: decimalsOf(step)}
	for k := math.Ceil(b.start/step - 1e-9); k*step <= end+step*1e-9; k++ {
		s.x.ticks = append(s.x.ticks, k*step)
	}
	s.xAxisLabels(d.Axis)
	s.x = bands
}

// level is one upright line with its name.
type level struct {
	x    float64 // px
	text string
	k    stroke
}

// marked are the median and the target, as far as they are given.
func (d Distribution) marked(s *sheet, b bins) []level {
	var out []level
	add := func(name string, v *float64, k stroke) {
		if v != nil {
			out = append(out, level{b.place(s, *v), fit(name+" "+d.Axis.value(*v), s.width*0.45, smallSize), k})
		}
	}
	add("median", d.Median, stroke{colour: ink, width: 2})
	add(orElse(d.TargetName, "target"), d.Target, stroke{colour: vermillion, width: 2, dash: "dashed"})
	return out
}

// levels draws them over the bars, on white seams that are all drawn first: where both stand at one value both are seen.
func (d Distribution) levels(s *sheet, b bins) {
	var at, size []float64
	levels := d.marked(s, b)
	for _, l := range levels {
		s.draw(l.x, s.plot.top, l.x, s.plot.bottom, stroke{colour: white, width: 4}, overMarks)
		at, size = append(at, l.x), append(size, textWidth(l.text, smallSize)+8)
	}
	for i, x := range spread(at, size, 0, s.width) {
		l := levels[i]
		s.draw(l.x, s.plot.top-2, l.x, s.plot.bottom, l.k, overMarks)
		s.write(x, s.plot.top-14, l.text, lettering{size: smallSize, align: "center"})
	}
}
