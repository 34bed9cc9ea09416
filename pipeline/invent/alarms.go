package invent

import (
	"sort"
	"time"
)

// dip is an excursion of one quantity, seen by one device: the readings show it while it lasts, and where it crosses the
// limit in force it is an alarm row. Without quantity only the alarm tells of it.
type dip struct {
	from, to  time.Time
	monitor   bool
	condition string
	quantity  string
	priority  string
	value     float64
	limit     float64
	silenced  time.Time
	alarmed   bool
}

// hazard is a kind of excursion: how often per hour, how deep (as a part of the target where relative, else absolute), and
// the limit on the same scale.
type hazard struct {
	condition, quantity, priority string
	perHour, shallow, deep, limit float64
	relative, monitor             bool
}

var invasiveHazards = []hazard{
	{"expired_tidal_volume_low", "expired_tidal_volume", "medium", 12, 0.86, 0.52, 0, true, false},
	{"pip_high", "pip", "high", 0.6, 1.32, 1.6, 1.3, true, false},
	{"rate_high", "rate", "low", 0.5, 1.7, 2.2, 1.6, true, false},
	{"apnea", "", "high", 0.2, 0, 0, 0, false, false},
	{"disconnection", "", "high", 0.15, 0, 0, 0, false, false},
	{"leak", "leak", "low", 0.5, 45, 80, 40, false, false},
}

var nasalHazards = []hazard{
	{"leak", "leak", "low", 1.4, 62, 90, 60, false, false},
	{"mean_airway_pressure_low", "mean_airway_pressure", "medium", 0.9, 0.65, 0.3, 0.7, true, false},
	{"disconnection", "", "high", 0.25, 0, 0, 0, false, false},
}

var oscillationHazards = []hazard{
	{"mean_airway_pressure_high", "mean_airway_pressure", "high", 0.5, 1.3, 1.6, 1.25, true, false},
	{"mean_airway_pressure_low", "mean_airway_pressure", "high", 0.5, 0.7, 0.4, 0.75, true, false},
}

var flowHazards = []hazard{
	{"occlusion", "", "medium", 0.2, 0, 0, 0, false, false},
	{"technical", "", "low", 0.1, 0, 0, 0, false, false},
}

var monitorHazards = []hazard{
	{"spo2_low", "spo2", "medium", 1.3, 87, 68, saturationLimit, false, true},
	{"heart_rate_low", "heart_rate", "high", 0.3, 0.62, 0.45, 0.66, true, true},
	{"heart_rate_high", "heart_rate", "medium", 0.3, 1.32, 1.5, 1.3, true, true},
	{"blood_pressure_low", "blood_pressure", "medium", 0.2, 0.72, 0.55, 0.75, true, true},
	{"temperature_low", "temperature", "low", 0.12, 35.9, 34.6, 36.0, false, true},
}

var hazardsOf = map[string][]hazard{"invasive": invasiveHazards, "cpap": nasalHazards, "nippv": nasalHazards,
	"high_frequency": oscillationHazards, "high_flow": flowHazards, "low_flow": flowHazards}

// excursions draws all dips of a transport, in order of time; the lesser ones, which seldom alarm, from dice of their own. One
// in thirty transports has a storm.
func excursions(d, lesser dice, t *trip) []dip {
	var out []dip
	hours := t.at.handed.Sub(t.at.patient).Hours()
	for _, h := range monitorHazards {
		out = append(out, h.draw(d, t, hours)...)
	}
	if len(t.course) > 2 {
		for _, h := range hazardsOf[t.course[1].class] {
			out = append(out, h.draw(d, t, hours)...)
		}
		if d.chance(0.035) {
			out = append(out, storm(d, t)...)
		}
	}
	out = append(out, shallowDips(lesser, t, hours)...)
	sort.SliceStable(out, func(i, j int) bool { return out[i].from.Before(out[j].from) })
	return out
}

// draw spreads the dips of one hazard at random over the time; one in five comes back within a minute.
func (h hazard) draw(d dice, t *trip, hours float64) []dip {
	var out []dip
	restless := d.around(0.86, 0.55) // some patients alarm far more than others
	for at := d.ExpFloat64(); at < hours*h.perHour*restless; at += d.ExpFloat64() {
		from := t.at.patient.Add(time.Duration(at / (h.perHour * restless) * float64(time.Hour)).Truncate(time.Second))
		out = append(out, h.at(d, t, from)...)
		if last := len(out) - 1; last >= 0 && d.chance(0.2) {
			out = append(out, h.at(d, t, out[last].to.Add(seconds(d.between(8, 50))))...)
		}
	}
	return out
}

// shallow are the lesser dips of the saturation that end by themselves. They happen in every month, and alarm only under the limit of
// the last one.
var shallow = hazard{"spo2_low", "spo2", "medium", 8, 89, 91.4, saturationLimit, false, true}

func shallowDips(d dice, t *trip, hours float64) []dip {
	if cyanotic(t.who) {
		return nil // they live there
	}
	return shallow.draw(d, t, hours)
}

// at is the dip that begins at a moment, none if the support then in force is of another class or the trip is over.
func (h hazard) at(d dice, t *trip, from time.Time) []dip {
	p := dip{from: from, to: from.Add(seconds(clamp(d.around(22, 0.8), 4, 240))), monitor: h.monitor, condition: h.condition,
		quantity: h.quantity, priority: h.priority, alarmed: true}
	if p.to.After(t.at.handed.Add(-time.Minute)) {
		return nil
	}
	s, ok := inForce(t.course, from)
	if !h.monitor && (!ok || !s.supported() || s.class != t.course[1].class) {
		return nil
	}
	if h.quantity != "" {
		p.value, p.limit = d.between(min(h.shallow, h.deep), max(h.shallow, h.deep)), h.limit
		h.scale(&p, t, s)
	}
	if d.chance(0.3) {
		p.silenced = p.from.Add(p.to.Sub(p.from) / 2).Truncate(time.Second)
	}
	return []dip{p}
}

// scale turns parts of the target into values. The low limit of the tidal volume is per kg; the story changes it, and that of
// the saturation.
func (h hazard) scale(p *dip, t *trip, s setting) {
	if h.relative {
		target := target(h.quantity, s, t.who)
		p.value, p.limit = p.value*target, p.limit*target
	}
	if h.condition == "expired_tidal_volume_low" {
		p.limit = tidalVolumeLimit(t.month) * t.who.kilos()
		p.alarmed = p.value < p.limit
	}
	if h.quantity == "spo2" {
		p.limit = lowSaturationLimit(t)
		p.alarmed = p.value < p.limit
	}
	places := placesOf(h.quantity, t.who)
	p.value, p.limit = step(p.value, places.grain()), step(p.limit, places.grain())
}

// storm is a dozen and more alarms in a few minutes: a circuit that came loose while loading.
func storm(d dice, t *trip) []dip {
	var out []dip
	from := t.at.left.Add(minutes(d.between(-12, 5)))
	for range 12 + d.IntN(8) {
		kind := hazard{condition: pick(d, []share[string]{{"disconnection", 0.5}, {"technical", 0.2}, {"leak", 0.3}}), priority: "high"}
		out = append(out, kind.at(d, t, from)...)
		from = from.Add(seconds(d.between(12, 38)))
	}
	return out
}
