package charts

import (
	"fmt"
	"math"
	"strings"
)

// Flow shows who goes on and who is set aside, from the top down: a box for each step, to its right a box for those set aside
// before the next, and below the last step a box for each group.
type Flow struct {
	Frame
	Steps  []FlowBox
	Groups []FlowBox // at most 5
}

// FlowBox is what stands in a box: its name, its number as text, and what is set aside after it, a line each.
type FlowBox struct {
	Name, Number string
	Aside        []string
}

const (
	flowGap    = 14.0 // between a box and the next
	flowPad    = 6.0
	mostGroups = 5
)

// Flow draws a flow diagram as SVG of our own: nothing here needs ECharts.
func (r *Renderer) Flow(f Flow) (string, error) {
	if err := f.check(); err != nil {
		return "", err
	}
	if r.used[f.ID] {
		return "", f.wrong("the ID was used before: ids are unique in a document")
	}
	if f.Width == 0 {
		f.Width = defaultWidth
	}
	d := &flowDrawing{f: f, y: 4}
	d.steps()
	d.groups()
	r.used[f.ID] = true
	return d.svg(), nil
}

func (f Flow) check() error {
	if err := f.Frame.check(300, 120); err != nil {
		return err
	}
	if len(f.Steps) == 0 {
		return f.wrong("there are no steps: say so in the page instead")
	}
	if len(f.Groups) > mostGroups {
		return f.wrong("there are %d groups: want at most %d", len(f.Groups), mostGroups)
	}
	return nil
}

// flowDrawing is a drawing in progress; y is where the next box begins.
type flowDrawing struct {
	f   Flow
	out strings.Builder
	y   float64
}

func (d *flowDrawing) put(format string, args ...any) { fmt.Fprintf(&d.out, format, args...) }

// mainWidth is the room of the boxes of steps; those set aside have the rest.
func (d *flowDrawing) mainWidth() float64 { return math.Round(float64(d.f.Width) * 0.46) }

// steps draws each step, what is set aside after it beside the arrow to the next, and that arrow.
func (d *flowDrawing) steps() {
	width := d.mainWidth()
	for i, step := range d.f.Steps {
		bottom := d.box(2, d.y, width, step.lines(width), white)
		next := bottom + flowGap
		if len(step.Aside) > 0 {
			left := width + 24
			var lines []flowLine
			for _, text := range step.Aside {
				lines = append(lines, wrapped(text, float64(d.f.Width)-left-2, false)...)
			}
			aside := d.box(left, bottom+4, float64(d.f.Width)-left-2, lines, mist)
			middle := (bottom + 4 + aside) / 2
			d.line(width/2, middle, left-1, middle)
			d.head(left-1, middle, false)
			next = aside + 6
		}
		if last := i == len(d.f.Steps)-1; !last {
			d.line(width/2, bottom, width/2, next-1)
			d.head(width/2, next-1, true)
		}
		d.y = next
	}
}

// groups draws the boxes of the groups side by side, below one line.
func (d *flowDrawing) groups() {
	n := len(d.f.Groups)
	if n == 0 {
		return
	}
	top, from := d.y+8, d.mainWidth()/2
	each := (float64(d.f.Width) - 4) / float64(n)
	d.line(from, d.y-flowGap, from, top)
	lowest, middle := top, func(i int) float64 { return 2 + each*(float64(i)+0.5) }
	d.line(math.Min(middle(0), from), top, math.Max(middle(n-1), from), top)
	for i, g := range d.f.Groups {
		d.line(middle(i), top, middle(i), top+9)
		d.head(middle(i), top+9, true)
		lowest = math.Max(lowest, d.box(2+each*float64(i)+3, top+10, each-6, g.lines(each-6), white))
	}
	d.y = lowest + 4
}

// flowLine is one line of text in a box.
type flowLine struct {
	text string
	bold bool
}

func (b FlowBox) lines(width float64) []flowLine {
	return append(wrapped(b.Name, width, false), flowLine{b.Number, true})
}

func wrapped(text string, width float64, bold bool) []flowLine {
	var lines []flowLine
	for _, part := range wrap(clean(text), width-2*flowPad, smallSize, 4) {
		lines = append(lines, flowLine{part, bold})
	}
	return lines
}

// box draws a box with its lines and gives its lower edge.
func (d *flowDrawing) box(x, y, width float64, lines []flowLine, fill string) float64 {
	height := flowPad*2 + lineHeight*float64(len(lines)) - 3
	d.put(`<rect x="%.1f" y="%.1f" width="%.1f" height="%.1f" fill="%s" stroke="%s" stroke-width="1"/>`, x, y, width, height, fill, soft)
	for i, l := range lines {
		weight := ""
		if l.bold {
			weight = ` font-weight="bold"`
		}
		d.put(`<text x="%.1f" y="%.1f" font-size="%g"%s fill="%s">%s</text>`, x+flowPad, y+flowPad+smallSize-1+lineHeight*float64(i), smallSize, weight, ink,
			escape(fit(clean(l.text), width-2*flowPad, smallSize)))
	}
	return y + height
}

func (d *flowDrawing) line(x1, y1, x2, y2 float64) {
	d.put(`<line x1="%.1f" y1="%.1f" x2="%.1f" y2="%.1f" stroke="%s" stroke-width="1.2"/>`, x1, y1, x2, y2, soft)
}

// head is the point of an arrow that ends there, down or to the right.
func (d *flowDrawing) head(x, y float64, down bool) {
	points := fmt.Sprintf("%.1f,%.1f %.1f,%.1f %.1f,%.1f", x-6, y-3.5, x-6, y+3.5, x, y)
	if down {
		points = fmt.Sprintf("%.1f,%.1f %.1f,%.1f %.1f,%.1f", x-3.5, y-6, x+3.5, y-6, x, y)
	}
	d.put(`<polygon points="%s" fill="%s"/>`, points, soft)
}

func (d *flowDrawing) svg() string {
	f, height := d.f.Frame, int(math.Ceil(d.y+2))
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-labelledby="%s-title %s-desc" class="chart chart-flow" `+
		`style="max-width:%dpx" font-family="%s"><title id="%s-title">%s</title><desc id="%s-desc">%s</desc><rect width="%d" height="%d" fill="%s"/>%s</svg>`,
		f.Width, height, f.ID, f.ID, f.Width, fontFamily, f.ID, escape(clean(f.Title)), f.ID, escape(clean(f.Desc)), f.Width, height, white, d.out.String())
}
