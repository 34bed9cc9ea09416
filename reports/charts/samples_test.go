package charts

import (
	"fmt"
	"math"
	"testing"
)

// sample is one kind of chart in a test: how to draw it, and its sheet before it is drawn.
type sample struct {
	name  string
	draw  func(r *Renderer) (string, error)
	sheet func() (*sheet, error)
	marks int // data marks that must be drawn
}

// wave is a made series without chance: the same on every machine.
func wave(n int, base, swing float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.Round((base+swing*math.Sin(float64(i)*1.7)+swing*0.5*math.Cos(float64(i)*0.6))*10) / 10
	}
	return out
}

func repeat(n int, v float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = v
	}
	return out
}

func months(n int) []string {
	out := make([]string, n)
	for i := range out {
		out[i] = fmt.Sprintf("%d-%02d", 2025+i/12, i%12+1)
	}
	return out
}

func frame(id string, width int) Frame {
	return Frame{ID: id, Title: "Title of " + id, Desc: "What " + id + " shows", Width: width}
}

func controlSample(width int) Control {
	const n = 18
	c := Control{
		Frame: frame("control", width), X: months(n), Y: wave(n, 24, 9),
		Axis:   Axis{Title: "Unintended hypothermia on arrival", Unit: "%", Decimals: 1, Floor: At(0), Ceiling: At(100)},
		Centre: repeat(n, 24), Lower: wave(n, 6, 2), Upper: wave(n, 43, 3), Target: At(20), Focus: "2026-06",
		Phases: []Phase{{0, "baseline"}, {12, "after the new transport incubator"}},
		Notes:  []Note{{4, 1}, {11, 2}, {12, 3}, {12, 4}},
	}
	c.Y[6], c.Lower[6], c.Upper[6] = Missing(), Missing(), Missing()
	for i := 12; i < n; i++ {
		c.Centre[i] = 15
		c.Y[i] = 11 + float64(i%3)
		c.Lower[i], c.Upper[i] = 1.2, 33
	}
	c.Y[9] = 52
	c.Signals = []Signal{{At: 9, Kind: Beyond, Label: "above limit"}}
	for i := 12; i < n; i++ {
		c.Signals = append(c.Signals, Signal{At: i, Kind: Shift, Label: "6 on one side"})
	}
	return c
}

func runSample(width int) Control {
	return Control{
		Frame: frame("run", width), X: months(18), Y: wave(18, 31, 6), CentreName: "median", Centre: repeat(18, 30.2),
		Axis: Axis{Title: "Mobilization time, monthly median", Unit: "min", Decimals: 0, Floor: At(0)}, Target: At(30), Focus: "2026-06",
	}
}

func rareSample(width int) RareEvents {
	y := []float64{99, 64, 255, 68, 148, 73, 35, 63, 286, 24, 176, 33, 418, 139, 54}
	return RareEvents{
		Frame: frame("rare", width), Axis: Axis{Title: "Transports between unplanned extubations", Log: true}, Y: y,
		Centre: repeat(15, 89), Upper: repeat(15, 855), Running: At(112), XTitle: "Unplanned extubation, in order",
		Signals: []Signal{{At: 9, Kind: Other, Label: "short gap"}},
	}
}

func barsSample(width int) Bars {
	return Bars{
		Frame: frame("bars", width), Axis: Axis{Title: "Alarm onsets by condition"}, Parts: [2]string{"first", "repeat within 60 s"},
		Rows: []Bar{{"expired tidal volume low", 812, 644, ""}, {"leak", 610, 120, ""}, {"minute volume low", 333, 90, ""},
			{"apnea", 212, 20, ""}, {"SpO₂ low", 190, 12, ""}, {"battery low", 14, 0, ""}, {"other", 0, 0, ""}},
	}
}

func intervalsSample(width int) Intervals {
	return Intervals{
		Frame: frame("intervals", width), Axis: Axis{Title: "Low glucose on arrival", Unit: "%", Decimals: 1, Floor: At(0), Ceiling: At(100)},
		Reference: At(8.4),
		Groups: []IntervalGroup{
			{"Referring site", []Interval{{"Northfield General", 4.3, 0.8, 21.0, 23, ""}, {"St. Bride's", 12.5, 5.9, 24.7, 48, ""},
				{"Lake County", 0, 0, 16.1, 20, ""}, {"Hollow Pines", Missing(), Missing(), Missing(), 0, ""}}},
			{"Gestation", []Interval{{"under 28 weeks", 19.2, 12.1, 29.0, 78, ""}, {"28–31 weeks", 9.1, 5.1, 15.9, 110, ""}}},
		},
	}
}

func matrixSample(width int) Matrix {
	names := []string{"low flow", "high flow", "CPAP", "NIPPV", "invasive", "high frequency"}
	return Matrix{
		Frame: frame("matrix", width), RowTitle: "from", ColumnTitle: "to", Rows: names, Columns: names,
		Counts: [][]int{{-1, 4, 1, 0, 0, 0}, {6, -1, 12, 1, 2, 0}, {2, 9, -1, 14, 11, 0}, {0, 1, 10, -1, 7, 0}, {0, 0, 3, 1, -1, 5}, {0, 0, 0, 0, 4, -1}},
	}
}

func agreementSample(width int) Agreement {
	a := Agreement{
		Frame: frame("agreement", width), X: Axis{Title: "Mean of used and planned", Unit: "L", Floor: At(0)},
		Y: Axis{Title: "Used minus planned oxygen", Unit: "L"}, Levels: []Level{{"bias", 22, false}, {"upper", 261, true}, {"lower", -217, true}},
	}
	for g, name := range []string{"ground", "rotor", "fixed wing"} {
		group := PointGroup{Name: name}
		for i := range 40 - 10*g {
			t := float64(i*3 + g*7)
			group.Points = append(group.Points, Point{150 + 22*t, 22 + (60+t)*math.Sin(t*1.3)})
		}
		a.Groups = append(a.Groups, group)
	}
	return a
}

