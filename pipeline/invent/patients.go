package invent

import "fmt"

// patient is who is moved. gestation is in days (0: not known), weights in g, age in d; severity runs from 0 to 1 and
// drives the assessments, the support and the outcome.
type patient struct {
	key         string
	sex         string
	gestation   int
	birthWeight float64
	weight      float64
	age         float64
	diagnosis   string
	cooling     bool
	severity    float64
}

// newborn is the neonatal age band of the definitions.
func (p patient) newborn() bool { return p.age < 29 }

func (p patient) kilos() float64 { return p.weight / 1000 }

// patientOf returns the patient of the n-th request: now and then one who was moved a few requests before.
func patientOf(seed uint64, n int) patient {
	d := newDice(seed, streamPatient, n)
	if n < 25 || !d.chance(0.04) {
		return firstPatient(d, n)
	}
	ago := 3 + d.IntN(20)
	p := firstPatient(newDice(seed, streamPatient, n-ago), n-ago)
	p.age = step(p.age+0.5*float64(ago), 0.1)
	p.weight = step(p.weight*(1+0.004*float64(ago)), 5)
	p.cooling, p.severity = false, p.severity*0.6
	return p
}

func firstPatient(d dice, n int) patient {
	d.Float64() // the draw that decides on a second move
	p := patient{
		key:      fmt.Sprintf("K%07d", (uint64(n)*7919+104729)%9999991),
		sex:      pick(d, []share[string]{{"male", 0.555}, {"female", 0.44}, {"undetermined", 0.005}}),
		severity: d.Float64(),
	}
	if d.chance(0.70) {
		return asNewborn(d, p)
	}
	return asChild(d, p)
}

// bandsOfGestation are completed weeks from and to, weighted as a regional service might see them (invented).
var bandsOfGestation = []share[[2]int]{{[2]int{23, 28}, 0.16}, {[2]int{28, 32}, 0.19}, {[2]int{32, 37}, 0.27}, {[2]int{37, 42}, 0.38}}

func asNewborn(d dice, p patient) patient {
	band := pick(d, bandsOfGestation)
	p.gestation = 7*band[0] + d.IntN(7*(band[1]-band[0]))
	weeks := float64(p.gestation) / 7
	p.birthWeight = step(d.around(weightAtBirth(weeks), 0.13), 10)
	p.age = step(min(28, d.around(0.8, 1.25)), 0.1)
	p.weight = step(p.birthWeight*(1+0.012*max(0, p.age-8)), 10)
	p.diagnosis = newbornDiagnosis(d, weeks)
	p.cooling = weeks >= 36 && p.age < 1 && p.diagnosis == "neurological" && d.chance(0.8)
	return p
}

// weightAtBirth is a straight line between a few rounded middle weights (g), from memory: invented patients need no better.
func weightAtBirth(weeks float64) float64 {
	points := [][2]float64{{23, 580}, {28, 1090}, {32, 1790}, {36, 2700}, {40, 3450}, {43, 3700}}
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		if weeks <= b[0] {
			return a[1] + (b[1]-a[1])*(weeks-a[0])/(b[0]-a[0])
		}
	}
	return points[len(points)-1][1]
}

func newbornDiagnosis(d dice, weeks float64) string {
	if weeks < 32 {
		return pick(d, []share[string]{{"prematurity", 0.55}, {"respiratory", 0.25}, {"infection", 0.08}, {"surgical", 0.10}, {"other", 0.02}})
	}
	return pick(d, []share[string]{{"respiratory", 0.38}, {"cardiac", 0.17}, {"surgical", 0.16}, {"neurological", 0.13},
		{"infection", 0.09}, {"metabolic", 0.04}, {"other", 0.03}})
}

func asChild(d dice, p patient) patient {
	p.age = step(clamp(d.around(420, 1.3), 29, 6400), 1)
	years := p.age / 365.25
	middle := 3.6 + 6*years // the first year
	if years > 1 {
		middle = 2*years + 8
	}
	if years > 9 {
		middle = 26 + 4*(years-9)
	}
	p.weight = step(d.around(middle, 0.15)*1000, 100)
	if years < 1 && d.chance(0.5) {
		p.gestation = 7*28 + d.IntN(7*13)
		p.birthWeight = step(d.around(weightAtBirth(float64(p.gestation)/7), 0.13), 10)
	}
	p.diagnosis = pick(d, []share[string]{{"respiratory", 0.42}, {"neurological", 0.18}, {"infection", 0.14}, {"cardiac", 0.10},
		{"surgical", 0.07}, {"metabolic", 0.06}, {"other", 0.03}})
	return p
}
