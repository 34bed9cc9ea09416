package charts

import (
	"embed"
	"fmt"
	"regexp"
	"strconv"
	"sync"

	"github.com/dop251/goja"
)

//go:embed all:runtime/dist
var runtimeFiles embed.FS

const bundlePath = "runtime/dist/charts.js"

// program is the bundle, compiled once for the whole run of the program.
var program = sync.OnceValues(func() (*goja.Program, error) { return compile(runtimeFiles.ReadFile) })

func compile(read func(string) ([]byte, error)) (*goja.Program, error) {
	source, err := read(bundlePath)
	if err != nil {
		return nil, fmt.Errorf("charts: this program was built without the chart bundle reports/charts/%s: "+
			"run `make charts`, then build again", bundlePath)
	}
	p, err := goja.Compile(bundlePath, string(source), true)
	if err != nil {
		return nil, fmt.Errorf("charts: the chart bundle is damaged: run `make charts`, then build again: %w", err)
	}
	return p, nil
}

// Renderer draws the charts of one report. It holds one JavaScript machine and the IDs it has used; it is not for use by
// several goroutines at a time.
type Renderer struct {
	drawJS goja.Callable
	vm     *goja.Runtime
	used   map[string]bool
	live   map[string]liveChart // what is kept for a browser; nil: nothing
	later  *later               // machines that draw beside the caller; nil: this one draws at once
}

// NewRenderer starts the machine (about 80 ms the first time, 10 ms after). The error says what to run when the program was
// built without the ECharts bundle.
func NewRenderer() (*Renderer, error) {
	p, err := program()
	if err != nil {
		return nil, err
	}
	vm := goja.New()
	// ECharts asks for a timer when it loads and when it disposes; nothing of what it would do later is wanted.
	if err := vm.Set("setTimeout", func(goja.FunctionCall) goja.Value { return vm.ToValue(0) }); err != nil {
		return nil, fmt.Errorf("charts: cannot prepare the chart machine: %w", err)
	}
	if _, err := vm.RunProgram(p); err != nil {
		return nil, fmt.Errorf("charts: the chart bundle does not start: run `make charts`, then build again: %w", err)
	}
	return attach(vm)
}

// attach finds the two functions of the bundle and hands it our text widths.
func attach(vm *goja.Runtime) (*Renderer, error) {
	api := vm.Get("tripwakeCharts")
	if api == nil {
		return nil, fmt.Errorf("charts: the chart bundle is not ours: run `make charts`, then build again")
	}
	object := api.ToObject(vm)
	measure, ok := goja.AssertFunction(object.Get("measureWith"))
	draw, ok2 := goja.AssertFunction(object.Get("draw"))
	if !ok || !ok2 {
		return nil, fmt.Errorf("charts: the chart bundle is of another version: run `make charts`, then build again")
	}
	if _, err := measure(goja.Undefined(), vm.ToValue(measureFont)); err != nil {
		return nil, fmt.Errorf("charts: cannot hand the text widths to the chart machine: %w", err)
	}
	return &Renderer{drawJS: draw, vm: vm, used: map[string]bool{}}, nil
}

var fontSize = regexp.MustCompile(`([\d.]+)px`)

// measureFont is the width of a text in a CSS font such as "bold 12px sans-serif".
func measureFont(text, font string) float64 {
	size := textSize
	if m := fontSize.FindStringSubmatch(font); m != nil {
		if v, err := strconv.ParseFloat(m[1], 64); err == nil {
			size = v
		}
	}
	return textWidth(text, size)
}

// finish has ECharts draw the sheet and makes its SVG ours.
func (r *Renderer) finish(s *sheet) (string, error) {
	if r.used[s.frame.ID] {
		return "", s.frame.wrong("the ID was used before: ids are unique in a document")
	}
	if r.live != nil {
		r.live[s.frame.ID] = s.live()
	}
	if r.later != nil {
		r.used[s.frame.ID] = true
		r.later.sheets <- s
		return holder(s.frame.ID), nil
	}
	raw, err := r.raw(s)
	if err != nil {
		return "", err
	}
	svg, err := rewrite(s, raw)
	if err != nil {
		return "", err
	}
	r.used[s.frame.ID] = true
	return svg, nil
}

// raw is the SVG as ECharts writes it.
func (r *Renderer) raw(s *sheet) (string, error) {
	option, err := s.option()
	if err != nil {
		return "", err
	}
	out, err := r.drawJS(goja.Undefined(), r.vm.ToValue(string(option)), r.vm.ToValue(s.width), r.vm.ToValue(s.height))
	if err != nil {
		return "", s.frame.wrong("ECharts could not draw it: %v", err)
	}
	return out.String(), nil
}
