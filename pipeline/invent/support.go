package invent

import (
	"sort"
	"time"
)

// setting is one row of what the operator chose, from a moment on. Zero means: not set, an empty cell.
type setting struct {
	at                                           time.Time
	class                                        string
	mode, iface                                  string
	intermittent                                 bool
	pip, peep, support, rate, ti, flow, trigger  float64
	fio2, nitric, meanPressure, amplitude, hertz float64
}

// supported is false for standby, off and no device at all.
func (s setting) supported() bool { return s.class != "none" && s.class != "" }

// conventional holds where breaths have a measured tidal volume.
func (s setting) conventional() bool { return s.class == "invasive" }

var newbornClasses = []share[string]{{"invasive", 0.40}, {"cpap", 0.28}, {"high_flow", 0.11}, {"low_flow", 0.05}, {"nippv", 0.06},
	{"high_frequency", 0.04}, {"none", 0.06}}

var childClasses = []share[string]{{"invasive", 0.38}, {"high_flow", 0.25}, {"low_flow", 0.15}, {"cpap", 0.07}, {"nippv", 0.07},
	{"high_frequency", 0.01}, {"none", 0.07}}

// upward and downward name the class that a patient is moved to.
var (
	upward = map[string]string{"low_flow": "high_flow", "high_flow": "cpap", "cpap": "invasive", "nippv": "invasive",
		"invasive": "high_frequency"}
	downward = map[string]string{"high_frequency": "invasive", "nippv": "cpap", "cpap": "high_flow", "high_flow": "low_flow"}
)

// supportCourse invents the settings log of a transport: standby on the way, support from the bedside to hand-over with
// small changes, now and then another class, then standby and off.
func supportCourse(d dice, t *trip) []setting {
	class := pick(d, childClasses)
	if t.who.newborn() {
		class = pick(d, newbornClasses)
	}
	if class == "none" {
		return nil
	}
	rows := []setting{{at: t.at.arrived.Add(-4 * time.Minute), class: "none", mode: "standby", iface: "none"}}
	now := t.at.patient.Add(seconds(d.between(120, 480)))
	current := initialSetting(d, class, t.who)
	current.at = now
	rows = append(rows, current)
	switches := classChanges(d, t, current)
	last := t.at.handed.Add(-3 * time.Minute)
	for now = now.Add(seconds(d.around(1300, 0.5))); now.Before(last); now = now.Add(seconds(d.around(1500, 0.5))) {
		switches = append(switches, change{at: now})
	}
	sort.SliceStable(switches, func(i, j int) bool { return switches[i].at.Before(switches[j].at) })
	for _, c := range switches {
		current = c.apply(d, current, t.who)
		rows = append(rows, current)
	}
	return append(rows,
		setting{at: t.at.handed.Add(seconds(d.between(20, 100))), class: "none", mode: "standby", iface: "none"},
		setting{at: t.at.handed.Add(seconds(d.between(240, 900))), class: "none", mode: "off"})
}

// change is a moment at which the crew turned a knob; class is empty for a small change.
type change struct {
	at    time.Time
	class string
}

func (c change) apply(d dice, s setting, who patient) setting {
	if c.class != "" && c.class != s.class {
		s = initialSetting(d, c.class, who)
	} else {
		s = adjusted(d, s)
	}
	s.at = c.at
	return s
}

// classChanges: about one in nine is stepped up while the team is there, one in twenty stepped down; one in forty is
// switched by mistake and back within two minutes, which the definition of an episode passes over.
func classChanges(d dice, t *trip, first setting) []change {
	stay := t.at.left.Sub(first.at)
	when := first.at.Add(time.Duration(d.between(0.15, 0.95) * float64(stay)))
	up, down := upward[first.class], downward[first.class]
	chanceUp := 0.11
	if first.class == "invasive" {
		chanceUp = 0.04
	}
	switch roll := d.Float64(); {
	case stay < 10*time.Minute:
		return nil
	case up != "" && roll < chanceUp:
		return []change{{when, up}}
	case down != "" && roll > 0.95:
		return []change{{when, down}}
	case down != "" && roll > 0.925:
		return []change{{when, down}, {when.Add(seconds(d.between(25, 95))), first.class}}
	}
	return nil
}

