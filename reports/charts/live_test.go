package charts

import (
	"cmp"
	"encoding/json"
	"slices"
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

// Bars, parts of columns and squares of a crowd tell a pointer what stands there.
func TestTipsOfWhatIsDrawnTogether(t *testing.T) {
	bars, err := Distribution{Frame: frame("d", 0), Axis: Axis{Title: "Time", Unit: "min"}, Values: []float64{1, 1, 2.5, 7}, BinWidth: 2}.sheet()
	if err != nil {
		t.Fatal(err)
	}
	parts, err := Effects{Frame: frame("e", 0), X: []string{"A", "B"}, Axis: Axis{Title: "Gas", Unit: "L"},
		Parts: []Part{{"leak", []float64{4, Missing()}}, {"flow", []float64{-2, 6}}, {"time", []float64{2, 0}}}}.sheet()
	if err != nil {
		t.Fatal(err)
	}
	crowd := Agreement{Frame: frame("a", 0), X: Axis{Title: "Mean"}, Y: Axis{Title: "Difference"}, Groups: []PointGroup{{Name: "all"}}}
	for i := range MostDots + 500 {
		crowd.Groups[0].Points = append(crowd.Groups[0].Points, Point{float64(i % 2 * 100), float64(i % 2)})
	}
	squares, err := crowd.sheet()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		s    *sheet
		want []tip
	}{
		{bars, []tip{{xy{0, 2}, "0\u00a0min to under 2\u00a0min\ntransports: 2"}, {xy{1, 1}, "2\u00a0min to under 4\u00a0min\ntransports: 1"}, {xy{3, 1}, "6\u00a0min to under 8\u00a0min\ntransports: 1"}}},
		{parts, []tip{{xy{0, 2}, "A, leak: 4\u00a0L"}, {xy{0, -1}, "A, flow: −2\u00a0L"}, {xy{0, 5}, "A, time: 2\u00a0L"}, {xy{1, 3}, "B, flow: 6\u00a0L"}}},
		{squares, []tip{{xy{0, 0}, "0, 0\n1000 here"}, {xy{100, 1}, "100, 1\n1000 here"}}},
	} {
		if got := slices.SortedStableFunc(slices.Values(c.s.tips), byPlace); !slices.Equal(got, c.want) {
			t.Errorf("got %+v, want %+v", got, c.want)
		}
	}
}

func byPlace(a, b tip) int { return cmp.Compare(a.at.X, b.at.X) } // in order of drawing at one place
