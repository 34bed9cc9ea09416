package charts

import (
	"encoding/json"
	"strings"
	"testing"
)

// What a browser gets of a chart is the picture's option with what a pointer is told; no code, no place of a template in a name, and
// the picture itself is drawn as ever.
func TestLiveChart(t *testing.T) {
	c := Control{Frame: Frame{ID: "c", Title: "T", Desc: "D"}, X: []string{"2026-01", "{b}<img>", "2026-03"}, Y: []float64{1, 2, Missing()},
		Centre: []float64{1.5, 1.5, 1.5}, Axis: Axis{Title: "Time", Unit: "min"}, Notes: []Note{{At: 1, Number: 7}}}
	still, err := newRenderer(t).Control(c)
	if err != nil {
		t.Fatal(err)
	}
	r := newRenderer(t)
	if data, err := r.Live(); data != nil || err != nil {
		t.Errorf("kept without asking: %s, %v", data, err)
	}
	r.Enliven()
	lively, err := r.Control(c)
	if err != nil || lively != still {
		t.Errorf("the picture differs where it is also kept: %v", err)
	}
	data, err := r.Live()
	if err != nil || strings.ContainsAny(string(data), "<>&") || strings.Contains(string(data), "function") {
		t.Fatalf("%v: %s", err, data)
	}
	var got map[string]struct {
		Option struct {
			Hover   struct{ Data []struct{ Name string } }
			Graphic []struct{ Style struct{ Text, Font string } }
			Tooltip struct{ RenderMode, Formatter string }
		}
		Width, Height float64
		Still         []int
		Names         []string
	}
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	one := got["c"]
	if len(one.Option.Hover.Data) != 2 || one.Option.Hover.Data[0].Name != "2026-01: 1\u00a0min" || one.Option.Hover.Data[1].Name != "(b}<img>: 2\u00a0min" {
		t.Errorf("a pointer is told %+v", one.Option.Hover.Data)
	}
	if one.Option.Tooltip.RenderMode != "richText" || one.Option.Tooltip.Formatter != "{b}" || len(one.Names) != 3 || one.Width != 680 {
		t.Errorf("%+v", one)
	}
	var kept []string
	for _, i := range one.Still {
		if text := one.Option.Graphic[i].Style.Text; text != "" {
			kept = append(kept, text)
		}
	}
	words := strings.Join(kept, "|")
	if !strings.Contains(words, "Time (min)") || !strings.Contains(words, "centre 2") || strings.Contains(words, "2026-01") || strings.Contains(words, "7") {
		t.Errorf("of the ink stays %q when a part is shown", words)
	}
}
