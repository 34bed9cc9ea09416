package charts

import (
	"encoding/xml"
	"slices"
	"strings"
	"testing"
)

var hostileWords = []string{
	`</script><script>alert(1)</script>`, `<img src=x onerror=alert(1)>`, `]]><svg onload=x>`, `" onload="x`, `' fill='red`,
	`{b}`, `{value}`, `{a0}{c0}`, `$& $1 $'`, `{name|rich}`, `&lt;b&gt;`, `&#x3c;`, `a\nb`, `%s%d`, `javascript:alert(1)`, `url(http://x)`,
}

// hostileCharts is one chart of each kind with a word in every place that takes words.
func hostileCharts(w string) map[string]func(r *Renderer) (string, error) {
	f := func(id string) Frame { return Frame{ID: id, Title: w, Desc: w, Width: 1400} }
	axis := Axis{Title: w, Unit: w, Floor: At(0)}
	x := []string{"a", w, "c"}
	y := []float64{3, 4, 5}
	return map[string]func(r *Renderer) (string, error){
		"control": func(r *Renderer) (string, error) {
			return r.Control(Control{Frame: f("control"), Axis: axis, X: x, Y: y, Centre: y, CentreName: w, Target: At(3), TargetName: w,
				Signals: []Signal{{1, Beyond, w}}, Phases: []Phase{{0, w}}, Focus: w})
		},
		"rare": func(r *Renderer) (string, error) {
			return r.RareEvents(RareEvents{Frame: f("rare"), Axis: axis, X: x, XTitle: w, Y: y})
		},
		"bars": func(r *Renderer) (string, error) {
			return r.Bars(Bars{Frame: f("bars"), Axis: axis, Parts: [2]string{w, w}, Rows: []Bar{{w, 3, 4, w}}})
		},
		"intervals": func(r *Renderer) (string, error) {
			return r.Intervals(Intervals{Frame: f("intervals"), Axis: axis, Reference: At(4), ReferenceName: w,
				Groups: []IntervalGroup{{w, []Interval{{w, 3, 2, 4, 9, w}}}}})
		},
		"matrix": func(r *Renderer) (string, error) {
			return r.Matrix(Matrix{Frame: f("matrix"), RowTitle: w, ColumnTitle: w, Rows: []string{w}, Columns: []string{w}, Counts: [][]int{{3}}})
		},
		"agreement": func(r *Renderer) (string, error) {
			points := []Point{{1, 2}, {2, 3}}
			return r.Agreement(Agreement{Frame: f("agreement"), X: axis, Y: axis, Levels: []Level{{w, 2, false}},
				Groups: []PointGroup{{w, points}, {"b", points}}})
		},
		"stacked": func(r *Renderer) (string, error) {
			return r.Stacked(Stacked{Frame: f("stacked"), Axis: axis, X: x, Parts: []Part{{w, y}}, Focus: w})
		},
		"spark": func(r *Renderer) (string, error) { return r.Spark(Spark{Frame: f("spark"), Y: y}) },
		"funnel": func(r *Renderer) (string, error) {
			return r.Funnel(Funnel{Frame: f("funnel"), X: axis, Y: axis, Centre: 3, CentreName: w, Points: []FunnelPoint{{w, 3, 4, true}},
				Limits: []FunnelLimit{{w, []float64{1, 5}, []float64{1, 2}, []float64{5, 4}}}})
		},
		"survival": func(r *Renderer) (string, error) {
			return r.Survival(Survival{Frame: f("survival"), X: axis, Y: axis, Groups: []SurvivalGroup{{w, 5, 9, []SurvivalStep{{3, 4, 3, 5}}}}})
		},
		"flow": func(r *Renderer) (string, error) {
			narrow := f("flow")
			narrow.Width = 360 // in wide boxes words are broken into lines, not cut
			return r.Flow(Flow{Frame: narrow, Steps: []FlowBox{{w, w, []string{w}}, {"b", "1", nil}}, Groups: []FlowBox{{w, w, nil}, {"c", "1", nil}, {"d", "1", nil}}})
		},
		"distribution": func(r *Renderer) (string, error) {
			return r.Distribution(Distribution{Frame: f("distribution"), Axis: axis, CountName: w, Values: y, Target: At(4), TargetName: w})
		},
	}
}

