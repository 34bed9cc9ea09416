package charts

import (
	"math"
	"slices"
)

// edgeLabel is a word at the right edge of the plot, beside the end of what it names.
type edgeLabel struct {
	y    float64 // px, where the named thing ends
	text string
	bold bool
}

const (
	edgeGap    = 10.0 // between the plot and its edge labels
	tickGap    = 6.0
	titleRoom  = 25.0 // above the plot, for the y axis' heading
	labelRoom  = 21.0 // below the plot, for the labels of the x axis
	leastTicks = 3
)

// ticksFor is how many ticks suit a length in px.
func ticksFor(length, each float64) int { return max(leastTicks, int(length/each)) }

// widest is the width of the widest of some texts.
func widest(texts []string, size float64) float64 {
	w := 0.0
	for _, t := range texts {
		w = math.Max(w, textWidth(clean(t), size))
	}
	return w
}

// tickTexts are the labels of a scale's ticks.
func (s scale) tickTexts() []string {
	out := make([]string, len(s.ticks))
	for i, v := range s.ticks {
		out[i] = s.tick(v)
	}
	return out
}

// yAxisLabels draws the rules and labels of the y axis, and its heading above the plot.
func (s *sheet) yAxisLabels(a Axis) {
	for i, text := range s.y.tickTexts() {
		y := s.py(s.y.ticks[i])
		s.draw(s.plot.left, y, s.plot.right, y, ruleStroke, underMarks)
		s.write(s.plot.left-tickGap, y, text, lettering{align: "right", colour: soft, size: smallSize})
	}
	s.draw(s.plot.left, s.plot.bottom, s.plot.right, s.plot.bottom, axisStroke, underMarks)
	s.write(0, 8, fit(a.heading(), s.width, textSize), lettering{})
}

// xAxisLabels draws the rules and labels of a numeric x axis, and its heading below.
func (s *sheet) xAxisLabels(a Axis) {
	last := math.Inf(-1)
	for i, text := range s.x.tickTexts() {
		x := s.px(s.x.ticks[i])
		s.draw(x, s.plot.top, x, s.plot.bottom, ruleStroke, underMarks)
		l := lettering{align: "center", colour: soft, size: smallSize}
		b := l.box(x, s.plot.bottom+13, text)
		if b.left > last && b.left >= 0 && b.right <= s.width {
			s.write(x, s.plot.bottom+13, text, l)
			last = b.right + 6
		}
	}
	s.draw(s.plot.left, s.plot.bottom, s.plot.right, s.plot.bottom, axisStroke, underMarks)
	s.write(s.plot.right, s.plot.bottom+30, fit(a.heading(), s.plot.right, textSize), lettering{align: "right"})
}

// bandLabels writes names below the points 0, 1, … of an axis, as many as fit: first the emphasised one (-1: none), then
// from the last backwards in even steps.
func (s *sheet) bandLabels(names []string, emphasised int) {
	const gap = 10
	s.names = names
	room := math.Max(s.plot.width()/2, 40)
	each := (s.plot.width() + gap) / float64(len(names))
	step := max(1, int(math.Ceil((math.Min(widest(names, smallSize), room)+gap)/each)))
	var taken []box
	try := func(i int, l lettering) {
		text := fit(names[i], room, smallSize)
		x := s.px(float64(i))
		b := l.box(x, s.plot.bottom+13, text)
		x += math.Max(0, -b.left) - math.Max(0, b.right-s.width)
		b = l.box(x, s.plot.bottom+13, text)
		if _, clear := free([]box{{b.left - gap/2, b.top, b.right + gap/2, b.bottom}}, taken); clear {
			taken = append(taken, b)
			s.write(x, s.plot.bottom+13, text, l)
		}
	}
	if emphasised >= 0 {
		try(emphasised, lettering{size: smallSize, align: "center", bold: true})
	}
	for i := len(names) - 1; i >= 0; i -= step {
		if i != emphasised {
			try(i, lettering{size: smallSize, align: "center", colour: soft})
		}
	}
}

// edgeRoom is the room that edge labels take to the right of the plot, at most a part of the whole width.
func (s *sheet) edgeRoom(texts []string) float64 {
	if len(texts) == 0 {
		return 8
	}
	return math.Min(widest(texts, smallSize)*boldWidening+edgeGap+2, s.width*0.36)
}

// edgeLabels writes them, moved apart so that none covers another, each joined to its place when it had to move.
func (s *sheet) edgeLabels(labels []edgeLabel) {
	at := make([]float64, len(labels))
	size := make([]float64, len(labels))
	for i, l := range labels {
		at[i], size[i] = l.y, lineHeight
	}
	room := s.width - s.plot.right - edgeGap
	for i, y := range spread(at, size, s.plot.top-lineHeight/2, s.plot.bottom+lineHeight/2-2) {
		x := s.plot.right + edgeGap
		if math.Abs(y-at[i]) > 2 {
			s.draw(s.plot.right+1, at[i], x-2, y, stroke{colour: soft, width: 0.75}, overMarks)
		}
		s.write(x, y, fit(labels[i].text, room, smallSize), lettering{size: smallSize, bold: labels[i].bold})
	}
}

// callout writes a short text near a point, where it covers least of what is there. It says whether the place was clear;
// when must is not set, nothing is written unless it is.
func (s *sheet) callout(x, y float64, text string, taken []box, must bool) bool {
	text = fit(text, math.Min(150, s.plot.width()*0.6), smallSize)
	w, h := textWidth(text, smallSize)+4, lineHeight-1
	var spots []box
	for _, d := range [][2]float64{{0, -15}, {0, 15}, {1, 0}, {-1, 0}, {1, -14}, {-1, -14}, {1, 14}, {-1, 14}, {0, -28}, {0, 28}, {1, -28}, {-1, -28}, {0, -42}, {0, 42}} {
		cx := x + d[0]*(w/2+10)
		cy := y + d[1]
		cx = math.Max(s.plot.left+w/2, math.Min(cx, s.plot.right-w/2))
		cy = math.Max(s.plot.top+h/2, math.Min(cy, s.plot.bottom-h/2))
		spots = append(spots, box{cx - w/2, cy - h/2, cx + w/2, cy + h/2})
	}
	spot, clear := free(spots, slices.Concat(taken, s.textBoxes()))
	if clear || must {
		s.write((spot.left+spot.right)/2, (spot.top+spot.bottom)/2, text, lettering{size: smallSize, align: "center", halo: true})
		return true
	}
	return false
}

// textBoxes are the places of the texts so far.
func (s *sheet) textBoxes() []box {
	out := make([]box, len(s.texts))
	for i, t := range s.texts {
		out[i] = t.box
	}
	return out
}

// trail is the room that a line and its points take: boxes for callouts to keep off.
func (s *sheet) trail(points []xy, half float64) []box {
	var out []box
	add := func(x, y, h float64) { out = append(out, box{x - h, y - h, x + h, y + h}) }
	for i, p := range points {
		if math.IsNaN(p.Y) {
			continue
		}
		x, y := s.px(p.X), s.py(p.Y)
		add(x, y, half)
		if i == 0 || math.IsNaN(points[i-1].Y) {
			continue
		}
		x0, y0 := s.px(points[i-1].X), s.py(points[i-1].Y)
		n := math.Ceil(math.Hypot(x-x0, y-y0) / 5)
		for k := 1.0; k < n; k++ {
			add(x0+(x-x0)*k/n, y0+(y-y0)*k/n, 1.5)
		}
	}
	return out
}
