//go:build browser

package main

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// besideBrowser holds what looks at a page from inside: our reading of its boxes and, after npm ci, axe-core.
var besideBrowser = filepath.Join(root, "testdata", "browser")

// tab is a page as a browser shows it, with everything that the browser had to say of it.
type tab struct {
	t    *testing.T
	ctx  context.Context
	url  string
	lock sync.Mutex
	told []string // errors, warnings, violations of the policy, requests
}

// startBrowser gives a browser with a profile of its own, which ends with the test.
func startBrowser(t *testing.T) context.Context {
	t.Helper()
	options := append(slices.Clone(chromedp.DefaultExecAllocatorOptions[:]), chromedp.ExecPath("chromium"), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-quic", true), chromedp.Flag("disable-component-update", true), chromedp.UserDataDir(t.TempDir()),
		chromedp.WSURLReadTimeout(time.Minute))
	allocated, endAll := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, end := chromedp.NewContext(allocated)
	t.Cleanup(func() { end(); endAll() })
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("chromium does not start: %v", err)
	}
	return ctx
}

// openTab shows a file in a tab of its own.
func openTab(t *testing.T, browser context.Context, file string, width int64) *tab {
	t.Helper()
	return openTabAfter(t, browser, file, width, "")
}

// openTabAfter runs a script of the test before anything of the page.
func openTabAfter(t *testing.T, browser context.Context, file string, width int64, first string) *tab {
	t.Helper()
	absolute, err := filepath.Abs(file)
	if err != nil {
		t.Fatal(err)
	}
	opened, end := chromedp.NewContext(browser)
	ctx, stop := context.WithTimeout(opened, 5*time.Minute)
	t.Cleanup(func() { stop(); end() })
	p := &tab{t: t, ctx: ctx, url: (&url.URL{Scheme: "file", Path: absolute}).String()}
	if err := errors.Join(chromedp.Do(opened), chromedp.Listen(ctx, p.listen)); err != nil {
		t.Fatal(err)
	}
	order(p, log.Enable, cdp.Empty{})
	order(p, network.Enable, network.EnableParams{})
	order(p, runtime.Enable, cdp.Empty{})
	order(p, page.Enable, page.EnableParams{})
	order(p, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: first})
	p.wide(width, 900)
	if _, err := chromedp.Run(ctx, chromedp.Navigate(p.url)); err != nil {
		t.Fatalf("%s: %v", file, err)
	}
	return p
}

// order sends the tab a command of the browser's protocol.
func order[P, R any](p *tab, command cdp.Command[P, R], params P) R {
	p.t.Helper()
	answer, err := chromedp.Call(p.ctx, command, params)
	if err != nil {
		p.t.Fatalf("%s: %v", filepath.Base(p.url), err)
	}
	return answer
}

// ask has the tab work out an expression.
func ask[T any](p *tab, expression string, options ...chromedp.EvaluateOption) T {
	p.t.Helper()
	answer, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression, options...))
	if err != nil {
		p.t.Fatalf("%s: %v", filepath.Base(p.url), err)
	}
	return answer
}

// wide gives the tab another size in px.
func (p *tab) wide(width, height int64) {
	p.t.Helper()
	order(p, emulation.SetDeviceMetricsOverride, emulation.SetDeviceMetricsOverrideParams{Width: width, Height: height, DeviceScaleFactor: 1})
}

// medium is "print", or "" for a screen.
func (p *tab) medium(name string) {
	p.t.Helper()
	order(p, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: name})
}

// listen keeps what the browser says of the page and every request but that for the page itself.
func (p *tab) listen(event any) {
	switch e := event.(type) {
	case *runtime.EventConsoleAPICalled:
		p.keep("console %s: %s", e.Type, firstOf(e.Args))
	case *runtime.EventExceptionThrown:
		p.keep("exception: %s", e.ExceptionDetails.Text)
	case *log.EventEntryAdded:
		p.keep("%s: %s", e.Entry.Source, e.Entry.Text)
	case *network.EventRequestWillBeSent:
		if e.Request.URL != p.url {
			p.keep("request: %s", e.Request.URL)
		}
	}
}

func firstOf(args []*runtime.RemoteObject) string {
	if len(args) == 0 {
		return ""
	}
	return string(args[0].Value)
}

func (p *tab) keep(format string, args ...any) {
	p.lock.Lock()
	defer p.lock.Unlock()
	p.told = append(p.told, fmt.Sprintf(format, args...))
}

// said is what the browser had to say so far.
func (p *tab) said() []string {
	p.lock.Lock()
	defer p.lock.Unlock()
	return slices.Clone(p.told)
}

// boxes looks at the page as it is laid out; sheet is the height of a sheet of paper in px, 0 on a screen.
func (p *tab) boxes(sheet int64) []string {
	p.t.Helper()
	return ask[[]string](p, fmt.Sprintf("%s(%d)", strings.TrimRight(readBeside(p.t, "layout.js"), "\n;"), sheet))
}

// axe holds the page to the rules of axe-core and gives what is serious or critical.
func (p *tab) axe() []string {
	p.t.Helper()
	const run = `axe.run(document, {resultTypes: ["violations"], preload: false}).then(r => JSON.stringify(r.violations
		.filter(v => v.impact === "serious" || v.impact === "critical")
		.flatMap(v => v.nodes.map(n => v.id + ": " + n.target.join(" ") + ": " + n.html.slice(0, 120)))))`
	ask[chromedp.Void](p, readBeside(p.t, filepath.Join("node_modules", "axe-core", "axe.min.js")))
	text := ask[string](p, run, chromedp.EvalAwaitPromise)
	var found []string
	if err := json.Unmarshal([]byte(text), &found); err != nil {
		p.t.Fatal(err)
	}
	return found
}

// elements are what no text of a record may become, and what a report does not have: script, what fetches, what asks.
const elements = "script, img, iframe, object, embed, form, input, video, audio, link, base, body b, body i, svg image, svg foreignObject, [onload], [onerror], [onclick]"

// text looks whether a text has become markup or has been run; a flag in the window would say so.
func (p *tab) text() []string {
	p.t.Helper()
	return ask[[]string](p, `[...document.querySelectorAll(`+quotedText(elements)+`)].map(e => "element " + e.outerHTML.slice(0, 120))
		.concat(window.owned === undefined ? [] : ["script of a text was run"])`)
}

func quotedText(text string) string {
	quoted, _ := json.Marshal(text) // a string always can be
	return string(quoted)
}

// readBeside reads what is put into a page.
func readBeside(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(besideBrowser, name))
	if err != nil {
		t.Fatalf("%v: run make browser", err)
	}
	return string(text)
}

// none fails for what was found, in short.
func none(t *testing.T, what string, found []string) {
	t.Helper()
	const most = 12
	for i, line := range found {
		if i == most {
			t.Errorf("%s: and %d more", what, len(found)-most)
			return
		}
		t.Errorf("%s: %s", what, line)
	}
}
