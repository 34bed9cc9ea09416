package charts

import "strconv"

// RareEvents is a g or t chart: one value per event, the transports or days since the event before.
type RareEvents struct {
	Frame
	Axis                 Axis      // e.g. "Transports between events"; Log is allowed
	XTitle               string    // "" is "Event"
	X                    []string  // nil is 1, 2, …; else a name per event
	Y                    []float64 // NaN is a gap
	Centre, Lower, Upper []float64 // nil or len(Y); NaN where there is none
	CentreName           string    // "" is "centre"
	Signals              []Signal
	Notes                []Note   // marked above an event
	Running              *float64 // since the last event, not ended: a hollow mark named "so far"
}

// RareEvents draws a g or t chart.
func (r *Renderer) RareEvents(c RareEvents) (string, error) {
	s, err := c.sheet()
	if err != nil {
		return "", err
	}
	return r.finish(s)
}

func (c RareEvents) sheet() (*sheet, error) {
	names := c.X
	if names == nil {
		for i := range c.Y {
			names = append(names, strconv.Itoa(i+1))
		}
	}
	p := process{
		Frame: c.Frame, kind: "rare", axis: c.Axis, names: names, xTitle: orElse(c.XTitle, "Event"), y: c.Y,
		centre: c.Centre, lower: c.Lower, upper: c.Upper, centreName: orElse(c.CentreName, "centre"),
		signals: c.Signals, running: c.Running, notes: c.Notes, focus: -1,
	}
	return p.sheet()
}
