package charts

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var widths = []int{0, 300, 340, 480, 1000}

// elements reads an SVG as XML and calls back for each element; it fails the test when the SVG is not well-formed.
func elements(t *testing.T, svg string, each func(xml.StartElement), text func(string)) {
	t.Helper()
	in := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := in.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		switch x := token.(type) {
		case xml.StartElement:
			if each != nil {
				each(x)
			}
		case xml.CharData:
			if text != nil {
				text(string(x))
			}
		}
	}
}

func textOf(t *testing.T, svg string) string {
	t.Helper()
	var b strings.Builder
	elements(t, svg, nil, func(s string) { b.WriteString(s + "\n") })
	return b.String()
}

// The elements of SVG 2 that draw and say something; no script, style, image, link, animation, foreign content.
var harmless = words("svg title desc g path text rect defs clipPath line circle polyline polygon")

func TestOnlyDrawingLeavesThePackage(t *testing.T) {
	for _, w := range widths {
		r := newRenderer(t)
		for _, s := range samples(w) {
			svg, err := s.draw(r)
			if err != nil {
				t.Fatalf("%s: %v", s.name, err)
			}
			elements(t, svg, func(e xml.StartElement) {
				if !harmless[e.Name.Local] || e.Name.Space != "http://www.w3.org/2000/svg" {
					t.Errorf("%s: element %v", s.name, e.Name)
				}
				for _, a := range e.Attr {
					checkAttribute(t, s.name, e.Name.Local, a)
				}
			}, nil)
			for _, bad := range []string{"NaN", "Infinity", "undefined", "[object", "http:", "https:", "url(h", "javascript", "zr0", "ecmeta"} {
				if strings.Contains(strings.Replace(svg, "http://www.w3.org/2000/svg", "", 1), bad) {
					t.Errorf("%s at %d: holds %q", s.name, w, bad)
				}
			}
		}
	}
}

var colour = regexp.MustCompile(`^(none|#[0-9a-f]{6})$`)

func checkAttribute(t *testing.T, chart, element string, a xml.Attr) {
	t.Helper()
	name := a.Name.Local
	switch {
	case a.Name.Space != "" || strings.HasPrefix(name, "on") || name == "href":
		t.Errorf("%s: attribute %v on %s", chart, a.Name, element)
	case (name == "class" || name == "style" || name == "width") && element == "svg":
		if name == "width" {
			t.Errorf("%s: the svg has a fixed width", chart)
		}
	case name == "class" || name == "style":
		t.Errorf("%s: %s=%q on %s", chart, name, a.Value, element)
	case name == "id" && !strings.HasPrefix(a.Value, chart+"-"):
		t.Errorf("%s: id %q does not begin with the chart's", chart, a.Value)
	case name == "fill" || name == "stroke":
		known := a.Value == none || slices.Contains(allColours, a.Value) || (a.Value == "#000" && element == "path") // of a clip path
		if !known || (!colour.MatchString(a.Value) && a.Value != "#000") {
			t.Errorf("%s: %s=%q is not of the palette", chart, name, a.Value)
		}
	}
}

func TestRootSpeaksAndScales(t *testing.T) {
	svg := drawn(t, samples(0)[0])
	want := `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 680 270" role="img" aria-labelledby="control-title control-desc" ` +
		`class="chart chart-control" style="max-width:680px" `
	if !strings.HasPrefix(svg, want) {
		t.Errorf("begins %s", svg[:250])
	}
	for _, part := range []string{`<title id="control-title">Title of control</title>`, `<desc id="control-desc">What control shows</desc>`} {
		if !strings.Contains(svg, part) {
			t.Errorf("lacks %s", part)
		}
	}
}

func TestSameInputSameBytes(t *testing.T) {
	first := map[string]string{}
	for _, s := range samples(0) {
		first[s.name] = drawn(t, s)
	}
	r := newRenderer(t) // one machine for all, in another order: its counters run on
	all := samples(0)
	slices.Reverse(all)
	for _, s := range all {
		again, err := s.draw(r)
		if err != nil {
			t.Fatal(err)
		}
		if again != first[s.name] {
			t.Errorf("%s differs when it is drawn by another machine, after other charts", s.name)
		}
	}
}

