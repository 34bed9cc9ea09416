package measures

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tripwake/queries"
)

// CaseCourse is what happened on one transport, ready to be drawn and listed.
type CaseCourse struct {
	TransportID string
	From, To    float64 // min from the start of the trip window
	Lanes       []CaseLane
	Steps       []CaseStep // what a table lists, in order of time
	alarms      map[string]int
}

// CaseLane is one row of the drawing: spans or readings.
type CaseLane struct {
	Name, Unit string
	Spans      []CaseSpan
	Readings   []queries.CaseLine
}

// CaseSpan lasts From To (min). Strong marks alarms of high priority, events with harm, battery; Other alternates.
type CaseSpan struct {
	From, To      float64
	Label         string
	Strong, Other bool
}

// CaseStep is one line of the table.
type CaseStep struct {
	Minute     float64
	What, Text string
}

// MinuteText prints the minute of a step.
func (s CaseStep) MinuteText() string { return fixed(s.Minute, 0) }

const alarmStep = "Alarm"

var laneNames = map[queries.Lane]string{queries.LaneLeg: "Leg", queries.LaneSupport: "Support", queries.LaneSetting: "Settings", queries.LaneAlarm: alarmStep,
	queries.LanePower: "Power", queries.LaneCylinder: "Cylinder", queries.LaneEvent: "Event"}

// mostTraces is how many quantities a case shows, in this order of interest.
const mostTraces = 6

var traceOrder = []string{"spo2", "heart_rate", "pip", "expired_tidal_volume", "mean_airway_pressure", "flow", "rate", "etco2", "blood_pressure", "fio2", "temperature",
	"leak", "peep", "minute_volume"}

// CaseCourses puts the lines of each transport together, in the order in which they come.
func CaseCourses(lines []queries.CaseLine) []CaseCourse {
	var all []CaseCourse
	for len(lines) > 0 {
		end := slices.IndexFunc(lines, func(l queries.CaseLine) bool { return l.TransportID != lines[0].TransportID })
		if end < 0 {
			end = len(lines)
		}
		all = append(all, courseOf(lines[:end]))
		lines = lines[end:]
	}
	return all
}

func courseOf(lines []queries.CaseLine) CaseCourse {
	c := CaseCourse{TransportID: lines[0].TransportID, From: lines[0].From, To: lines[0].To, alarms: map[string]int{}}
	readings := map[string][]queries.CaseLine{}
	for _, l := range lines {
		c.From, c.To = min(c.From, l.From), max(c.To, l.To)
		if l.Lane == queries.LaneReading {
			readings[l.Name] = append(readings[l.Name], l)
			continue
		}
		c.add(l)
	}
	for _, quantity := range traceOrder {
		if rs := readings[quantity]; len(rs) > 0 && mostTraces > c.traces() {
			c.Lanes = append(c.Lanes, CaseLane{Name: queries.Words(quantity), Unit: QuantityUnit(quantity), Readings: rs})
		}
	}
	c.tellAlarms()
	slices.SortStableFunc(c.Steps, func(a, b CaseStep) int { return cmp.Compare(a.Minute, b.Minute) })
	return c
}

func (c *CaseCourse) traces() int {
	n := 0
	for _, l := range c.Lanes {
		n += min(len(l.Readings), 1)
	}
	return n
}

// add puts a line into its lane and its step into the table. Alarms stand in the drawing, each condition in its own lane, and
// are counted in the table.
func (c *CaseCourse) add(l queries.CaseLine) {
	name, more, _ := strings.Cut(l.Name, "|")
	text := queries.Words(name)
	span, lane := CaseSpan{From: l.From, To: l.To, Label: text}, laneNames[l.Lane]
	switch l.Lane {
	case queries.LaneAlarm:
		lane, span.Label, span.Strong = text, "", more == "high"
		c.countAlarm(strings.TrimSuffix(lane+", "+more+" priority", ",  priority"), l)
	case queries.LaneSetting:
		mode, rest, _ := strings.Cut(name, ", ")
		text, span.Label = strings.TrimSuffix(queries.Words(mode)+", "+rest, ", "), ""
	case queries.LanePower:
		if span.Strong = name == "battery"; c.lasts(lane, span) {
			return
		}
	case queries.LaneEvent:
		span.Strong = more != "" && more != "none"
		text = strings.TrimSuffix(text+", harm "+more, ", harm ")
	case queries.LaneCylinder:
		lane = "Cylinder, " + text
		text = fmt.Sprintf("%s, %s to %s bar", text, fixed(*l.High, 0), fixed(*l.Low, 0))
		span.Label = text
	}
	at := slices.IndexFunc(c.Lanes, func(x CaseLane) bool { return x.Name == lane })
	if at < 0 {
		at, c.Lanes = len(c.Lanes), append(c.Lanes, CaseLane{Name: lane})
	}
	span.Other = len(c.Lanes[at].Spans)%2 == 1
	c.Lanes[at].Spans = append(c.Lanes[at].Spans, span)
	if l.Lane != queries.LaneAlarm {
		c.Steps = append(c.Steps, CaseStep{l.From, laneNames[l.Lane], text})
	}
}

// lasts lengthens the last span of a lane where the same goes on: power is logged again and again.
func (c *CaseCourse) lasts(lane string, span CaseSpan) bool {
	at := slices.IndexFunc(c.Lanes, func(x CaseLane) bool { return x.Name == lane })
	if at < 0 {
		return false
	}
	last := &c.Lanes[at].Spans[len(c.Lanes[at].Spans)-1]
	if last.Label != span.Label || last.To < span.From {
		return false
	}
	last.To = span.To
	return true
}

// countAlarm keeps one step for each condition, at its first onset.
func (c *CaseCourse) countAlarm(condition string, l queries.CaseLine) {
	if c.alarms[condition]++; c.alarms[condition] == 1 {
		c.Steps = append(c.Steps, CaseStep{l.From, alarmStep, condition})
	}
}

// tellAlarms puts the number of onsets behind the condition.
func (c *CaseCourse) tellAlarms() {
	for i := range c.Steps {
		s := &c.Steps[i]
		switch n := c.alarms[s.Text]; {
		case s.What != alarmStep:
		case n == 1:
			s.Text += ": 1 onset"
		default:
			s.Text += fmt.Sprintf(": %d onsets, this the first", n)
		}
	}
}
