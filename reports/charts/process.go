package charts

import (
	"cmp"
	"math"
	"slices"
)

// process is what control, run and rare-event charts have in common: a value per point, against a centre and limits.
type process struct {
	Frame
	kind                    string
	axis                    Axis
	names                   []string
	xTitle                  string
	y, centre, lower, upper []float64
	centreName              string
	target                  *float64
	targetName              string
	running                 *float64 // a last value that has not ended
	signals                 []Signal
	phases                  []Phase
	notes                   []Note
	focus                   int // index of the emphasised point; -1 is none
}

const soFar = "so far"

func (p process) values() []float64 {
	return append(present(p.y, p.centre, p.lower, p.upper), optional(p.target, p.running)...)
}

func (p process) sheet() (*sheet, error) {
	if err := p.check(); err != nil {
		return nil, err
	}
	s := newSheet(p.kind, p.Frame, 270)
	p.layOut(s)
	p.ground(s)
	p.lines(s)
	p.points(s)
	s.yAxisLabels(p.axis)
	s.bandLabels(p.allNames(), p.focus)
	s.write(s.plot.right, s.plot.bottom+30, fit(p.xTitle, s.plot.right, textSize), lettering{align: "right"})
	labels := p.edges(s)
	s.edgeLabels(labels)
	p.flags(s)
	p.signalTexts(s)
	return s, nil
}

// allNames are those of the points, and one for the value that has not ended.
func (p process) allNames() []string {
	if p.running == nil {
		return p.names
	}
	return append(append([]string{}, p.names...), soFar)
}

// layOut fixes the borders of the plot and the two scales.
func (p process) layOut(s *sheet) {
	top, bottom := titleRoom, labelRoom
	if p.xTitle != "" {
		bottom += 18
	}
	if len(p.phases) > 0 {
		top += lineHeight
	}
	if len(p.notes) > 0 {
		top += lineHeight + 3
	}
	s.y = valueScale(p.axis, p.values(), ticksFor(s.height-top-bottom, 42))
	s.x = scale{lo: -0.5, hi: float64(len(p.allNames())) - 0.5}
	var texts []string
	for _, e := range p.edges(s) {
		texts = append(texts, e.text)
	}
	s.setPlot(widest(s.y.tickTexts(), smallSize)+tickGap+2, top, s.edgeRoom(texts), bottom+2)
}

// ground draws what lies under everything: the month under report, phase boundaries, notes.
func (p process) ground(s *sheet) {
	if p.focus >= 0 {
		x := float64(p.focus)
		s.fill(box{s.px(x - 0.5), s.plot.top, s.px(x + 0.5), s.plot.bottom}, shade, underMarks)
	}
	for _, ph := range p.phases {
		if ph.Start > 0 {
			x := s.px(float64(ph.Start) - 0.5)
			s.draw(x, titleRoom, x, s.plot.bottom, stroke{colour: soft, width: 1, dash: "dashed"}, underMarks)
		}
	}
	at, _ := p.noteTexts()
	for _, i := range at {
		x := s.px(float64(i))
		s.draw(x, s.plot.top-3, x, s.plot.bottom, stroke{colour: soft, width: 1, dash: "dotted"}, underMarks)
	}
}

// lines draws limits, centre and target.
func (p process) lines(s *sheet) {
	for _, limit := range [][]float64{p.lower, p.upper} {
		if limit != nil {
			s.line(p.steps(limit), limitStroke)
		}
	}
	if p.centre != nil {
		s.line(p.steps(p.centre), centreStroke)
	}
	if p.target != nil {
		s.line([]xy{{s.x.lo, *p.target}, {s.x.hi, *p.target}}, targetStroke)
	}
}

// steps makes a level per point into a line of steps, each as wide as its point's band; a boundary between phases breaks it.
func (p process) steps(levels []float64) []xy {
	starts := map[int]bool{}
	for _, ph := range p.phases {
		starts[ph.Start] = true
	}
	var out []xy
	for i, v := range levels {
		x := float64(i)
		if starts[i] && i > 0 {
			out = append(out, xy{x - 0.5, math.NaN()})
		}
		out = append(out, xy{x - 0.5, v}, xy{x + 0.5, v})
	}
	return out
}