// drawnMark is one mark of a series in what ECharts writes.
var drawnMark = regexp.MustCompile(`<(?:path|rect|circle)[^>]*ecmeta_data_index="\d+"`)

func rawOf(t *testing.T, s sample) string {
	t.Helper()
	sh, err := s.sheet()
	if err != nil {
		t.Fatal(err)
	}
	raw, err := newRenderer(t).raw(sh)
	if err != nil {
		t.Fatal(err)
	}
	return raw
}

func TestAMarkForEveryRow(t *testing.T) {
	for _, s := range samples(0) {
		if s.name == "distribution" {
			b, err := distributionSample(0).bins()
			if err != nil {
				t.Fatal(err)
			}
			s.marks = len(present(b.filled()))
		}
		if got := len(drawnMark.FindAllString(rawOf(t, s), -1)); got != s.marks {
			t.Errorf("%s: %d marks for %d rows", s.name, got, s.marks)
		}
	}
}

// ECharts draws a large series in portions, of which a still picture shows the first: see option.
func TestLargeSeriesAreDrawnWhole(t *testing.T) {
	for _, n := range []int{401, MostDots} {
		svg, err := newRenderer(t).Agreement(scattered(n))
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Count(svg, `r="2.45"/>`); got != n {
			t.Errorf("%d marks for %d points", got, n)
		}
	}
}

func scattered(n int) Agreement {
	a := agreementSample(0)
	a.Groups = []PointGroup{{Name: "all"}}
	for i := range n {
		a.Groups[0].Points = append(a.Groups[0].Points, Point{float64(i), float64(i * i % 97)})
	}
	return a
}

// More points than can be told apart are counted into squares: each is in one of them, and the key says what the marks mean.
func TestCrowdIsCounted(t *testing.T) {
	a := scattered(20000)
	s, err := a.sheet()
	if err != nil {
		t.Fatal(err)
	}
	svg, err := newRenderer(t).Agreement(a)
	if err != nil {
		t.Fatal(err)
	}
	alone, few := strings.Count(svg, `r="1.3"/>`), strings.Count(svg, `r="1.8"/>`)
	many := len(regexp.MustCompile(`<path d="M[-\d. ]+l[-\d. ]+l[-\d. ]+l[-\d. ]+Z" transform="matrix\(2\.3`).FindAllString(svg, -1))
	if marks := alone + few + many; marks == 0 || marks > 8000 || alone+2*few+10*many > 20000 || few+many == 0 {
		t.Errorf("%d, %d and %d marks stand for 20000 points", alone, few, many)
	}
	for _, step := range crowdSteps {
		if !slices.ContainsFunc(s.texts, func(p placed) bool { return p.text == step.name }) {
			t.Errorf("the key does not say %q", step.name)
		}
	}
}

func TestOptionHasNoTemplateAndNoFunction(t *testing.T) {
	for _, s := range samples(0) {
		sh, err := s.sheet()
		if err != nil {
			t.Fatal(err)
		}
		text, err := sh.option()
		if err != nil {
			t.Fatal(err)
		}
		var option map[string]any
		if err := json.Unmarshal(text, &option); err != nil {
			t.Fatal(err)
		}
		if v, ok := option["progressive"].(float64); !ok || v != 0 {
			t.Errorf("%s: progressive is %v", s.name, option["progressive"])
		}
		for _, bad := range []string{"formatter", "function", "__f__", "tooltip", "renderItem", "<"} {
			if strings.Contains(string(text), bad) {
				t.Errorf("%s: the option holds %q", s.name, bad)
			}
		}
	}
}

