package charts

import (
	"fmt"
	"math"
	"slices"
)

// Control is a control or run chart: one value per month (or other subgroup), a centre line, limits, signals.
type Control struct {
	Frame
	Axis                 Axis
	X                    []string  // names of the points, oldest first, no two alike
	Y                    []float64 // len(X); NaN is a gap
	Centre, Lower, Upper []float64 // nil or len(X); NaN where there is none; drawn as steps, broken at phase boundaries
	CentreName           string    // "" is "centre"; run charts say "median"
	Target               *float64
	TargetName           string // "" is "target"
	Signals              []Signal
	Phases               []Phase
	Notes                []Note
	Focus                string // the name in X of the month under report; "" is none
}

// Signal marks one point by shape, colour and a short text.
type Signal struct {
	At    int // index in X
	Kind  SignalKind
	Label string // "" is the kind's own word; like labels of neighbouring points are written once
}

// SignalKind is why a point is marked; each kind has its own shape.
type SignalKind int

// The kinds of signal.
const (
	Beyond SignalKind = iota // beyond a limit: diamond
	Shift                    // one of a long run on one side: square
	Other                    // anything else: triangle
)

var signalShapes = [...]string{Beyond: "diamond", Shift: "rect", Other: "triangle"}
var signalSizes = [...]float64{Beyond: 15, Shift: 12, Other: 15}
var signalWords = [...]string{Beyond: "beyond limit", Shift: "shift", Other: "signal"}

// Phase begins before the point Start; its name stands above the plot.
type Phase struct {
	Start int
	Label string
}

// Note is an upright mark with a numbered flag; what it says stands in a table beside the chart.
type Note struct {
	At     int // index in X
	Number int
}

// Control draws a control or run chart.
func (r *Renderer) Control(c Control) (string, error) {
	s, err := c.sheet()
	if err != nil {
		return "", err
	}
	return r.finish(s)
}

func (c Control) sheet() (*sheet, error) {
	focus := -1
	if c.Focus != "" {
		if focus = slices.Index(c.X, c.Focus); focus < 0 {
			return nil, c.wrong("Focus %q is not one of X", c.Focus)
		}
	}
	p := process{
		Frame: c.Frame, kind: "control", axis: c.Axis, names: c.X, y: c.Y, centre: c.Centre, lower: c.Lower, upper: c.Upper,
		centreName: orElse(c.CentreName, "centre"), target: c.Target, targetName: orElse(c.TargetName, "target"),
		signals: c.Signals, phases: c.Phases, notes: c.Notes, focus: focus,
	}
	p.axis.Log = false
	return p.sheet()
}

// check refuses what cannot be drawn.
func (p process) check() error {
	n := len(p.names)
	if n == 0 {
		return p.wrong("no points: say so in the page instead")
	}
	if err := firstError(p.Frame.check(300, 120),
		p.column("Y", p.y, n, false, true), p.column("Centre", p.centre, n, true, true),
		p.column("Lower", p.lower, n, true, true), p.column("Upper", p.upper, n, true, true),
		p.single("Target", p.target), p.single("Running", p.running)); err != nil {
		return err
	}
	return firstError(p.checkMarks(n), p.checkLog(p.axis, p.values()))
}

func (p process) checkMarks(n int) error {
	for i, g := range p.signals {
		if g.At < 0 || g.At >= n || g.Kind < Beyond || g.Kind > Other || math.IsNaN(p.y[g.At]) {
			return p.wrong("Signals[%d]: no such point (%d) or kind (%d)", i, g.At, g.Kind)
		}
	}
	for i, ph := range p.phases {
		if ph.Start < 0 || ph.Start >= n || (i > 0 && ph.Start <= p.phases[i-1].Start) {
			return p.wrong("Phases[%d]: Start %d: want ascending indices of points", i, ph.Start)
		}
	}
	for i, note := range p.notes {
		if note.At < 0 || note.At >= n {
			return p.wrong("Notes[%d]: At %d: want an index of a point, 0 to %d", i, note.At, n-1)
		}
	}
	return nil
}

// checkLog refuses values that a logarithmic axis has no place for.
func (f Frame) checkLog(a Axis, values []float64) error {
	if !a.Log {
		return nil
	}
	for _, v := range values {
		if v <= 0 {
			return f.wrong("%v on a logarithmic axis: want numbers above 0", v)
		}
	}
	return nil
}

// noteTexts joins the numbers of the notes of one point; points in order.
func (p process) noteTexts() (at []int, texts []string) {
	byPoint := map[int]string{}
	for _, n := range p.notes {
		if byPoint[n.At] == "" {
			at = append(at, n.At)
			byPoint[n.At] = fmt.Sprint(n.Number)
			continue
		}
		byPoint[n.At] += fmt.Sprintf(",\u00a0%d", n.Number)
	}
	slices.Sort(at)
	for _, i := range at {
		texts = append(texts, byPoint[i])
	}
	return at, texts
}
