package invent

import (
	"math"
	"time"
)

// cylinder is one row of the cylinder sheet. Pressures are in psi (kept so because the gauges are marked so), masses in kg;
// factor is L per psi, 0 for liquid.
type cylinder struct {
	id, supply, gas, size string
	factor                float64
	start, end            float64
	startMass, endMass    float64
	concentration         float64
	opened, closed        time.Time
}

// gasPlan is what the crew predicted (min, L) and what the sheet shows.
type gasPlan struct {
	duration, oxygen, air float64
	cylinders             []cylinder
}

// Litres of free gas: per psi by US letter size (Virginia EMS oxygen hand-out 2010), per bar of water volume, per kg of
// liquid (344 L per lb).
const (
	factorE       = 0.28
	factorM       = 1.56
	factorH       = 3.14
	psiPerBar     = 14.503774
	litresPerKilo = 344 / 0.45359237
	gaugeStep     = 50
)

// regulatorLeak is what the worn regulator of the story lets off, L/min, whatever the patient needs.
const regulatorLeak = 3.2

// demand is the flow of oxygen and air (L/min) that a setting draws, as the definitions have it.
func demand(s setting) (oxygen, air float64) {
	if !s.supported() {
		return 0, 0
	}
	flow := s.flow
	if s.intermittent {
		flow = s.rate * s.ti / 60 * s.flow
	}
	oxygen = flow * (s.fio2/100 - 0.21) / 0.79
	return oxygen, flow - oxygen
}

// drawn integrates the demand between two moments, in L.
func drawn(course []setting, from, to time.Time) (oxygen, air float64) {
	for i, s := range course {
		start, end := s.at, to
		if i+1 < len(course) && course[i+1].at.Before(to) {
			end = course[i+1].at
		}
		if start.Before(from) {
			start = from
		}
		if span := end.Sub(start).Minutes(); span > 0 {
			o, a := demand(s)
			oxygen += o * span
			air += a * span
		}
	}
	return oxygen, air
}

// gasSheet invents the plan and the cylinders of a transport: wall gas in most hospitals until the patient leg, then what
// the settings draw, a little more or less, and the leak of the story where it applies.
func gasSheet(d dice, t *trip) gasPlan {
	if len(t.course) == 0 {
		return gasPlan{}
	}
	var plan gasPlan
	carriedFrom := t.at.patient
	if d.chance(0.82) {
		carriedFrom = t.at.left
		plan.cylinders = append(plan.cylinders, cylinder{supply: "wall", gas: "oxygen", closed: t.at.left},
			cylinder{supply: "wall", gas: "air", closed: t.at.left})
	}
	oxygen, air := drawn(t.course, carriedFrom, t.at.handed)
	plan.predict(d, t, carriedFrom)
	used := oxygen * d.around(0.99, 0.10)
	if leaks(t) {
		used += regulatorLeak * d.around(1, 0.25) * t.at.handed.Sub(carriedFrom).Minutes()
	}
	plan.cylinders = append(plan.cylinders, oxygenCylinders(d, t, used)...)
	if d.chance(0.6) {
		plan.cylinders = append(plan.cylinders, drain(d, t, "air", "M", "carried", factorM, air*d.around(1.02, 0.06))...)
	} else {
		plan.air = 0 // a compressor gives the air
	}
	plan.nitric(d, t)
	stampCylinders(d, &plan, carriedFrom, t.at.handed)
	return plan
}

// predict does as a crew does: the flows at the time of leaving, for the expected time, with a margin.
func (p *gasPlan) predict(d dice, t *trip, from time.Time) {
	p.duration = step(d.around(t.at.handed.Sub(from).Minutes()*1.08, 0.13), 5)
	p.duration = max(p.duration, 15)
	s, ok := inForce(t.course, t.at.left.Add(-8*time.Minute))
	if !ok || !s.supported() {
		s = t.course[1]
	}
	oxygen, air := demand(s)
	const margin = 1.15
	p.oxygen = math.Ceil(oxygen*p.duration*margin/5) * 5
	p.air = math.Ceil(air*p.duration*margin/10) * 10
}

func oxygenCylinders(d dice, t *trip, used float64) []cylinder {
	switch {
	case t.vehicle == "fixed_wing" && d.chance(0.5):
		full := step(d.between(6, 11), 0.05)
		return []cylinder{{id: "L-1", supply: "vehicle", gas: "oxygen", startMass: full, endMass: step(full-used/litresPerKilo, 0.05)}}
	case t.base == poorBase:
		return drain(d, t, "oxygen", "2 L", "carried", 2/psiPerBar, used)
	case t.vehicle == "ground" && d.chance(0.12):
		spare := drain(d, t, "oxygen", "E", "carried", factorE, 0)
		return append(drain(d, t, "oxygen", "H", "vehicle", factorH, used), spare[0])
	case used > 700 || d.chance(0.08):
		return drain(d, t, "oxygen", "M", "carried", factorM, used)
	}
	return drain(d, t, "oxygen", "E", "carried", factorE, used)
}

// drain takes litres from as many cylinders of a size as it needs, and reads the gauges as people do.
func drain(d dice, t *trip, gas, size, supply string, factor, litres float64) []cylinder {
	var out []cylinder
	for n := 0; n < 6; n++ {
		start := d.between(1500, 2250)
		if n == 0 && d.chance(0.1) {
			start = d.between(700, 1400)
		}
		take := math.Min(litres, (start-120)*factor)
		c := cylinder{id: cylinderID(d, t.base, size), supply: supply, gas: gas, size: size, factor: factor,
			start: gauge(start, size), end: gauge(start-take/factor, size)}
		out = append(out, c)
		if litres -= take; litres < 0.5 {
			break
		}
	}
	return out
}

func cylinderID(d dice, base int, size string) string {
	return bases[base].name[:1] + "-" + size[:1] + string(rune('0'+d.IntN(10))) + string(rune('0'+d.IntN(10)))
}

// gauge reads a pressure on a scale of 50 psi; the metric ones are marked in 5 bar.
func gauge(psi float64, size string) float64 {
	if size == "2 L" {
		return step(psi/psiPerBar, 5) * psiPerBar
	}
	return step(psi, gaugeStep)
}

// nitric adds the cylinder where nitric oxide was set: 20 ppm into the flow from 800 ppm.
func (p *gasPlan) nitric(d dice, t *trip) {
	s, ok := inForce(t.course, t.at.left)
	if !ok || s.nitric == 0 {
		return
	}
	flow := s.nitric * s.flow / (800 - s.nitric)
	litres := flow * t.at.handed.Sub(t.at.patient).Minutes()
	c := drain(d, t, "nitric_oxide", "D", "carried", 0.16, litres)[0]
	c.concentration = 800
	p.cylinders = append(p.cylinders, c)
}

func stampCylinders(d dice, p *gasPlan, from, to time.Time) {
	for i := range p.cylinders {
		if c := &p.cylinders[i]; c.supply != "wall" && d.chance(0.5) {
			c.opened, c.closed = from, to
		}
	}
}
