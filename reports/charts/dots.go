package charts

import (
	"encoding/xml"
	"regexp"
	"strconv"
	"strings"
)

// ECharts draws each round mark as a path of two arcs under a matrix. A report has thousands of them: here they become circles
// of a group that bears their colours once, a quarter of the bytes.
var (
	roundMark  = "M1 0A1 1 0 1 1 1 -0.1A1 1 0 0 1 1 0"
	markMatrix = regexp.MustCompile(`^matrix\(([\d.]+),0,0,([\d.]+),(-?[\d.]+),(-?[\d.]+)\)$`)
)

// dot is one round mark, with the attributes that its neighbours share.
type dot struct{ x, y, r, shared string }

// dotOf reads an element as a round mark; false where it is another.
func dotOf(e xml.StartElement) (dot, bool) {
	a := map[string]string{}
	for _, one := range e.Attr {
		if one.Name.Space == "" && allowedAttrs[one.Name.Local] {
			a[one.Name.Local] = one.Value
		}
	}
	m := markMatrix.FindStringSubmatch(a["transform"])
	if e.Name.Local != "path" || a["d"] != roundMark || m == nil || m[1] != m[2] {
		return dot{}, false
	}
	radius, err := strconv.ParseFloat(m[1], 64)
	if err != nil {
		return dot{}, false
	}
	d := dot{x: tenths(m[3]), y: tenths(m[4]), r: brief(radius)}
	for _, name := range []string{"fill", "stroke", "stroke-width"} {
		v := a[name]
		if w, err := strconv.ParseFloat(v, 64); err == nil && name == "stroke-width" {
			v = brief(w * radius) // the matrix scales the line too
		}
		if v != "" {
			d.shared += " " + name + `="` + escape(v) + `"`
		}
	}
	return d, len(a) == strings.Count(d.shared, `="`)+2
}

// dot writes a mark, into the group before it where that has its attributes.
func (w *rewriter) dot(d dot) {
	if w.group != d.shared {
		w.closeGroup()
		w.out.WriteString("<g" + d.shared + ">")
		w.group = d.shared
	}
	w.out.WriteString(`<circle cx="` + d.x + `" cy="` + d.y + `" r="` + d.r + `"/>`)
}

func (w *rewriter) closeGroup() {
	if w.group != "" {
		w.out.WriteString("</g>")
		w.group = ""
	}
}

var decimals = regexp.MustCompile(`-?\d+\.\d+`)

// rounded brings the numbers of a place or path to a tenth of a px, which no eye can tell apart. Marks that a matrix scales keep
// their own small shape.
func rounded(name, value string) string {
	switch name {
	case "x", "y", "x1", "y1", "x2", "y2", "cx", "cy", "transform":
		return decimals.ReplaceAllStringFunc(value, tenths)
	case "stroke-width":
		if v, err := strconv.ParseFloat(value, 64); err == nil {
			return brief(v)
		}
	}
	return value
}

// tenths prints a number with one decimal at most, a whole one without.
func tenths(text string) string {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return text
	}
	return oneDecimal(v)
}

func oneDecimal(v float64) string {
	text := strings.TrimSuffix(strconv.FormatFloat(v, 'f', 1, 64), ".0")
	if text == "-0" {
		return "0"
	}
	return text
}

func brief(v float64) string { return strconv.FormatFloat(v, 'g', 3, 64) }
