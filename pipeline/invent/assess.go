package invent

import (
	"math"
	"time"
)

// assessment is what the crew wrote down at one stage; NaN is an empty cell. Units as in the record contract.
type assessment struct {
	stage, distress, response         string
	at                                time.Time
	temperature, breaths, heart, spo2 float64
	fio2, systolic, meanPressure      float64
	ph, pco2, po2, glucose            float64
}

// assessments invents the three stages; one in thirty is missing.
func assessments(d dice, t *trip) []assessment {
	stages := []struct {
		name string
		at   time.Time
	}{{"referring_arrival", t.at.patient}, {"referring_departure", t.at.left}, {"receiving_arrival", t.at.landed.Add(minutes(4))}}
	var out []assessment
	for i, s := range stages {
		a := assess(d, t, i)
		a.stage, a.at = s.name, s.at
		if i == 0 {
			a.at = a.at.Add(minutes(d.between(1, 6)))
		}
		if !d.chance(0.033) {
			out = append(out, a)
		}
	}
	return out
}

func assess(d dice, t *trip, stage int) assessment {
	who, severe := t.who, t.who.severity
	a := assessment{
		temperature: step(temperature(d, t, stage), 0.1),
		breaths:     step(d.normal(24+24*math.Exp(-who.age/1500)+18*severe, 6), 1),
		heart:       step(d.around(vitalSign("heart_rate", who), 0.12), 1),
		spo2:        step(clamp(d.normal(vitalSign("spo2", who)-3*severe, 2.4), 60, 100), 1),
		fio2:        21, systolic: step(d.around(vitalSign("blood_pressure", who)*1.38, 0.16), 1),
		distress: "none",
		response: pick(d, []share[string]{{"vigorous", 1.15 - severe}, {"lethargic", 0.1 + 0.7*severe},
			{"none", 0.3 * severe * severe}}),
		meanPressure: math.NaN(),
	}
	if s, ok := inForce(t.course, t.at.left.Add(-10*time.Minute)); ok && s.supported() {
		a.fio2 = s.fio2
		if s.class != "high_flow" && s.class != "low_flow" {
			a.meanPressure = step(meanAirwayPressure(s), 0.1)
		}
		a.distress = "moderate"
		if s.class == "invasive" || s.class == "high_frequency" {
			a.distress = "severe"
		}
	}
	a.blood(d, stage)
	return a
}

// blood: carbon dioxide and pH go together; at the first stage less is measured.
func (a *assessment) blood(d dice, stage int) {
	a.pco2 = step(d.around(44-3*float64(stage)/2, 0.27), 0.1)
	a.ph = step(clamp(7.37-0.008*(a.pco2-42)+d.normal(0, 0.04), 6.7, 7.65), 0.01)
	a.po2 = step(d.around(62, 0.25), 1)
	a.glucose = step(d.around(84, 0.34), 1)
	if d.chance(0.22) {
		a.pco2, a.ph, a.po2 = math.NaN(), math.NaN(), math.NaN()
	}
	for _, v := range []*float64{&a.glucose, &a.systolic, &a.breaths} {
		if d.chance(0.06) {
			*v = math.NaN()
		}
	}
}

// temperature follows the story: newborns arrive warmer after the change of practice.
func temperature(d dice, t *trip, stage int) float64 {
	switch {
	case t.who.cooling:
		return d.normal(34.2-0.4*float64(stage), 0.25)
	case !t.who.newborn():
		return d.normal(37.0, 0.55)
	case stage == 0:
		return d.normal(36.55, 0.5)
	}
	mean, sd := warmth(t.month)
	if t.who.gestation < 28*7 {
		mean -= 0.1
	}
	return d.normal(mean, sd)
}