// initialSetting is a sensible start for the class and the size of the patient (common practice, not advice).
func initialSetting(d dice, class string, who patient) setting {
	s := setting{class: class, fio2: startOxygen(d, who)}
	switch class {
	case "invasive":
		return conventionalSetting(d, s, who)
	case "high_frequency":
		s.mode, s.iface = "hfov", "tube"
		s.flow, s.meanPressure, s.amplitude, s.hertz = 18, step(d.normal(14, 2), 0.5), step(d.normal(32, 6), 1), step(d.normal(10, 1.5), 0.5)
		if d.chance(0.25) {
			s.mode, s.rate, s.hertz, s.amplitude, s.pip, s.ti = "hfjv", 420, 0, 0, 26, 0.05
		}
	case "nippv":
		s.mode, s.iface, s.flow = "nippv", "nasal", 10
		s.pip, s.peep, s.rate, s.ti = step(d.normal(18, 2), 1), 6, 30, 0.4
		if !who.newborn() {
			s.mode, s.iface, s.support, s.flow = "pressure_support", "mask", 10, 14
		}
	case "cpap":
		s.mode, s.iface, s.flow, s.peep = "cpap", "nasal", 8, step(d.normal(6, 0.8), 0.5)
	case "high_flow":
		s.mode, s.iface, s.flow = "high_flow", "nasal", step(clamp(2*who.kilos(), 4, 8), 0.5)
		if !who.newborn() {
			s.flow = step(clamp(1.5*who.kilos(), 6, 25), 1)
		}
	case "low_flow":
		s.mode, s.iface, s.flow, s.fio2 = "low_flow", "nasal", step(clamp(0.15*who.kilos(), 0.2, 2), 0.1), 100
	}
	return s
}

// conventionalSetting: constant flow of 8 L/min for newborns, flow in the breath only for the larger.
func conventionalSetting(d dice, s setting, who patient) setting {
	s.mode = pick(d, []share[string]{{"simv", 0.45}, {"assist_control", 0.40}, {"cmv", 0.10}, {"pressure_support", 0.05}})
	s.iface = pick(d, []share[string]{{"tube", 0.96}, {"tracheostomy", 0.03}, {"laryngeal_mask", 0.01}})
	s.trigger = step(d.between(1, 5), 0.5)
	if s.mode != "cmv" && d.chance(0.5) {
		s.support = step(d.normal(9, 1.5), 1)
	}
	s.pip, s.peep, s.rate, s.ti, s.flow = step(d.normal(19, 3), 1), step(d.normal(5.2, 0.7), 0.5), step(d.normal(42, 7), 2), 0.35, 8
	if who.weight > 8000 {
		s.intermittent = true
		s.pip, s.rate, s.ti = step(d.normal(21, 3), 1), step(d.normal(22, 4), 1), step(d.normal(0.8, 0.08), 0.05)
		s.flow = step(clamp(1.2*who.kilos(), 15, 40), 1)
	}
	if who.newborn() && who.severity > 0.93 {
		s.nitric = 20
		s.fio2 = max(s.fio2, 60)
	}
	return s
}

func startOxygen(d dice, who patient) float64 {
	if d.chance(0.06) {
		return 21
	}
	return step(clamp(d.around(26+26*who.severity, 0.22), 23, 100), 1)
}

// adjusted is a small change of the same class: mostly oxygen, sometimes pressure or rate.
func adjusted(d dice, s setting) setting {
	if !s.supported() {
		return s
	}
	if s.class != "low_flow" {
		s.fio2 = step(clamp(s.fio2+d.normal(-1, 4), 21, 100), 1)
	} else {
		s.flow = step(clamp(s.flow+d.normal(0, 0.15), 0.1, 2), 0.1)
	}
	switch {
	case s.conventional() && d.chance(0.35):
		s.pip = step(clamp(s.pip+d.normal(0, 1.5), 10, 34), 1)
	case s.conventional() && d.chance(0.35):
		s.rate = step(clamp(s.rate+d.normal(0, 4), 12, 60), 1)
	case s.class == "high_frequency":
		s.meanPressure = step(clamp(s.meanPressure+d.normal(0, 0.7), 8, 24), 0.5)
	}
	return s
}

// inForce returns the settings row that holds at a moment; ok is false before the first.
func inForce(course []setting, at time.Time) (s setting, ok bool) {
	for _, row := range course {
		if row.at.After(at) {
			break
		}
		s, ok = row, true
	}
	return s, ok
}

func seconds(v float64) time.Duration { return time.Duration(v) * time.Second }
