package charts

import (
	"encoding/xml"
	"io"
	"strconv"
	"strings"
	"testing"
)

func sampleFlow() Flow {
	return Flow{Frame: Frame{ID: "flow", Title: `<b>"flow"`, Desc: "who goes on", Width: 360},
		Steps: []FlowBox{
			{"Rows read", "1089", []string{"Repeated rows: ∗", "Rows that a later one corrects, in words that are too long for one line: 12"}},
			{"<script>alert(1)</script> & others", "∗", []string{"Excluded, " + strings.Repeat("long", 60) + ": 3"}},
			{"Analysed", "908", nil},
		},
		Groups: []FlowBox{{"ground", "621", nil}, {"rotor", "287", nil}, {"fixed wing", "∗", nil}}}
}

// The drawing is well-formed, has a box for every step, group and whatever is set aside, and every box lies inside.
func TestFlowIsWellFormedAndInside(t *testing.T) {
	r := &Renderer{used: map[string]bool{}}
	svg, err := r.Flow(sampleFlow())
	if err != nil {
		t.Fatal(err)
	}
	boxes, lowest, height := 0, 0.0, 0.0
	dec := xml.NewDecoder(strings.NewReader(svg))
	for {
		token, err := dec.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatalf("not well-formed: %v", err)
		}
		start, ok := token.(xml.StartElement)
		if !ok || start.Name.Local != "rect" {
			continue
		}
		at := map[string]float64{}
		for _, a := range start.Attr {
			at[a.Name.Local], _ = strconv.ParseFloat(a.Value, 64)
		}
		if at["x"]+at["width"] > 360 || at["x"] < 0 {
			t.Errorf("a box from %v to %v is outside", at["x"], at["x"]+at["width"])
		}
		if boxes++; boxes == 1 {
			height = at["height"]
		}
		lowest = max(lowest, at["y"]+at["height"])
	}
	if boxes != 1+3+2+3 || lowest > height {
		t.Errorf("%d boxes down to %v of %v, want 9 inside", boxes, lowest, height)
	}
	if strings.Contains(svg, "<script") || strings.Contains(svg, "<b>") || strings.Contains(svg, "NaN") || !strings.Contains(svg, `role="img"`) {
		t.Errorf("names are not text: %s", svg)
	}
}

func TestFlowRefuses(t *testing.T) {
	r := &Renderer{used: map[string]bool{}}
	for name, spoil := range map[string]func(*Flow){
		"no steps":    func(f *Flow) { f.Steps = nil },
		"many groups": func(f *Flow) { f.Groups = make([]FlowBox, 6) },
		"no words":    func(f *Flow) { f.Desc = "" },
	} {
		f := sampleFlow()
		spoil(&f)
		if _, err := r.Flow(f); err == nil {
			t.Errorf("%s: expected an error", name)
		}
	}
	if _, err := r.Flow(sampleFlow()); err != nil {
		t.Error(err)
	}
	if _, err := r.Flow(sampleFlow()); err == nil {
		t.Error("an ID used twice: expected an error")
	}
}

func TestSurvivalRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*Survival){
		"no groups":          func(c *Survival) { c.Groups = nil },
		"backwards":          func(c *Survival) { c.Groups[0].Steps[1].Time = 10 },
		"after the end":      func(c *Survival) { c.Groups[0].Steps[2].Time = 500 },
		"outside":            func(c *Survival) { c.Groups[0].Steps[0].Low = 97 },
		"a value that lacks": func(c *Survival) { c.Groups[0].Steps[0].Value = Missing() },
	} {
		c := survivalSample(0)
		spoil(&c)
		if _, err := c.sheet(); err == nil {
			t.Errorf("%s: expected an error", name)
		}
	}
}
