package charts

import (
	"encoding/json"
	"fmt"
	"maps"
	"strings"

	echarts "github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"
)

const livePath = "runtime/dist/live.js"

// LiveScript is the program that makes the charts of a page answer to a pointer: the parts of ECharts that it takes, with their
// licences at the head, and what binds them to the page. It holds nothing that ends a script element.
func LiveScript() (string, error) {
	text, err := runtimeFiles.ReadFile(livePath)
	if err != nil {
		return "", fmt.Errorf("charts: this program was built without the bundle reports/charts/%s: run `make charts`, then build again", livePath)
	}
	script := strings.ReplaceAll(string(text), "\r\n", "\n") // as a browser reads it, before it takes the hash
	lower := strings.ToLower(script)
	if strings.Contains(lower, "</script") || strings.Contains(lower, "<!--") {
		return "", fmt.Errorf("charts: %s would end its script element: run `make charts`, then build again", livePath)
	}
	return script, nil
}

// Enliven has the renderer keep what charts need to be drawn again in a browser; Live gives it.
func (r *Renderer) Enliven() { r.live = map[string]liveChart{} }

// Live is the data of the charts drawn so far, by ID, as JSON without a letter that could be markup; nil where none were kept.
func (r *Renderer) Live() ([]byte, error) {
	if len(r.live) == 0 {
		return nil, nil
	}
	return json.Marshal(r.live) // keys in order; <, > and & are escaped
}

// liveChart is a chart as a browser draws it: an option, which holds data and no code, its size in px, and which of the ink still holds
// when it is zoomed along x.
type liveChart struct {
	Option any      `json:"option"`
	Width  float64  `json:"width"`
	Height float64  `json:"height"`
	Still  []int    `json:"still"`           // indices
	Names  []string `json:"names,omitempty"` // along x
}

// tip is what a pointer is told at a place of the chart.
type tip struct {
	at   xy
	text string
}

// tip says what stands at a point by value. Names of records are in it: it is shown as letters on a canvas, never as markup.
func (s *sheet) tip(x, y float64, parts ...string) {
	for i, p := range parts {
		parts[i] = strings.ReplaceAll(clean(p), "{", "(") // braces are places of ECharts' templates
	}
	s.tips = append(s.tips, tip{xy{x, y}, strings.Join(parts, "\n")})
}

// live is the chart for a browser: the option of the picture, with what answers to a pointer laid over it.
func (s *sheet) live() liveChart {
	whole := s.optionMap(append(append([]echarts.SingleSeries{}, s.marks...), s.crowd...))
	still, all := []int{}, make([]element, len(s.ink))
	for i, e := range s.ink {
		all[i] = e.lettered()
		if s.holds(e) {
			still = append(still, i)
		}
	}
	whole["graphic"] = all
	whole["tooltip"] = map[string]any{"trigger": "item", "renderMode": "richText", "confine": true, "formatter": "{b}",
		"textStyle": map[string]any{"fontFamily": fontFamily, "fontSize": textSize, "color": ink}}
	whole["hover"] = s.hover()
	return liveChart{Option: whole, Width: s.width, Height: s.height, Still: still, Names: s.names}
}

// lettered names the fonts of a text, which a picture inherits from its outermost element.
func (e element) lettered() element {
	if font, ok := e.Style["font"].(string); ok {
		e.Style = maps.Clone(e.Style)
		e.Style["font"] = strings.Replace(font, "sans-serif", fontFamily, 1)
	}
	return e
}

// hover is the layer over the marks that a pointer meets: nothing is seen of it until then.
func (s *sheet) hover() any {
	data := make([]opts.ScatterData, len(s.tips))
	for i, t := range s.tips {
		data[i] = opts.ScatterData{Name: t.text, Value: []any{t.at.X, orGap(t.at.Y)}}
	}
	return map[string]any{"type": "scatter", "data": data, "symbolSize": 18, "z": 10, "cursor": "default",
		"itemStyle": map[string]any{"color": ink, "opacity": 0},
		"emphasis":  map[string]any{"scale": false, "itemStyle": map[string]any{"color": "transparent", "borderColor": ink, "borderWidth": 2, "opacity": 1}}}
}

// holds says that an element stays where it is when the chart is zoomed along x: what lies beside the plot, rules from side to side,
// the key, and the headings.
func (s *sheet) holds(e element) bool {
	number := func(key string, other float64) float64 {
		if v, ok := e.Shape[key].(float64); ok {
			return v
		}
		return other
	}
	left, top := number("x1", number("x", e.X)), number("y1", number("y", e.Y))
	right := number("x2", left+number("width", 0))
	beside := e.Type == "text" && (e.X <= s.plot.left || e.X > s.plot.right) && e.Y < s.plot.bottom+lineHeight/2
	across := e.Type == "line" && left <= s.plot.left && right >= s.plot.right
	joint := e.Type == "line" && left > s.plot.right
	return e.key || beside || across || joint || top < titleRoom/2 || top > s.plot.bottom+titleRoom
}
