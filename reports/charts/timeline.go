package charts

import (
	"fmt"
	"math"
	"strings"
)

// Timeline is one course of events on one axis of time: lanes with spans (what was in force from when to when) and lanes
// with traces (values over time).
type Timeline struct {
	Frame
	From, To float64 // ends of the axis, in min; spans and traces beyond them are cut
	XTitle   string
	Lanes    []TimeLane
}

// TimeLane is one row of the drawing: Spans, or a trace of Values, not both. Unit is that of the trace.
type TimeLane struct {
	Name, Unit string
	Spans      []TimeSpan
	Values     []TimeValue
}

// TimeSpan lasts From To (min); equal ends are a moment. Strong is for what must be seen first, Other for the second of two
// kinds that alternate. Label is printed inside where it fits.
type TimeSpan struct {
	From, To      float64
	Label         string
	Strong, Other bool
}

// TimeValue is the lowest and highest value from one minute to another; To is at least From, High at least Low.
type TimeValue struct{ From, To, Low, High float64 }

const (
	timelineGutter = 140.0 // room for the names of lanes
	timelineEdge   = 34.0  // room for the values at the right
	spanHeight     = 17.0
	traceHeight    = 46.0
	laneGap        = 6.0
	mostMinutes    = 1e6
)

// Timeline draws one course as SVG of our own: nothing here needs ECharts.
func (r *Renderer) Timeline(t Timeline) (string, error) {
	if err := t.check(); err != nil {
		return "", err
	}
	if r.used[t.ID] {
		return "", t.wrong("the ID was used before: ids are unique in a document")
	}
	if t.Width == 0 {
		t.Width = defaultWidth
	}
	d := &timeDrawing{t: t, y: 8}
	d.lanes()
	d.axis()
	r.used[t.ID] = true
	return d.svg(), nil
}

func (t Timeline) check() error {
	if err := t.Frame.check(300, 120); err != nil {
		return err
	}
	if !(t.To > t.From) || math.Abs(t.From) > mostMinutes || math.Abs(t.To) > mostMinutes {
		return t.wrong("From is %v and To %v: want minutes, the second after the first", t.From, t.To)
	}
	if len(t.Lanes) == 0 {
		return t.wrong("there are no lanes: say so in the page instead")
	}
	for _, l := range t.Lanes {
		if err := t.checkLane(l); err != nil {
			return err
		}
	}
	return nil
}

func (t Timeline) checkLane(l TimeLane) error {
	if (len(l.Spans) == 0) == (len(l.Values) == 0) {
		return t.wrong("lane %q: want spans or values, one of the two", l.Name)
	}
	for i, s := range l.Spans {
		if err := t.column(fmt.Sprintf("lane %q: span %d", l.Name, i), []float64{s.From, s.To}, 2, false, false); err != nil {
			return err
		}
	}
	for i, v := range l.Values {
		if err := t.column(fmt.Sprintf("lane %q: value %d", l.Name, i), []float64{v.From, v.To, v.Low, v.High}, 4, false, false); err != nil {
			return err
		}
		if v.To < v.From || v.High < v.Low {
			return t.wrong("lane %q: value %d runs backwards", l.Name, i)
		}
	}
	return nil
}

// timeDrawing is a drawing in progress; y is where the next lane begins.
type timeDrawing struct {
	t   Timeline
	out strings.Builder
	y   float64
}

func (d *timeDrawing) x(minute float64) float64 {
	room := float64(d.t.Width) - timelineGutter - timelineEdge
	at := (min(max(minute, d.t.From), d.t.To) - d.t.From) / (d.t.To - d.t.From)
	return timelineGutter + room*at
}

func (d *timeDrawing) put(format string, args ...any) { fmt.Fprintf(&d.out, format, args...) }

func (d *timeDrawing) words(x, y float64, anchor, colour, text string) {
	d.put(`<text x="%.1f" y="%.1f" font-size="%g" text-anchor="%s" fill="%s">%s</text>`, x, y, smallSize, anchor, colour, escape(text))
}

func (d *timeDrawing) lanes() {
	for _, l := range d.t.Lanes {
		height := spanHeight
		if len(l.Values) > 0 {
			height = traceHeight
		}
		d.words(timelineGutter-6, d.y+min(height/2+4, 13), "end", ink, fit(l.Name, timelineGutter-10, smallSize))
		if len(l.Values) > 0 {
			d.trace(l)
		} else {
			d.spans(l)
		}
		d.y += height + laneGap
	}
}

