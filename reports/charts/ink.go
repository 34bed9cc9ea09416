package charts

import (
	"fmt"
	"math"
)

// element is one graphic element of an option: text, line or rect, placed in px. Its text is not a template.
type element struct {
	Type     string         `json:"type"`
	X        float64        `json:"x"`
	Y        float64        `json:"y"`
	Z        int            `json:"z"`
	Silent   bool           `json:"silent"`
	Rotation float64        `json:"rotation,omitempty"` // anticlockwise, in radians
	Shape    map[string]any `json:"shape,omitempty"`
	Style    map[string]any `json:"style"`

	key bool // of the key of the chart
}

// Layers: series stand on layer 2 of ECharts.
const (
	underMarks = 0
	overMarks  = 5
)

// lettering says how a text is set. The zero value is ink, size 12, beginning at the place.
type lettering struct {
	size   float64
	colour string
	align  string // "left", "center", "right"
	bold   bool
	halo   bool // a white seam, for text over marks
	up     bool // turned to read from below upwards; x is its middle, y its lower end
}

const boldWidening = 1.12 // bold is at most so much wider than regular, over a few words

func (l lettering) filled() lettering {
	if l.size == 0 {
		l.size = textSize
	}
	l.colour = orElse(l.colour, ink)
	l.align = orElse(l.align, "left")
	return l
}

// box is what a text takes, centred vertically on y.
func (l lettering) box(x, y float64, text string) box {
	l = l.filled()
	w := textWidth(text, l.size)
	if l.bold {
		w *= boldWidening
	}
	if l.up {
		return box{x - l.size*0.58, y - w, x + l.size*0.58, y}
	}
	left := map[string]float64{"left": x, "center": x - w/2, "right": x - w}[l.align]
	return box{left, y - l.size*0.58, left + w, y + l.size*0.58}
}

// write places a text, cleaned, with its vertical middle on y.
func (s *sheet) write(x, y float64, text string, l lettering) {
	text = clean(text)
	if text == "" {
		return
	}
	l = l.filled()
	weight := ""
	if l.bold {
		weight = "bold "
	}
	style := map[string]any{
		"text": text, "fill": l.colour, "align": l.align, "verticalAlign": "middle",
		"font": fmt.Sprintf("%s%gpx sans-serif", weight, l.size),
	}
	if l.halo {
		style["stroke"], style["lineWidth"] = white, 3
	}
	s.texts = append(s.texts, placed{l.box(x, y, text), text})
	e := element{Type: "text", X: tenth(x), Y: tenth(y), Z: overMarks, Silent: true, Style: style}
	if l.up {
		e.Rotation = math.Pi / 2
	}
	s.ink = append(s.ink, e)
}

// draw places a straight line.
func (s *sheet) draw(x1, y1, x2, y2 float64, k stroke, layer int) {
	style := map[string]any{"stroke": k.colour, "lineWidth": k.width}
	switch k.dash {
	case "dashed":
		style["lineDash"] = []float64{5, 4}
	case "dotted":
		style["lineDash"] = []float64{2, 3}
	}
	shape := map[string]any{"x1": tenth(x1), "y1": tenth(y1), "x2": tenth(x2), "y2": tenth(y2)}
	s.ink = append(s.ink, element{Type: "line", Z: layer, Silent: true, Shape: shape, Style: style})
}

// fill places a rectangle.
func (s *sheet) fill(b box, colour string, layer int) {
	shape := map[string]any{"x": tenth(b.left), "y": tenth(b.top), "width": tenth(b.width()), "height": tenth(b.height())}
	s.ink = append(s.ink, element{Type: "rect", Z: layer, Silent: true, Shape: shape, Style: map[string]any{"fill": colour}})
}

func tenth(v float64) float64 { return math.Round(v*10) / 10 }