// marksAt finds where ECharts put symbols of a size: the last two numbers of their matrices.
func marksAt(raw string, half float64) (out [][2]float64) {
	pattern := regexp.MustCompile(fmt.Sprintf(`matrix\(%g,0,0,%g,([-\d.]+),([-\d.]+)\)`, half, half))
	for _, m := range pattern.FindAllStringSubmatch(raw, -1) {
		var x, y float64
		fmt.Sscan(m[1], &x)
		fmt.Sscan(m[2], &y)
		out = append(out, [2]float64{x, y})
	}
	return out
}

// The words are placed by our own scales: they must agree with those of ECharts, linear, logarithmic and in rows.
func TestOurScalesAreThoseOfECharts(t *testing.T) {
	check := func(name string, sh *sheet, err error, half float64, points []xy) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		raw, err := newRenderer(t).raw(sh)
		if err != nil {
			t.Fatal(err)
		}
		got := marksAt(raw, half)
		if len(got) != len(points) {
			t.Fatalf("%s: %d marks, want %d", name, len(got), len(points))
		}
		for i, p := range points {
			if math.Abs(got[i][0]-sh.px(p.X)) > 0.01 || math.Abs(got[i][1]-sh.py(p.Y)) > 0.01 {
				t.Errorf("%s: mark %d at %v, ours %v %v", name, i, got[i], sh.px(p.X), sh.py(p.Y))
			}
		}
	}
	run := runSample(0)
	sh, err := run.sheet()
	check("run", sh, err, 3, process{y: run.Y}.series())
	rare := rareSample(0)
	sh, err = rare.sheet()
	check("rare, logarithmic", sh, err, 3, process{y: rare.Y}.series())
	iv := intervalsSample(0)
	iv.Axis.Log, iv.Axis.Floor = true, nil
	iv.Groups[0].Rows = iv.Groups[0].Rows[:2]
	sh, err = iv.sheet()
	check("intervals", sh, err, 4.5, []xy{{4.3, 1}, {12.5, 2}, {19.2, 4}, {9.1, 5}})
}

func TestBarsEndWhereTheirNumbersStand(t *testing.T) {
	b := Bars{Frame: frame("bars", 0), Rows: []Bar{{"a", 10, 0, ""}, {"b", 4, 0, ""}}}
	sh, err := b.sheet()
	if err != nil {
		t.Fatal(err)
	}
	raw, err := newRenderer(t).raw(sh)
	if err != nil {
		t.Fatal(err)
	}
	// A bar's path is M left bottom l width 0 l 0 -height l -width 0 Z; the border's half px is taken off each side.
	bar := regexp.MustCompile(`<path d="M([\d.]+) ([\d.]+)l([\d.]+) 0l0 (-?[\d.]+)[^>]*ecmeta_data_index`)
	found := bar.FindAllStringSubmatch(raw, -1)
	if len(found) != 2 {
		t.Fatalf("%d bars in %s", len(found), raw)
	}
	for i, m := range found {
		var left, bottom, width, height float64
		fmt.Sscan(strings.Join(m[1:], " "), &left, &bottom, &width, &height)
		if end := sh.px(b.Rows[i].First); math.Abs(left+width-end) > 1.01 {
			t.Errorf("bar %d ends at %v, its number stands by %v", i, left+width, end)
		}
		if mid := sh.py(float64(i)); math.Abs(bottom+height/2-mid) > 1.01 {
			t.Errorf("bar %d lies about %v, its label at %v", i, bottom+height/2, mid)
		}
	}
}

func TestMissingValuesMakeGaps(t *testing.T) {
	pieces := func(y []float64) int {
		c := runSample(0)
		c.Y, c.Centre, c.Target, c.Focus = y, nil, nil, ""
		svg, err := newRenderer(t).Control(c)
		if err != nil {
			t.Fatal(err)
		}
		line := regexp.MustCompile(`d="(M[^"]*)" fill="none" stroke="` + blue).FindStringSubmatch(svg)
		if line == nil {
			t.Fatalf("no data line in %s", svg)
		}
		return strings.Count(line[1], "M")
	}
	y := wave(18, 30, 5)
	if got := pieces(y); got != 1 {
		t.Errorf("without gaps: %d pieces", got)
	}
	y[5], y[11], y[12] = Missing(), Missing(), Missing()
	if got := pieces(y); got != 3 {
		t.Errorf("two gaps: %d pieces, want 3", got)
	}
}

