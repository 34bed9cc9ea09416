package charts

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"
)

// The elements and attributes that may reach a report. ECharts' remarks about series, classes and hover styles stay out.
var (
	allowedElements = words("svg g path text rect defs clipPath line circle polyline polygon")
	droppedElements = words("style")
	allowedAttrs    = words("d transform fill stroke stroke-width stroke-dasharray stroke-linejoin stroke-linecap " +
		"stroke-dashoffset fill-opacity stroke-opacity opacity x y x1 y1 x2 y2 cx cy r rx ry width height points text-anchor " +
		"dominant-baseline paint-order clip-path")
)

func words(s string) map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(s) {
		out[w] = true
	}
	return out
}

// rewriter copies ECharts' SVG, keeping what the lists allow, with ids of our own.
type rewriter struct {
	out  strings.Builder
	s    *sheet
	ids  map[string]string // theirs to ours, in order of appearance
	skip int               // depth inside a dropped element
	deep int

	group string // attributes of the group of round marks that is open, empty for none
	mark  bool   // the element that ends next is a round mark, already written
	begun bool   // the tag written last is not closed yet
}

// rewrite turns the SVG of ECharts into one that scales, speaks, and holds nothing but drawing.
func rewrite(s *sheet, raw string) (string, error) {
	w := &rewriter{s: s, ids: map[string]string{}}
	in := xml.NewDecoder(strings.NewReader(raw))
	for {
		token, err := in.RawToken()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return "", s.frame.wrong("ECharts wrote SVG that cannot be read: %v", err)
		}
		if err := w.copy(token); err != nil {
			return "", err
		}
	}
	return w.out.String(), nil
}

func (w *rewriter) copy(token xml.Token) error {
	switch t := token.(type) {
	case xml.StartElement:
		return w.start(t)
	case xml.EndElement:
		w.end(t)
	case xml.CharData:
		if w.skip == 0 && strings.TrimSpace(string(t)) != "" {
			w.closeTag()
			w.out.WriteString(escape(string(t)))
		}
	}
	return nil
}

func (w *rewriter) start(t xml.StartElement) error {
	name := t.Name.Local
	if w.skip > 0 || droppedElements[name] {
		w.skip++
		return nil
	}
	if t.Name.Space != "" || !allowedElements[name] {
		return w.s.frame.wrong("ECharts drew an element <%s>, which no chart needs", name)
	}
	w.deep++
	w.closeTag()
	if w.deep == 1 {
		w.root()
		return nil
	}
	if d, ok := dotOf(t); ok {
		w.mark = true
		w.dot(d)
		return nil
	}
	w.closeGroup()
	w.out.WriteString("<" + name)
	for _, a := range t.Attr {
		w.attribute(a)
	}
	w.begun = true
	return nil
}

// closeTag ends the tag of an element that has something in it.
func (w *rewriter) closeTag() {
	if w.begun {
		w.out.WriteString(">")
		w.begun = false
	}
}

func (w *rewriter) end(t xml.EndElement) {
	if w.skip > 0 {
		w.skip--
		return
	}
	w.deep--
	switch {
	case w.mark:
		w.mark = false
	case w.begun:
		w.out.WriteString("/>")
		w.begun = false
	default:
		if w.deep == 0 {
			for _, d := range w.s.many {
				w.dot(d)
			}
		}
		w.closeGroup()
		w.out.WriteString("</" + t.Name.Local + ">")
	}
}

// root writes the outermost element, the words, and the white ground.
func (w *rewriter) root() {
	f := w.s.frame
	fmt.Fprintf(&w.out, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" role="img" `+
		`aria-labelledby="%s-title %s-desc" class="chart chart-%s" style="max-width:%dpx" font-family="%s">`,
		f.Width, f.Height, f.ID, f.ID, w.s.kind, f.Width, fontFamily)
	fmt.Fprintf(&w.out, `<title id="%s-title">%s</title><desc id="%s-desc">%s</desc>`,
		f.ID, escape(clean(f.Title)), f.ID, escape(clean(f.Desc)))
	fmt.Fprintf(&w.out, `<rect width="%d" height="%d" fill="%s"/>`, f.Width, f.Height, white)
}

var (
	fontInStyle = regexp.MustCompile(`font:\s*(bold )?([\d.]+)px`)
	reference   = regexp.MustCompile(`^url\(#([\w-]+)\)$`)
)

// attribute copies one attribute. A font given as a style becomes attributes, so that a page may forbid inline styles.
func (w *rewriter) attribute(a xml.Attr) {
	name := a.Name.Local
	switch {
	case a.Name.Space != "":
	case name == "id":
		w.put("id", w.id(a.Value))
	case name == "style":
		if m := fontInStyle.FindStringSubmatch(a.Value); m != nil {
			w.put("font-size", m[2])
			if m[1] != "" {
				w.put("font-weight", "bold")
			}
		}
	case name == "clip-path":
		if m := reference.FindStringSubmatch(a.Value); m != nil {
			w.put(name, "url(#"+w.id(m[1])+")")
		}
	case allowedAttrs[name]:
		w.put(name, rounded(name, a.Value))
	}
}

func (w *rewriter) put(name, value string) {
	w.out.WriteString(" " + name + `="` + escape(value) + `"`)
}

func (w *rewriter) id(theirs string) string {
	ours, ok := w.ids[theirs]
	if !ok {
		ours = fmt.Sprintf("%s-%d", w.s.frame.ID, len(w.ids)+1)
		w.ids[theirs] = ours
	}
	return ours
}

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&quot;", "'", "&#39;")

func escape(s string) string { return escaper.Replace(s) }
