package charts

import (
	"encoding/xml"
	"io"
	"math"
	"strings"
	"testing"
)

func sampleTimeline() Timeline {
	return Timeline{Frame: Frame{ID: "case-a", Title: `<b>"case"`, Desc: "what happened"}, From: -30, To: 270, XTitle: "min",
		Lanes: []TimeLane{
			{Name: "Leg <script>", Spans: []TimeSpan{{From: -30, To: 60, Label: "before & after"}, {From: 60, To: 400, Label: "cut", Strong: true}, {From: 300, To: 310}}},
			{Name: "spo2", Unit: "%", Values: []TimeValue{{0, 2, 88, 95}, {2, 4, 90, 90}, {60, 62, 91, 93}}},
		}}
}

func TestTimelineIsWellFormedAndInside(t *testing.T) {
	r := &Renderer{used: map[string]bool{}}
	svg, err := r.Timeline(sampleTimeline())
	if err != nil {
		t.Fatal(err)
	}
	dec := xml.NewDecoder(strings.NewReader(svg))
	rects := 0
	for {
		token, err := dec.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		start, ok := token.(xml.StartElement)
		if !ok {
			continue
		}
		if !allowedElements[start.Name.Local] && start.Name.Local != "title" && start.Name.Local != "desc" {
			t.Errorf("draws <%s>", start.Name.Local)
		}
		if start.Name.Local == "rect" {
			rects++
		}
	}
	// ground, two lanes, two spans: the one wholly beyond the axis is not drawn.
	if rects != 5 || strings.Contains(svg, "<script") || strings.Contains(svg, "NaN") {
		t.Errorf("got %d rectangles, want 5, in %s", rects, svg)
	}
	// The gap of 56 min breaks the line, the neighbours are joined.
	if !strings.Contains(svg, "L") || strings.Count(svg[strings.LastIndex(svg, `stroke-width="2"`):], "M") != 2 {
		t.Errorf("want two strokes of the trace in %s", svg)
	}
	if _, err := r.Timeline(sampleTimeline()); err == nil {
		t.Error("the same ID was taken twice")
	}
}

func TestTimelineRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*Timeline){
		"no lanes":   func(t *Timeline) { t.Lanes = nil },
		"no time":    func(t *Timeline) { t.To = t.From },
		"endless":    func(t *Timeline) { t.To = math.Inf(1) },
		"no title":   func(t *Timeline) { t.Title = "" },
		"empty lane": func(t *Timeline) { t.Lanes[0].Spans = nil },
		"both":       func(t *Timeline) { t.Lanes[0].Values = t.Lanes[1].Values },
		"NaN span":   func(t *Timeline) { t.Lanes[0].Spans[0].To = math.NaN() },
		"NaN value":  func(t *Timeline) { t.Lanes[1].Values[0].Low = math.NaN() },
		"backwards":  func(t *Timeline) { t.Lanes[1].Values[0].High = 1 },
	} {
		c := sampleTimeline()
		spoil(&c)
		if _, err := (&Renderer{used: map[string]bool{}}).Timeline(c); err == nil || !strings.HasPrefix(err.Error(), "charts: ") {
			t.Errorf("%s: got %v", name, err)
		}
	}
}