func stackedSample(width int) Stacked {
	return Stacked{
		Frame: frame("stacked", width), Axis: Axis{Title: "Completed transports", Integer: true}, X: months(18), Focus: "2026-06",
		Parts: []Part{{"ground", roundAll(wave(18, 34, 8))}, {"rotor", roundAll(wave(18, 11, 4))}, {"fixed wing", roundAll(wave(18, 5, 2))}},
	}
}

func roundAll(v []float64) []float64 {
	for i := range v {
		v[i] = math.Round(v[i])
	}
	return v
}

func sparkSample(int) Spark {
	y := wave(18, 20, 6)
	y[4], y[6] = Missing(), Missing()
	return Spark{Frame: frame("spark", 0), Y: y, Centre: At(20)}
}

func funnelSample(width int) Funnel {
	f := Funnel{
		Frame: frame("funnel", width), X: Axis{Title: "Transports", Floor: At(0)}, Centre: 14,
		Y: Axis{Title: "Hypothermia on arrival by referring site", Unit: "%", Decimals: 1, Floor: At(0), Ceiling: At(100)},
	}
	for _, l := range []struct {
		name string
		z    float64
	}{{"95 %", 1.96}, {"99.8 %", 3.09}} {
		limit := FunnelLimit{Name: l.name}
		for n := 8.0; n <= 120; n += 4 {
			half := l.z * 100 * math.Sqrt(0.14*0.86/n)
			limit.N = append(limit.N, n)
			limit.Lower = append(limit.Lower, math.Max(0, 14-half))
			limit.Upper = append(limit.Upper, 14+half)
		}
		f.Limits = append(f.Limits, limit)
	}
	f.Points = []FunnelPoint{{"Northfield General", 112, 9.8, false}, {"St. Bride's", 80, 29.5, true}, {"Lake County", 34, 14.7, false},
		{"Hollow Pines", 12, 25, false}, {"Marsh End", 18, 5.6, false}, {"Two Rivers", 55, 18.2, false}, {"Old Quay", 20, 50, true}}
	return f
}

func distributionSample(width int) Distribution {
	d := Distribution{
		Frame: frame("distribution", width), Axis: Axis{Title: "Mobilization time", Unit: "min"}, Median: At(27), Target: At(30),
	}
	for i := range 240 {
		d.Values = append(d.Values, math.Round(18+12*math.Abs(math.Sin(float64(i)))+float64(i*i%37)*0.7))
	}
	return d
}

func survivalSample(width int) Survival {
	return Survival{
		Frame: frame("survival", width), X: Axis{Title: "Time from the begin of support", Unit: "min", Floor: At(0)}, Y: Axis{Title: "Not escalated", Unit: "%", Ceiling: At(100)},
		Groups: []SurvivalGroup{
			{"ground", 100, 120, []SurvivalStep{{20, 95, 90, 98}, {45, 88, 80, 93}, {90, 80, Missing(), Missing()}}},
			{"rotor", 100, 100, []SurvivalStep{{20, 93, 85, 97}}},
		},
	}
}

// samples is one of each kind that ECharts draws, at a width (0: the kind's own).
func samples(width int) []sample {
	c, run, ra, b, iv, m := controlSample(width), runSample(width), rareSample(width), barsSample(width), intervalsSample(width), matrixSample(width)
	sv := survivalSample(width)
	joined := survivalSample(width)
	joined.ID, joined.Joined = "joined", true
	a, st, f, d := agreementSample(width), stackedSample(width), funnelSample(width), distributionSample(width)
	return []sample{
		{"control", func(r *Renderer) (string, error) { return r.Control(c) }, c.sheet, 17 + 7 + 1}, // points, signals, month
		{"run", func(r *Renderer) (string, error) { return r.Control(run) }, run.sheet, 18 + 1},
		{"rare", func(r *Renderer) (string, error) { return r.RareEvents(ra) }, ra.sheet, 15 + 1 + 1},
		{"bars", func(r *Renderer) (string, error) { return r.Bars(b) }, b.sheet, 14},
		{"intervals", func(r *Renderer) (string, error) { return r.Intervals(iv) }, iv.sheet, 5 + 10},
		{"matrix", func(r *Renderer) (string, error) { return r.Matrix(m) }, m.sheet, 36},
		{"agreement", func(r *Renderer) (string, error) { return r.Agreement(a) }, a.sheet, 90},
		{"stacked", func(r *Renderer) (string, error) { return r.Stacked(st) }, st.sheet, 54},
		{"funnel", func(r *Renderer) (string, error) { return r.Funnel(f) }, f.sheet, 7},
		{"survival", func(r *Renderer) (string, error) { return r.Survival(sv) }, sv.sheet, 0},
		{"joined", func(r *Renderer) (string, error) { return r.Survival(joined) }, joined.sheet, 4 + 2},
		{"distribution", func(r *Renderer) (string, error) { return r.Distribution(d) }, d.sheet, 0},
	}
}

func newRenderer(t *testing.T) *Renderer {
	t.Helper()
	r, err := NewRenderer()
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func drawn(t *testing.T, s sample) string {
	t.Helper()
	svg, err := s.draw(newRenderer(t))
	if err != nil {
		t.Fatalf("%s: %v", s.name, err)
	}
	return svg
}
