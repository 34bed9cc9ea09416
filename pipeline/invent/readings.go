package invent

import (
	"math"
	"time"
)

// reading is one measured value; places are decimals.
type reading struct {
	at       time.Time
	quantity string
	value    float64
	places   places
}

// places is a number of decimals.
type places int

func (p places) grain() float64 { return math.Pow10(-int(p)) }

// placesOf says how finely a device shows a quantity: the tidal volumes of the small to a tenth of a mL.
func placesOf(quantity string, who patient) places {
	switch quantity {
	case "expired_tidal_volume":
		if who.weight < 10000 {
			return 1
		}
	case "mean_airway_pressure", "minute_volume", "flow", "temperature", "peep":
		return 1
	}
	return 0
}

// channel is a quantity that a device logs at every n-th sample, with its noise (a part of the target).
type channel struct {
	quantity string
	noise    float64
	every    int
}

var channelsOf = map[string][]channel{
	"invasive": {{"pip", 0.03, 1}, {"mean_airway_pressure", 0.03, 1}, {"rate", 0.08, 1}, {"expired_tidal_volume", 0.035, 1},
		{"fio2", 0.01, 4}, {"leak", 0.3, 6}, {"peep", 0.04, 4}},
	"high_frequency": {{"mean_airway_pressure", 0.02, 1}, {"fio2", 0.01, 4}},
	"nippv":          {{"pip", 0.05, 1}, {"mean_airway_pressure", 0.05, 1}, {"leak", 0.3, 2}, {"fio2", 0.01, 4}, {"peep", 0.05, 4}},
	"cpap":           {{"mean_airway_pressure", 0.05, 1}, {"leak", 0.3, 2}, {"fio2", 0.01, 4}},
	"high_flow":      {{"flow", 0.02, 2}, {"fio2", 0.01, 4}},
	"low_flow":       {{"flow", 0.04, 4}},
}

var monitorChannels = []channel{{"spo2", 0.012, 1}, {"heart_rate", 0.03, 1}, {"temperature", 0.002, 20}, {"blood_pressure", 0.05, 10}}

// live is a channel while it is logged, with how far it has wandered.
type live struct {
	channel
	drift  float64
	places places
}

// target is the value about which a quantity wanders under a setting.
func target(quantity string, s setting, who patient) float64 {
	switch quantity {
	case "pip":
		return s.pip
	case "peep":
		return s.peep
	case "mean_airway_pressure":
		return meanAirwayPressure(s)
	case "rate":
		return s.rate * 1.12 // the patient's own breaths on top
	case "expired_tidal_volume":
		return 5.2 * who.kilos()
	case "flow":
		return s.flow
	case "fio2":
		return s.fio2
	case "leak":
		if s.iface == "tube" {
			return 8
		}
		return 30
	default:
		return vitalSign(quantity, who)
	}
}

// cyanotic patients have a low saturation that is theirs.
func cyanotic(who patient) bool { return who.diagnosis == "cardiac" && who.newborn() }

func meanAirwayPressure(s setting) float64 {
	if s.meanPressure > 0 {
		return s.meanPressure
	}
	return s.peep + (s.pip-s.peep)*min(0.6, s.rate*s.ti/60)*boolean(s.pip > 0)
}

func vitalSign(quantity string, who patient) float64 {
	years := who.age / 365.25
	switch quantity {
	case "spo2":
		if cyanotic(who) {
			return 90.5
		}
		return 95
	case "heart_rate":
		return 85 + 62*math.Exp(-years/5)
	case "temperature":
		if who.cooling {
			return 36.1 // a cooled patient's probe is read elsewhere; the log keeps the skin
		}
		return 36.8
	default: // blood_pressure, mean
		return 36 + 30*(1-math.Exp(-years/4)) + 4*boolean(who.weight > 2500)
	}
}

func boolean(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// ventilatorReadings calls yield with each value of the ventilator's trend log, in order of time; only its own state is
// kept. Nothing is logged without support.
func ventilatorReadings(d dice, t *trip, every time.Duration, yield func(reading)) {
	for i := 1; i+1 < len(t.course); i++ {
		s := t.course[i]
		if s.supported() {
			l := trendLog{d: d, t: t, channels: prepared(channelsOf[s.class], t.who), setting: s, yield: yield}
			l.run(firstSample(s.at, t.course[1].at, every), t.course[i+1].at, every)
		}
	}
}

// monitorReadings calls yield with each value of the monitor's trend log.
func monitorReadings(d dice, t *trip, every time.Duration, yield func(reading)) {
	l := trendLog{d: d, t: t, channels: prepared(monitorChannels, t.who), yield: yield, monitor: true}
	l.run(t.at.patient.Add(time.Minute), t.at.handed, every)
}

// firstSample keeps the samples on one grid through all changes of setting.
func firstSample(at, origin time.Time, every time.Duration) time.Time {
	steps := (at.Sub(origin) + every - 1) / every
	return origin.Add(steps * every)
}

type trendLog struct {
	d        dice
	t        *trip
	channels []live
	setting  setting
	monitor  bool
	yield    func(reading)
	active   []dip
}

func prepared(from []channel, who patient) []live {
	out := make([]live, len(from))
	for i, c := range from {
		out[i] = live{channel: c, places: placesOf(c.quantity, who)}
	}
	return out
}

func (l *trendLog) run(from, to time.Time, every time.Duration) {
	n := 0
	for at := from; at.Before(to); at = at.Add(every) {
		l.look(at)
		for i := range l.channels {
			if c := &l.channels[i]; n%c.every == 0 {
				l.yield(reading{at, c.quantity, l.value(c), c.places})
			}
		}
		n++
	}
}

// look keeps the dips that this device shows at a moment.
func (l *trendLog) look(at time.Time) {
	l.active = l.active[:0]
	for _, p := range l.t.dips {
		if p.from.After(at) {
			break
		}
		if p.monitor == l.monitor && p.quantity != "" && at.Before(p.to) {
			l.active = append(l.active, p)
		}
	}
}

// value is the target with a slow wander and a little noise, or the dip's value while one lasts.
func (l *trendLog) value(c *live) float64 {
	for _, p := range l.active {
		if p.quantity == c.quantity {
			return p.value
		}
	}
	c.drift = 0.9*c.drift + 0.3*l.d.normal(0, c.noise)
	v := target(c.quantity, l.setting, l.t.who) * (1 + c.drift + l.d.normal(0, 0.3*c.noise))
	switch c.quantity {
	case "spo2", "leak":
		v = clamp(v, 0, 100)
	case "fio2":
		v = clamp(v, 20.9, 100)
	}
	return v
}
