package charts

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Spark is a line for a table cell: no axis, no words, the last point marked.
type Spark struct {
	Frame            // 120 by 28 unless given
	Y      []float64 // NaN is a gap
	Centre *float64  // a thin level line
	Floor  *float64  // where the scale begins; nil is the smallest value
}

// Spark draws a line for a table cell. A report has dozens of them, and none needs what ECharts can do beyond a line: they
// are written here, as timelines are.
func (r *Renderer) Spark(c Spark) (string, error) {
	if err := c.check(); err != nil {
		return "", err
	}
	if r.used[c.ID] {
		return "", c.wrong("the ID was used before: ids are unique in a document")
	}
	r.used[c.ID] = true
	return c.svg(), nil
}

func (c Spark) check() error {
	if len(present(c.Y)) == 0 {
		return c.wrong("no points: leave the cell empty instead")
	}
	return firstError(c.Frame.check(40, 16), c.column("Y", c.Y, len(c.Y), false, true), c.single("Centre", c.Centre), c.single("Floor", c.Floor))
}

// sparkMargin keeps the marks inside the drawing.
const sparkMargin = 4.0

func (c Spark) svg() string {
	width, height := 120, 28
	if c.Width != 0 {
		width = c.Width
	}
	if c.Height != 0 {
		height = c.Height
	}
	values := append(present(c.Y), optional(c.Centre, c.Floor)...)
	lo, hi := slices.Min(values), slices.Max(values)
	if lo == hi {
		lo, hi = lo-1, hi+1
	}
	x := func(i int) float64 {
		return sparkMargin + (float64(width)-2*sparkMargin-1)*float64(i)/math.Max(1, float64(len(c.Y)-1))
	}
	y := func(v float64) float64 { return sparkMargin + (float64(height)-2*sparkMargin)*(hi-v)/(hi-lo) }
	var out strings.Builder
	fmt.Fprintf(&out, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" aria-labelledby="%s-title %s-desc" class="chart chart-spark" `+
		`style="max-width:%dpx"><title id="%s-title">%s</title><desc id="%s-desc">%s</desc>`, width, height, c.ID, c.ID, width,
		c.ID, escape(clean(c.Title)), c.ID, escape(clean(c.Desc)))
	if c.Centre != nil {
		fmt.Fprintf(&out, `<path d="M%.1f %.1fH%.1f" fill="none" stroke="%s"/>`, x(0), y(*c.Centre), x(len(c.Y)-1), soft)
	}
	c.line(&out, x, y)
	out.WriteString("</svg>")
	return out.String()
}

// line draws the values joined where they follow each other, a dot where one stands alone, and the last one marked.
func (c Spark) line(out *strings.Builder, x func(int) float64, y func(float64) float64) {
	there := func(i int) bool { return i >= 0 && i < len(c.Y) && !math.IsNaN(c.Y[i]) }
	var path strings.Builder
	last := 0
	for i, v := range c.Y {
		if !there(i) {
			continue
		}
		last = i
		switch {
		case there(i - 1):
			fmt.Fprintf(&path, "L%.1f %.1f", x(i), y(v))
		case there(i + 1):
			fmt.Fprintf(&path, "M%.1f %.1f", x(i), y(v))
		default:
			fmt.Fprintf(out, `<circle cx="%.1f" cy="%.1f" r="1.5" fill="%s"/>`, x(i), y(v), blue)
		}
	}
	if path.Len() > 0 {
		fmt.Fprintf(out, `<path d="%s" fill="none" stroke="%s" stroke-width="1.6"/>`, path.String(), blue)
	}
	fmt.Fprintf(out, `<circle cx="%.1f" cy="%.1f" r="3" fill="%s" stroke="%s"/>`, x(last), y(c.Y[last]), ink, white)
}