func (p process) series() []xy {
	out := make([]xy, len(p.y))
	for i, v := range p.y {
		out[i] = xy{float64(i), v}
	}
	return out
}

// points draws the values, the emphasised one larger, and the shapes around those that signal.
func (p process) points(s *sheet) {
	series := p.series()
	for i, v := range p.y {
		if !math.IsNaN(v) {
			s.tip(float64(i), v, p.names[i]+": "+p.axis.value(v))
		}
	}
	s.line(series, dataStroke)
	if p.running != nil {
		last := xy{float64(len(p.y)), *p.running}
		s.line([]xy{series[len(series)-1], last}, stroke{colour: blue, width: 1.2, dash: "dotted"})
		s.dots([]xy{last}, marker{shape: "circle", size: 8, fill: white, edge: blue, edgeWidth: 1.5})
	}
	p.rings(s, series)
	s.dots(series, dataMark)
	if p.focus >= 0 && !math.IsNaN(p.y[p.focus]) {
		s.dots(series[p.focus:p.focus+1], marker{shape: "circle", size: 9, fill: ink, edge: white, edgeWidth: 1})
	}
}

// rings draws the shapes around the points that signal.
func (p process) rings(s *sheet, series []xy) {
	for kind := Beyond; kind <= Other; kind++ {
		var marked []xy
		for _, g := range p.signals {
			if g.Kind == kind {
				marked = append(marked, series[g.At])
			}
		}
		if marked != nil {
			s.dots(marked, marker{shape: signalShapes[kind], size: signalSizes[kind], fill: white, edge: vermillion, edgeWidth: 2})
		}
	}
}

// edges names the lines where they end.
func (p process) edges(s *sheet) []edgeLabel {
	var out []edgeLabel
	add := func(name string, levels []float64) {
		for i := len(levels) - 1; i >= 0; i-- {
			if !math.IsNaN(levels[i]) {
				out = append(out, edgeLabel{y: s.py(levels[i]), text: name + " " + p.axis.value(levels[i])})
				return
			}
		}
	}
	add("upper limit", p.upper)
	add(clean(p.centreName), p.centre)
	add("lower limit", p.lower)
	if p.target != nil {
		add(clean(p.targetName), []float64{*p.target})
	}
	return out
}

// flags writes the names of the phases and the numbers of the notes above the plot.
func (p process) flags(s *sheet) {
	for i, ph := range p.phases {
		end := s.plot.right
		if i+1 < len(p.phases) {
			end = s.px(float64(p.phases[i+1].Start) - 0.5)
		}
		x := s.px(float64(ph.Start)-0.5) + 4
		s.write(x, titleRoom+lineHeight/2-2, fit(ph.Label, end-x-4, smallSize), lettering{size: smallSize, colour: soft})
	}
	at, texts := p.noteTexts()
	wish, size := make([]float64, len(at)), make([]float64, len(at))
	for i := range at {
		wish[i], size[i] = s.px(float64(at[i])), textWidth(texts[i], smallSize)*boldWidening+10
	}
	y := s.plot.top - 10
	for i, x := range spread(wish, size, s.plot.left, s.plot.right) {
		s.fill(box{x - size[i]/2 + 1, y - 7.5, x + size[i]/2 - 1, y + 7.5}, ink, overMarks)
		s.write(x, y, texts[i], lettering{size: smallSize, colour: white, align: "center", bold: true})
	}
}

// signalTexts writes what each signal is; like words of neighbouring points once, at the middle of them.
func (p process) signalTexts(s *sheet) {
	taken := s.trail(p.series(), 7)
	for _, levels := range [][]float64{p.lower, p.centre, p.upper} {
		taken = append(taken, s.trail(p.steps(levels), 1)...)
	}
	signals := slices.Clone(p.signals)
	slices.SortStableFunc(signals, func(a, b Signal) int { return cmp.Compare(a.At, b.At) })
	for len(signals) > 0 {
		like := 1
		for like < len(signals) && signals[like].word() == signals[0].word() && signals[like].At == signals[like-1].At+1 {
			like++
		}
		at := signals[(like-1)/2].At
		s.callout(s.px(float64(at)), s.py(p.y[at]), signals[0].word(), taken, true)
		signals = signals[like:]
	}
}

func (g Signal) word() string { return orElse(g.Label, signalWords[g.Kind]) }
