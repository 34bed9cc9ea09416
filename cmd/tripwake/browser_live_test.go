//go:build browser

package main

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
)

// writing keeps every text that is drawn on a canvas, since a canvas has no elements to look at.
const writing = `window.written = []; const fill = CanvasRenderingContext2D.prototype.fillText;
CanvasRenderingContext2D.prototype.fillText = function (text, ...at) { window.written.push(text); return fill.call(this, text, ...at); }`

// pointer moves, presses or lets go at a place of the window.
func (p *tab) pointer(what input.DispatchMouseEventType, x, y float64, clicks int64) {
	p.t.Helper()
	params := input.DispatchMouseEventParams{Type: what, X: x, Y: y}
	if clicks > 0 {
		params.Button, params.Buttons, params.ClickCount = input.MouseButtonLeft, 1, clicks
	}
	order(p, input.DispatchMouseEvent, params)
}

// written waits until a text for which holds is true is drawn, and gives what was drawn since the last question.
func (p *tab) written(holds func([]string) bool) []string {
	p.t.Helper()
	var all []string
	for range 60 {
		all = append(all, ask[[]string](p, "window.written.splice(0)")...)
		if holds(all) {
			break
		}
		time.Sleep(50 * time.Millisecond)
	}
	return all
}

// frame is where a canvas lies in the window, in px, once it is scrolled into it.
type frame struct{ Left, Top, Width, Height float64 }

func (p *tab) show(selector string) frame {
	p.t.Helper()
	return ask[frame](p, `(async () => { const e = document.querySelector(`+quotedText(selector)+`).closest("svg"); e.parentElement.scrollIntoView({block: "center"});
		for (let i = 0; i < 60 && !e.parentElement.querySelector("canvas"); i++) await new Promise(r => setTimeout(r, 50));
		const r = e.parentElement.querySelector("canvas").getBoundingClientRect(); return {Left: r.left, Top: r.top, Width: r.width, Height: r.height}; })()`, chromedp.EvalAwaitPromise)
}

// An interactive report obeys its own policy, tells numbers to a pointer, shows a part of a chart and all of it again, keeps hostile
// names as letters, and prints and reads aloud as the report without script does.
func TestInteractiveInABrowser(t *testing.T) {
	needBundle(t)
	browser := startBrowser(t)
	p := hostileInvented(t)
	file := filepath.Join(p.dir, strings.TrimSpace(p.good("report", "committee", "--month", "2025-03", "--out", "live", "--interactive")))
	page := openTabAfter(t, browser, file, screens[0], writing)
	none(t, "browser, at first", page.said())
	chart := page.show("svg.chart-control title")
	first := page.written(func(all []string) bool { return slices.Contains(all, "2025-01") })
	if !slices.Contains(first, "2025-01") || !slices.Contains(first, "2025-03") {
		t.Errorf("the chart is drawn with %q", first)
	}
	tip := func(all []string) bool {
		return slices.ContainsFunc(all, func(s string) bool { return strings.HasPrefix(s, "2025-0") && strings.Contains(s, ": ") })
	}
	if !slices.ContainsFunc(sweep(page, chart, tip), func(s string) bool { return strings.Contains(s, ": ") }) {
		t.Error("no number is told to a pointer")
	}
	zoomInABrowser(page, chart)
	sites := page.show(`svg.chart-funnel title, svg.chart-intervals title`)
	hostile := func(all []string) bool {
		return slices.ContainsFunc(all, func(s string) bool { return strings.Contains(s, "<script>") || strings.Contains(s, "<img") })
	}
	if !hostile(sweep(page, sites, hostile)) {
		t.Error("no hostile name was written as letters: nothing is shown by its harmlessness")
	}
	if scripts := ask[int](page, `document.scripts.length`); scripts != 2 {
		t.Errorf("%d script elements, want the data and the program", scripts)
	}
	none(t, "text", slices.DeleteFunc(page.text(), func(s string) bool {
		return strings.HasPrefix(s, "element <script>/*!") || strings.HasPrefix(s, `element <script type="application/json" id="charts-data">`)
	}))
	for _, width := range screens {
		page.wide(width, 900)
		none(t, "screen", page.boxes(0))
	}
	none(t, "axe", page.axe())
	page.medium("print")
	page.wide(papers["A4"].width, papers["A4"].height)
	none(t, "paper", page.boxes(papers["A4"].height))
	if shown := ask[[]bool](page, `[...document.querySelectorAll("svg.still")].filter(e => e.checkVisibility()).map(e => e.getBoundingClientRect().width > 100).concat([...document.querySelectorAll(".live")].map(e => e.getBoundingClientRect().width === 0))`); len(shown) < 3 || slices.Contains(shown, false) {
		t.Errorf("paper does not get the pictures: %v", shown)
	}
	none(t, "browser", page.said())
}

// sweep leads the pointer over a chart until a text is drawn that holds.
func sweep(p *tab, at frame, holds func([]string) bool) []string {
	p.t.Helper()
	var all []string
	for y := at.Top + 20; y < at.Top+at.Height-10; y += 9 {
		for x := at.Left + 20; x < at.Left+at.Width-20; x += 12 {
			p.pointer(input.DispatchMouseEventTypeMouseMoved, x, y, 0)
			if all = append(all, ask[[]string](p, "new Promise(r => requestAnimationFrame(() => r(window.written.splice(0))))", chromedp.EvalAwaitPromise)...); holds(all) {
				return all
			}
		}
	}
	return all
}

// zoomInABrowser drags across the right part of a chart over time, and double-clicks.
func zoomInABrowser(p *tab, at frame) {
	p.t.Helper()
	y := at.Top + at.Height/2
	ask[[]string](p, "window.written.splice(0)")
	p.pointer(input.DispatchMouseEventTypeMousePressed, at.Left+at.Width*0.4, y, 1)
	for _, share := range []float64{0.5, 0.6, 0.7, 0.95} {
		p.pointer(input.DispatchMouseEventTypeMouseMoved, at.Left+at.Width*share, y, 1)
	}
	p.pointer(input.DispatchMouseEventTypeMouseReleased, at.Left+at.Width*0.95, y, 1)
	part := p.written(func(all []string) bool { return slices.Contains(all, "2025-03") })
	if !slices.Contains(part, "2025-03") || slices.Contains(part, "2025-01") {
		p.t.Errorf("of the right part of the chart %q is drawn", part)
	}
	for clicks := range int64(2) {
		p.pointer(input.DispatchMouseEventTypeMousePressed, at.Left+at.Width*0.5, y, clicks+1)
		p.pointer(input.DispatchMouseEventTypeMouseReleased, at.Left+at.Width*0.5, y, clicks+1)
	}
	if all := p.written(func(all []string) bool { return slices.Contains(all, "2025-01") }); !slices.Contains(all, "2025-01") {
		p.t.Errorf("after a double click %q is drawn", all)
	}
}
