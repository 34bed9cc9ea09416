//go:build browser

package main

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
)

// soundPage is a page without a fault, into which faults are planted.
const soundPage = `<!doctype html><html lang="en"><head><meta charset="utf-8"><meta http-equiv="Content-Security-Policy" content="%s"><title>Page</title>
<style>figure { margin: 0 } figure, tr { break-inside: avoid } td { padding: 4px } svg { width: 300px }</style></head><body><main><h1>Page</h1><figure>
<svg viewBox="0 0 300 100" role="img" aria-label="a chart"><text x="10" y="30" font-size="12">first</text><text x="10" y="60" font-size="12">second</text>%s</svg></figure>
<table><tr><td>cell</td></tr></table>%s</main></body></html>`

// planted are faults, each with the words by which it must be told; policy, markup in the chart, markup in the page.
var planted = map[string]struct{ words, policy, chart, page string }{
	"error on the console":    {words: "console error", page: `<script>console.error("planted")</script>`},
	"exception":               {words: "exception", page: `<script>throw new Error("planted")</script>`},
	"request":                 {words: "request: http://127.0.0.1:9/", page: `<img alt="none" src="http://127.0.0.1:9/planted.png">`},
	"request of a neighbour":  {words: "request: file:", page: `<img alt="none" src="planted.png">`},
	"against the policy":      {words: "security: ", policy: "default-src 'none'; style-src 'unsafe-inline'", page: `<script>window.owned=1</script>`},
	"text that became markup": {words: "element <img", page: `<img alt="none" src="data:,">`},
	"text that was run":       {words: "was run", page: `<script>window.owned=1</script>`},
	"wide page":               {words: "px wide on 320", page: `<div style="width:900px">wide</div>`},
	"covered text":            {words: "covered text", page: `<p>below</p><p style="margin-top:-2.2em">above</p>`},
	"covered text in a chart": {words: "covered text in a chart", chart: `<text x="12" y="32" font-size="12">third</text>`},
	"text outside its chart":  {words: "leaves its chart", chart: `<text x="280" y="80" font-size="12">far outside</text>`},
	"text outside its cell":   {words: "leaves its cell", page: `<table style="table-layout:fixed;width:90px"><tr><td>Unbrokenwordoverflows</td></tr></table>`},
	"clipped text":            {words: "clipped text", page: `<div style="width:30px;overflow:hidden;white-space:nowrap">clipped words</div>`},
	"picture too high":        {words: "higher than a page", page: `<figure><div style="height:1200px">high</div></figure>`},
	"row that is split":       {words: "may be split", page: `<table><tr style="break-inside:auto"><td>split</td></tr></table>`},
	"picture without words":   {words: "svg-img-alt", page: `<svg role="img" viewBox="0 0 10 10"><rect width="10" height="10"/></svg>`},
	"pale words":              {words: "color-contrast", page: `<p style="color:#ccc">pale</p>`},
}

// Every fault that the browser tests look for is found when it is planted, and a sound page has none.
func TestPlantedFaultsAreFound(t *testing.T) {
	browser := startBrowser(t)
	p := newPlace(t)
	look := func(name, policy, chart, more string) string {
		p.write("page.html", fmt.Sprintf(soundPage, policy, chart, more))
		page := openTab(t, browser, filepath.Join(p.dir, "page.html"), 320)
		found := append(page.boxes(0), page.text()...)
		page.medium("print")
		page.wide(papers["A4"].width, papers["A4"].height)
		found = append(append(found, page.boxes(papers["A4"].height)...), page.axe()...)
		return strings.Join(append(found, page.said()...), "\n")
	}
	if found := look("sound", "", "", ""); found != "" {
		t.Errorf("a sound page: %s", found)
	}
	for name, fault := range planted {
		if found := look(name, fault.policy, fault.chart, fault.page); !strings.Contains(found, fault.words) {
			t.Errorf("%s: found %q, want %q", name, found, fault.words)
		}
	}
}