func (d *timeDrawing) spans(l TimeLane) {
	d.put(`<rect x="%.1f" y="%.1f" width="%.1f" height="%g" fill="%s"/>`, timelineGutter, d.y, float64(d.t.Width)-timelineGutter-timelineEdge, spanHeight, shade)
	written := 0.0 // up to where a label reaches
	for i, s := range l.Spans {
		if s.To < d.t.From || s.From > d.t.To {
			continue
		}
		fill, text := sky, ink
		switch {
		case s.Strong:
			fill, text = vermillion, ink
		case s.Other:
			fill = paleSky
		}
		from, to := d.x(s.From), d.x(s.To)
		d.put(`<rect x="%.1f" y="%.1f" width="%.1f" height="%g" fill="%s"/>`, from, d.y, max(to-from-0.5, 1.5), spanHeight, fill)
		room := d.clear(l.Spans[i+1:], from, to) - from
		if label := clean(s.Label); label != "" && room > 24 && from >= written {
			label = fit(label, room-6, smallSize)
			written = from + 3 + textWidth(label, smallSize)
			d.words(from+3, d.y+12.5, "start", text, label)
		}
	}
}

// clear is up to where a span can be written on: a later one of the same time, such as a second cylinder, lies over its end.
func (d *timeDrawing) clear(later []TimeSpan, from, to float64) float64 {
	for _, s := range later {
		if at := d.x(s.From); at >= from && at < to {
			to = at
		}
	}
	return to
}

// trace draws each stretch from its lowest to its highest value, and joins the middles across gaps of up to two minutes.
func (d *timeDrawing) trace(l TimeLane) {
	low, high := l.Values[0].Low, l.Values[0].High
	for _, v := range l.Values {
		low, high = min(low, v.Low), max(high, v.High)
	}
	up := func(v float64) float64 {
		if high == low {
			return d.y + traceHeight/2
		}
		return d.y + 3 + (traceHeight-6)*(high-v)/(high-low)
	}
	right := float64(d.t.Width) - timelineEdge
	d.put(`<rect x="%.1f" y="%.1f" width="%.1f" height="%g" fill="%s" stroke="%s"/>`, timelineGutter, d.y, right-timelineGutter, traceHeight, white, rule)
	var bands, line strings.Builder
	for i, v := range l.Values {
		x, middle := d.x((v.From+v.To)/2), (up(v.Low)+up(v.High))/2
		if v.High > v.Low {
			fmt.Fprintf(&bands, "M%.1f %.1fV%.1f", x, up(v.Low), up(v.High))
		}
		joint := "M"
		if i > 0 && v.From-l.Values[i-1].To <= longestJoin {
			joint = "L"
		}
		fmt.Fprintf(&line, "%s%.1f %.1fh.5", joint, x, middle)
	}
	d.put(`<path d="%s" fill="none" stroke="%s" stroke-width="2"/>`, bands.String(), sky)
	d.put(`<path d="%s" fill="none" stroke="%s" stroke-width="1"/>`, line.String(), blue)
	d.words(right+3, d.y+10, "start", soft, number(high, decimalsFor(high-low)))
	d.words(right+3, d.y+traceHeight-2, "start", soft, number(low, decimalsFor(high-low)))
	d.words(timelineGutter-6, d.y+26, "end", soft, l.Unit)
}

// longestJoin is the longest gap in min across which a trace is drawn on.
const longestJoin = 2.5

func decimalsFor(spread float64) int {
	if spread < 5 {
		return 1
	}
	return 0
}

// axis draws the hours, or shorter steps on short courses.
func (d *timeDrawing) axis() {
	step := 15.0
	for _, s := range []float64{15, 30, 60, 120, 240, 480, 1440, 14400, mostMinutes} {
		if step = s; (d.t.To-d.t.From)/s <= 12 {
			break
		}
	}
	for at := math.Ceil(d.t.From/step) * step; at <= d.t.To; at += step {
		d.put(`<line x1="%.1f" x2="%.1f" y1="4" y2="%.1f" stroke="%s" stroke-width="1" stroke-opacity="0.35"/>`, d.x(at), d.x(at), d.y, soft)
		d.words(d.x(at), d.y+12, "middle", soft, number(at, 0))
	}
	d.words(timelineGutter, d.y+28, "start", soft, fit(d.t.XTitle, float64(d.t.Width)-timelineGutter-timelineEdge, smallSize))
	d.y += 34
}

func (d *timeDrawing) svg() string {
	f := d.t.Frame
	height := int(math.Ceil(d.y))
	return fmt.Sprintf(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-labelledby="%s-title %s-desc" class="chart chart-timeline" `+
		`style="max-width:%dpx" font-family="%s"><title id="%s-title">%s</title><desc id="%s-desc">%s</desc><rect width="%d" height="%d" fill="%s"/>%s</svg>`,
		f.Width, height, f.ID, f.ID, f.Width, fontFamily, f.ID, escape(clean(f.Title)), f.ID, escape(clean(f.Desc)), f.Width, height, white, d.out.String())
}
