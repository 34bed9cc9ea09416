package invent

import "time"

// powerRow is one row of a power log; charge in %.
type powerRow struct {
	at     time.Time
	source string
	charge float64
	dimmed bool
}

// powerLog invents the ventilator's power: mains at the bedside, battery to the vehicle, the vehicle's supply where it has
// one, battery to the receiving bed, mains again, off.
func powerLog(d dice, t *trip) []powerRow {
	log := battery{d: d, charge: d.between(92, 100), minutes: remaining(t)}
	log.dimmed = t.vehicle == "rotor" && d.chance(0.3)
	log.to(t.at.departed.Add(minutes(2)), "external")
	log.to(t.at.arrived.Add(minutes(1)), "battery")
	log.to(t.at.patient.Add(minutes(d.between(3, 9))), "external")
	log.to(t.at.left.Add(-minutes(d.between(6, 14))), "battery")
	if !unpowered(d, t) && !(t.vehicle == "rotor" && d.chance(0.35)) {
		log.to(t.at.left.Add(minutes(d.between(2, 6))), "external")
		log.to(t.at.landed.Add(minutes(1)), "battery")
	}
	log.to(t.at.handed.Add(minutes(1)), "external")
	log.to(t.at.handed.Add(minutes(d.between(8, 20))), "off")
	return log.rows
}

// unpowered: the vehicle of the last base often has no supply for the ventilator, and from a month of the story on never,
// so that the battery carries the whole leg.
func unpowered(d dice, t *trip) bool {
	return t.base == poorBase && (t.month >= fadingFrom || d.chance(0.3))
}

// remaining is the endurance that the battery still has, in minutes: the tired one fades.
func remaining(t *trip) float64 {
	rated := t.kit.ventilator.endurance
	if t.kitNumber == tiredKit {
		return rated * fading(t.month)
	}
	return rated * 0.97
}

// emptyBelow is the charge in % at or below which a ventilator on battery warns.
const emptyBelow = 20

// emptying is the alarm of a battery that runs low, from the first row that shows it until another source takes over.
func emptying(log []powerRow) []dip {
	for i, row := range log {
		if row.source != "battery" || row.charge > emptyBelow {
			continue
		}
		for _, later := range log[i:] {
			if later.source != "battery" {
				return []dip{{from: row.at, to: later.at, condition: "battery_low", quantity: "battery_charge", priority: "high",
					value: row.charge, limit: emptyBelow, alarmed: true}}
			}
		}
	}
	return nil
}

type battery struct {
	d       dice
	rows    []powerRow
	charge  float64
	minutes float64
	dimmed  bool
}

// to closes the stretch before and opens the next; on battery a row every ten minutes or so keeps the charge.
func (b *battery) to(at time.Time, source string) {
	b.fillTo(at)
	if n := len(b.rows); n > 0 && !at.After(b.rows[n-1].at) {
		at = b.rows[n-1].at.Add(10 * time.Second)
	}
	b.add(at, source)
}

func (b *battery) add(at time.Time, source string) {
	b.rows = append(b.rows, powerRow{at, source, step(clamp(b.charge, 1, 100), 1), b.dimmed && source == "battery"})
}

func (b *battery) fillTo(at time.Time) {
	if len(b.rows) == 0 {
		return
	}
	last := b.rows[len(b.rows)-1]
	for last.source == "battery" && at.Sub(last.at) > 15*time.Minute {
		b.spend(last.source, 10)
		last.at = last.at.Add(10 * time.Minute)
		b.add(last.at, "battery")
	}
	b.spend(last.source, at.Sub(last.at).Minutes())
}

func (b *battery) spend(source string, minutes float64) {
	if source == "battery" {
		b.charge = clamp(b.charge-100*minutes/b.minutes, 1, 100)
		return
	}
	b.charge = clamp(b.charge+0.5*minutes, 1, 100)
}
