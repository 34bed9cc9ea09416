package charts

import (
	"fmt"
	"math"
	"regexp"
	"strings"
)

// Frame is what every chart has: its name in the document, the words for who cannot see it, its size.
type Frame struct {
	ID     string // unique in the document: a small letter, then small letters, digits and hyphens
	Title  string // the <title>; required, not drawn
	Desc   string // the <desc>; required: what the chart shows, in words
	Width  int    // of the viewBox in px; 0 stands for 680, the text column of A4 and Letter; 300 to 1400
	Height int    // of the viewBox in px; 0 stands for what suits the kind; 120 to 2400
}

const (
	defaultWidth = 680
	largest      = 1e15 // above it neighbouring numbers can no longer be told apart on an axis
	narrow       = 480  // below this width a chart takes the layout for phones
)

var idPattern = regexp.MustCompile(`^[a-z][a-z0-9-]*$`)

// Missing is the number that stands for "not there": a gap in a line, no limit at a point.
func Missing() float64 { return math.NaN() }

// At makes an optional number present.
func At(v float64) *float64 { return &v }

func (f Frame) check(minWidth, minHeight int) error {
	if !idPattern.MatchString(f.ID) {
		return fmt.Errorf("charts: ID %q: want a small letter, then small letters, digits and hyphens", f.ID)
	}
	if strings.TrimSpace(f.Title) == "" || strings.TrimSpace(f.Desc) == "" {
		return f.wrong("Title and Desc are required: say what the chart shows")
	}
	if f.Width != 0 && (f.Width < minWidth || f.Width > 1400) {
		return f.wrong("Width is %d: want 0 or %d to 1400", f.Width, minWidth)
	}
	if f.Height != 0 && (f.Height < minHeight || f.Height > 2400) {
		return f.wrong("Height is %d: want 0 or %d to 2400", f.Height, minHeight)
	}
	return nil
}

// wrong makes an error that names the chart.
func (f Frame) wrong(format string, args ...any) error {
	return fmt.Errorf("charts: %s: %s", f.ID, fmt.Sprintf(format, args...))
}

// column checks one slice of numbers: its length (unless it may be absent and is), nothing infinite, no gap where none may be.
func (f Frame) column(name string, v []float64, want int, absent, gaps bool) error {
	if absent && v == nil {
		return nil
	}
	if len(v) != want {
		return f.wrong("%s has %d values: want %d", name, len(v), want)
	}
	for i, x := range v {
		if math.Abs(x) > largest || (math.IsNaN(x) && !gaps) {
			return f.wrong("%s[%d] is %v: want a number of at most %g", name, i, x, largest)
		}
	}
	return nil
}

// single checks an optional number.
func (f Frame) single(name string, v *float64) error {
	if v == nil {
		return nil
	}
	return f.column(name, []float64{*v}, 1, false, false)
}

func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}

// present is the values that are there, of several slices.
func present(columns ...[]float64) []float64 {
	var out []float64
	for _, c := range columns {
		for _, v := range c {
			if !math.IsNaN(v) {
				out = append(out, v)
			}
		}
	}
	return out
}

// optional is a slice of the numbers that are there.
func optional(values ...*float64) []float64 {
	var out []float64
	for _, v := range values {
		if v != nil {
			out = append(out, *v)
		}
	}
	return out
}

func orElse(s, other string) string {
	if strings.TrimSpace(s) == "" {
		return other
	}
	return s
}