// Contrast as WCAG 2.2 defines it (relative luminance of sRGB), at least 4.5 for text.
func TestTextContrast(t *testing.T) {
	pairs := [][2]string{{ink, white}, {soft, white}, {ink, shade}, {soft, shade}, {white, ink}, {white, blue}, {ink, paleSky}}
	for i := range countFills {
		pairs = append(pairs, [2]string{countInks[i], countFills[i]})
	}
	for _, p := range pairs {
		if c := contrast(p[0], p[1]); c < 4.5 {
			t.Errorf("%s on %s: contrast %.2f", p[0], p[1], c)
		}
	}
	if c := contrast("#000000", white); math.Abs(c-21) > 1e-9 {
		t.Errorf("black on white: %v, want 21 by definition", c)
	}
}

// Neighbouring parts of a column differ in lightness, so that a grey print tells them apart.
func TestPartsDifferOnGreyPrints(t *testing.T) {
	for i := 1; i < len(partColours); i++ {
		if c := contrast(partColours[i-1], partColours[i]); c < 1.5 {
			t.Errorf("%s beside %s: contrast %.2f", partColours[i-1], partColours[i], c)
		}
	}
}

func contrast(a, b string) float64 {
	la, lb := luminance(a), luminance(b)
	return (math.Max(la, lb) + 0.05) / (math.Min(la, lb) + 0.05)
}

func luminance(hex string) float64 {
	var rgb [3]int
	fmt.Sscanf(hex, "#%02x%02x%02x", &rgb[0], &rgb[1], &rgb[2])
	sum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		c := float64(rgb[i]) / 255
		if c <= 0.04045 {
			sum += weight * c / 12.92
		} else {
			sum += weight * math.Pow((c+0.055)/1.055, 2.4)
		}
	}
	return sum
}

func TestMissingBundleNamesTheCommand(t *testing.T) {
	_, err := compile(func(string) ([]byte, error) { return nil, fs.ErrNotExist })
	if err == nil || !strings.Contains(err.Error(), "make charts") {
		t.Errorf("no bundle: %v", err)
	}
	_, err = compile(func(string) ([]byte, error) { return []byte("var ("), nil })
	if err == nil || !strings.Contains(err.Error(), "make charts") {
		t.Errorf("damaged bundle: %v", err)
	}
}

func TestBundleKeepsTheLicences(t *testing.T) {
	source, err := runtimeFiles.ReadFile(bundlePath)
	if err != nil {
		t.Fatalf("no bundle: run `make charts`: %v", err)
	}
	for _, want := range []string{"echarts 5.6.0", "Apache License", "zrender 5.6.1", "Baidu Inc.", "tslib 2.3.0", "Microsoft Corporation"} {
		if !strings.Contains(string(source[:20000]), want) {
			t.Errorf("the bundle's head lacks %q", want)
		}
	}
}

func TestLockFileNamesNoHost(t *testing.T) {
	lock, err := os.ReadFile("runtime/package-lock.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"resolved", "http:", "https:"} {
		if strings.Contains(string(lock), bad) {
			t.Errorf("package-lock.json holds %q", bad)
		}
	}
	if !strings.Contains(string(lock), `"version": "5.6.0"`) {
		t.Error("package-lock.json does not fix ECharts 5.6.0")
	}
}

func BenchmarkControl(b *testing.B) {
	r, err := NewRenderer()
	if err != nil {
		b.Fatal(err)
	}
	c := controlSample(0)
	for i := 0; b.Loop(); i++ {
		c.ID = fmt.Sprintf("c%d", i)
		if _, err := r.Control(c); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkNewRenderer(b *testing.B) {
	for b.Loop() {
		if _, err := NewRenderer(); err != nil {
			b.Fatal(err)
		}
	}
}
