package invent

import (
	"math"
	"time"
)

// stamps are the nine moments of a trip, whole minutes; zero where there is none.
type stamps struct {
	called, accepted, departed, arrived, patient, left, landed, handed, available time.Time
}

// trip is one request with all that follows from it. month counts from 1, index over all regions from 0.
type trip struct {
	index, month         int
	id                   string
	base                 int
	from                 site
	to, vehicle, urgency string
	disposition, reason  string
	delay                string
	at                   stamps
	who                  patient
	kit                  *kit
	kitNumber            int
	course               []setting
	gas                  gasPlan
	dips                 []dip
	events               []event
}

func (t *trip) completed() bool { return t.disposition == "completed" }

// wentOut holds where the team left its base: completed, or cancelled on the way.
func (t *trip) wentOut() bool { return !t.at.departed.IsZero() }

func minutes(v float64) time.Duration { return time.Duration(math.Round(v)) * time.Minute }

// newTrip draws where, who and how; the stamps follow once a kit is found.
func newTrip(seed uint64, n, month int, called time.Time) (*trip, dice) {
	d := newDice(seed, streamTrip, n)
	where := make([]share[site], len(sites))
	for i, s := range sites {
		where[i] = share[site]{s, s.weight}
	}
	t := &trip{index: n, month: month, id: identifier(n), from: pick(d, where), to: pick(d, receiving), who: patientOf(seed, n)}
	t.base = t.from.base
	t.vehicle = vehicleFor(d, t.from.km)
	t.urgency = pick(d, []share[string]{{"immediate", 0.30}, {"urgent", 0.53}, {"planned", 0.14}, {"", 0.03}})
	t.at.called = called
	t.at.accepted = called.Add(minutes(d.around(5, 0.5)))
	return t, d
}

func vehicleFor(d dice, km float64) string {
	switch {
	case km < 90:
		return pick(d, []share[string]{{"ground", 0.85}, {"rotor", 0.15}})
	case km < 200:
		return pick(d, []share[string]{{"ground", 0.30}, {"rotor", 0.64}, {"fixed_wing", 0.06}})
	default:
		return pick(d, []share[string]{{"ground", 0.04}, {"rotor", 0.36}, {"fixed_wing", 0.60}})
	}
}

// journey is the expected minutes for a distance: a start-up and a speed.
func journey(vehicle string, km float64) float64 {
	switch vehicle {
	case "rotor":
		return 14 + km/3.6
	case "fixed_wing":
		return 40 + km/5.5
	default:
		return 4 + km/1.25
	}
}

// fate decides whether the request became a transport, apart from want of equipment.
func (t *trip) fate(d dice) {
	switch roll := d.Float64(); {
	case roll < 0.045:
		t.disposition = "declined"
		t.reason = pick(d, []share[string]{{"no_team", 0.4}, {"no_vehicle", 0.15}, {"weather", 0.25}, {"referrer", 0.1}, {"other", 0.1}})
	case roll < 0.095:
		t.disposition = "cancelled"
		t.reason = pick(d, []share[string]{{"patient_condition", 0.5}, {"referrer", 0.3}, {"weather", 0.2}})
	default:
		t.disposition = "completed"
		t.delay = pick(d, []share[string]{{"", 0.93}, {"no_team", 0.025}, {"no_vehicle", 0.015}, {"weather", 0.025}, {"other", 0.005}})
	}
}

// clock fills the stamps that the disposition allows.
func (t *trip) clock(d dice) {
	a := &t.at
	if t.disposition == "declined" {
		a.accepted = time.Time{}
		return
	}
	if t.disposition == "cancelled" && d.chance(0.5) {
		a.available = a.accepted.Add(minutes(d.around(25, 0.4)))
		return
	}
	a.departed = a.accepted.Add(minutes(t.mobilization(d)))
	travel := journey(t.vehicle, t.from.km)
	a.arrived = a.departed.Add(minutes(d.around(travel, 0.12)))
	if t.disposition == "cancelled" {
		a.arrived = time.Time{}
		a.available = a.departed.Add(minutes(1.2 * travel))
		return
	}
	a.patient = a.arrived.Add(minutes(d.around(6, 0.4)))
	a.left = a.arrived.Add(minutes(max(18, t.stabilization(d))))
	a.landed = a.left.Add(minutes(d.around(journey(t.vehicle, 0.9*t.from.km+12), 0.12)))
	a.handed = a.landed.Add(minutes(d.around(18, 0.35)))
	a.available = a.handed.Add(minutes(d.around(45, 0.35)))
}

func (t *trip) mobilization(d dice) float64 {
	middle := map[string]float64{"immediate": 22, "urgent": 25, "planned": 48}[t.urgency]
	if middle == 0 {
		middle = 27
	}
	if t.vehicle == "fixed_wing" {
		middle += 12
	}
	wait := d.around(middle, 0.30)
	if t.delay != "" {
		wait += d.around(42, 0.35)
	}
	return wait
}

// stabilization in minutes: medians of 97 (newborn) and 50 (older), Abdel-Latif and Berry, Arch Dis Child Fetal Neonatal Ed
// 2009;94:F282, stretched by the site's pace.
func (t *trip) stabilization(d dice) float64 {
	middle := 49.0
	if t.who.newborn() {
		middle = 93
		if t.who.gestation > 0 && t.who.gestation < 28*7 {
			middle = 104
		}
	}
	return d.around(middle*t.from.pace*slowing(t.from.name, t.month), 0.32)
}
