package measures

import (
	"fmt"
	"slices"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// EscalationPhase is how many of the patients on non-invasive support came to invasive support in one phase.
type EscalationPhase struct {
	Name  string
	N     int
	Share string // % of all of them
}

// Escalation is what became of patients who began on non-invasive support: by phase, and the time to escalation while under
// way (Kaplan–Meier; a patient handed over without is censored there).
type Escalation struct {
	Patients, Escalated int
	Phases              []EscalationPhase
	Curve               []CurvePoint
	MedianTime          string // min, empty where fewer than half escalated
	Warning             string
	Transports          []queries.SupportCourse // the escalated ones
	times               []float64
}

// CurvePoint is one step of the curve: at Minutes, of AtRisk still under way, so many escalated; Free is the % not escalated
// by then, with its interval.
type CurvePoint struct {
	Minutes                 float64
	AtRisk, Events          int
	Free, FreeLow, FreeHigh float64
	HasInterval             bool
}

// EscalationOf adds the courses up.
func EscalationOf(courses []queries.SupportCourse) (Escalation, error) {
	e := Escalation{Patients: len(courses)}
	counts := map[string]int{}
	var times []float64
	var events []bool
	for _, c := range courses {
		counts[c.Phase]++
		times, events = append(times, c.Minutes), append(events, c.Escalated)
		if c.Escalated {
			e.Escalated++
			e.Transports = append(e.Transports, c)
		}
	}
	for _, name := range queries.Phases {
		e.Phases = append(e.Phases, EscalationPhase{name, counts[name], PartText(float64(counts[name]), float64(len(courses)))})
	}
	if e.Escalated == 0 {
		return e, nil
	}
	s, err := stats.KaplanMeier(times, events)
	if err != nil {
		return e, fmt.Errorf("time to escalation: %w", err)
	}
	e.Warning, e.times = s.Warning, times
	if s.HasMedian {
		e.MedianTime = fixed(s.Median, 0)
	}
	for _, step := range s.Steps {
		e.Curve = append(e.Curve, CurvePoint{step.Time, step.AtRisk, step.Events, 100 * step.Survival, 100 * step.Low, 100 * step.High, step.HasInterval})
	}
	return e, nil
}

// FreeAt gives the curve at so many minutes, with the patients still observed then as AtRisk. False where fewer than Few are
// left, of whom the curve says nothing.
func (e Escalation) FreeAt(minutes float64) (CurvePoint, bool) {
	at := CurvePoint{Free: 100}
	for _, p := range e.Curve {
		if p.Minutes <= minutes {
			at = p
		}
	}
	at.Minutes, at.AtRisk = minutes, 0
	for _, t := range e.times {
		if t >= minutes {
			at.AtRisk++
		}
	}
	return at, at.AtRisk >= Few
}

// Text prints "93.2 (89.1–95.8)".
func (p CurvePoint) Text() string {
	if !p.HasInterval {
		return fixed(p.Free, 1)
	}
	return fmt.Sprintf("%s (%s–%s)", fixed(p.Free, 1), fixed(p.FreeLow, 1), fixed(p.FreeHigh, 1))
}

// EndsOf puts first and last classes into a square of all classes that occur, in their order.
func EndsOf(ends []queries.SupportEnd) (classes []string, counts [][]int) {
	for _, class := range supportOrder {
		if slices.ContainsFunc(ends, func(e queries.SupportEnd) bool { return e.Place == "" && (e.From == class || e.To == class) }) {
			classes = append(classes, class)
		}
	}
	counts = make([][]int, len(classes))
	for i := range counts {
		counts[i] = make([]int, len(classes))
	}
	for _, e := range ends {
		from, to := slices.Index(classes, e.From), slices.Index(classes, e.To)
		if e.Place == "" && from >= 0 && to >= 0 {
			counts[from][to] += e.N
		}
	}
	return classes, counts
}
