package charts

import "math"

// keyEntry is one mark of a key with its name.
type keyEntry struct {
	name string
	mark marker
}

const keyMark = 16.0 // room of the mark

// key writes a row of marks with names, from the left; names are cut so that all fit.
func (s *sheet) key(y float64, entries []keyEntry) {
	each := s.width/float64(len(entries)) - keyMark - 14
	x := 0.0
	for _, e := range entries {
		first := len(s.ink)
		s.keySymbol(x+6, y, e.mark)
		name := fit(e.name, each, smallSize)
		s.write(x+keyMark, y, name, lettering{size: smallSize})
		for i := range s.ink[first:] {
			s.ink[first+i].key = true
		}
		x += keyMark + textWidth(name, smallSize) + 14
	}
}

// keySymbol draws the mark of a key entry as ink.
func (s *sheet) keySymbol(x, y float64, m marker) {
	style := map[string]any{"fill": m.fill}
	if m.edge != "" {
		style["stroke"], style["lineWidth"] = m.edge, m.edgeWidth
	}
	r := math.Max(m.size, 9) / 2
	e := element{Z: overMarks, Silent: true, Style: style}
	switch m.shape {
	case "rect":
		e.Type, e.Shape = "rect", map[string]any{"x": x - r, "y": y - r, "width": 2 * r, "height": 2 * r}
	case "triangle":
		e.Type, e.Shape = "polygon", map[string]any{"points": [][2]float64{{x, y - r}, {x + r, y + r}, {x - r, y + r}}}
	case "diamond":
		e.Type, e.Shape = "polygon", map[string]any{"points": [][2]float64{{x, y - r}, {x + r, y}, {x, y + r}, {x - r, y}}}
	default:
		e.Type, e.Shape = "circle", map[string]any{"cx": x, "cy": y, "r": r}
	}
	s.ink = append(s.ink, e)
}
