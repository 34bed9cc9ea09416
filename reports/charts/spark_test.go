package charts

import (
	"strings"
	"testing"
)

// Of eighteen values the fifth and the seventh are missing: the sixth stands alone as a dot, the line has two parts, and the
// last value is marked, at the right edge.
func TestSparkShowsEveryValue(t *testing.T) {
	svg, err := newRenderer(t).Spark(sparkSample(0))
	if err != nil {
		t.Fatal(err)
	}
	_, line, _ := strings.Cut(svg, `<path d="M4.0 `)
	_, line, _ = strings.Cut(line, `<path d="`)
	line, _, _ = strings.Cut(line, `"`)
	if moves, lines := strings.Count(line, "M"), strings.Count(line, "L"); moves != 2 || moves+lines != 15 {
		t.Errorf("the line has %d parts through %d points, want 2 through 15", moves, moves+lines)
	}
	if got := strings.Count(svg, "<circle"); got != 2 {
		t.Errorf("got %d marks, want the value alone and the last", got)
	}
	if !strings.Contains(svg, `<circle cx="115.0"`) || len(svg) > 1400 {
		t.Errorf("the last value is not at the edge, or the drawing of %d bytes is no small one", len(svg))
	}
}

// A floor and a level line take part in the scale: twice the only value is the height of the plot.
func TestSparkScale(t *testing.T) {
	svg, err := newRenderer(t).Spark(Spark{Frame: frame("spark", 0), Y: []float64{10, 10}, Floor: At(0), Centre: At(20)})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"M4.0 4.0H115.0", "M4.0 14.0L115.0 14.0"} {
		if !strings.Contains(svg, want) {
			t.Errorf("%s is not in %s", want, svg)
		}
	}
}