// howOften is how many times at least the word (or its head, where it is cut) must stand in a chart, title and description included.
var howOften = map[string]int{"control": 8, "rare": 5, "bars": 6, "intervals": 7, "matrix": 5, "agreement": 6, "stacked": 5, "spark": 2, "funnel": 7, "distribution": 5, "survival": 5, "flow": 4}

func TestHostileWordsStayWords(t *testing.T) {
	for _, w := range hostileWords {
		r := newRenderer(t)
		for name, draw := range hostileCharts(w) {
			svg, err := draw(r)
			if err != nil {
				t.Errorf("%s with %q: %v", name, w, err)
				continue
			}
			head := []rune(clean(w))
			head = head[:min(len(head), 12)]
			if got := strings.Count(textOf(t, svg), string(head)); got < howOften[name] {
				t.Errorf("%s: %q stands there %d times, want %d: %s", name, string(head), got, howOften[name], textOf(t, svg))
			}
			elements(t, svg, func(e xml.StartElement) {
				if !harmless[e.Name.Local] {
					t.Errorf("%s with %q: element %v", name, w, e.Name)
				}
				for _, a := range e.Attr {
					checkAttribute(t, name, e.Name.Local, a)
				}
			}, nil)
		}
	}
}

func TestLongWordsAreCut(t *testing.T) {
	long := strings.Repeat("verylong ", 33) + "end" // 300 characters
	r := newRenderer(t)
	for name, draw := range hostileCharts(long) {
		svg, err := draw(r)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := strings.Count(textOf(t, svg), "end"); name != "spark" && got != 2 {
			t.Errorf("%s: the whole word stands there %d times, want 2 (title and description)", name, got)
		}
		if name != "spark" && !strings.Contains(svg, ellipsis) {
			t.Errorf("%s: nothing is cut", name)
		}
	}
}

func TestCleanDropsWhatBreaksTheLine(t *testing.T) {
	for in, want := range map[string]string{
		"a\nb\tc": "a b c", "a\u202egnp.exe": "agnp.exe", "\u2067x\u2069": "x", "x\x00\x1by": "xy", "a\xffb": "a\ufffdb",
		"  two  blanks ": "two blanks", "שלום": "שלום", "\u200fRTL": "RTL", "10\u00a0%": "10\u00a0%", "🚑": "🚑",
	} {
		if got := clean(in); got != want {
			t.Errorf("clean(%q) = %q, want %q", in, got, want)
		}
	}
}

// What a changed bundle might write must not get through either.
func TestRewriteRefusesForeignElements(t *testing.T) {
	sh := newSheet("control", frame("x", 0), 100)
	for _, raw := range []string{`<svg><script>x</script></svg>`, `<svg><foreignObject/></svg>`, `<svg><image href="x"/></svg>`, `<svg><a><path/></a></svg>`, `<svg><x:path/></svg>`, `<svg><path`} {
		if out, err := rewrite(sh, raw); err == nil {
			t.Errorf("%s passed as %s", raw, out)
		}
	}
	out, err := rewrite(sh, `<svg onload="x"><style><![CDATA[*{fill:red}]]></style><path d="M0 0" onclick="x" xlink:href="y" href="y" style="fill:url(z)" class="c" clip-path="url(http://x)"/></svg>`)
	if err != nil {
		t.Fatal(err)
	}
	if !strings.HasSuffix(out, `<path d="M0 0"/></svg>`) || strings.Contains(out, "onload") || strings.Contains(out, "red") {
		t.Errorf("attributes got through: %s", out)
	}
}

func TestHostileKindsAreAll(t *testing.T) {
	var kinds []string
	for name := range hostileCharts("x") {
		kinds = append(kinds, name)
	}
	for _, s := range samples(0) {
		if s.name != "run" && s.name != "joined" && !slices.Contains(kinds, s.name) {
			t.Errorf("%s is not tested with hostile words", s.name)
		}
	}
}
