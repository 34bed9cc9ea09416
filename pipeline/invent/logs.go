package invent

import (
	"strings"
	"time"
)

// period parts the logs of readings into files of a quarter.
func period(table string, when time.Time) string {
	if table != "readings" {
		return ""
	}
	return when.Format("2006") + "q" + string(rune('1'+(when.Month()-1)/3))
}

// log writes one row of a device's log, and a second time where that month was exported twice.
func (s *scribe) log(table string, d *device, row []cell) {
	row = spoil(s.awkward, row)
	for _, f := range s.files(table, d) {
		f.add(table, row)
	}
}

func (s *scribe) files(table string, d *device) []*file {
	part := period(table, s.t.at.called)
	owner := d.id
	if s.region.number > 0 {
		owner, part = moreRegions(s.region.number)
	}
	files := s.out.sheets(nil, table, owner, part)
	if s.region.number == 0 && d.kind == "ventilator" && again(table, s.t.kitNumber, s.t.month) {
		files = s.out.sheets(files, table, owner+"-again", "")
	}
	return files
}

// named is the transport's id where the device's log bears it.
func (s *scribe) named(d *device) string {
	if d.named {
		return s.t.id
	}
	return ""
}

func (s *scribe) deviceLogs() {
	v := s.t.kit.ventilator
	for _, row := range s.t.course {
		s.log("settings", v, settingRow(s.named(v), v, row))
	}
	power := powerLog(newDice(s.seed, streamPower, s.t.index), s.t)
	for _, row := range power {
		s.log("power", v, []cell{text(s.named(v)), text(v.id), at(row.at.Add(v.clock)), code(row.source), num(row.charge, 0), flag(row.dimmed)})
	}
	for _, p := range append(emptying(power), s.t.dips...) {
		if p.alarmed {
			s.alarm(p)
		}
	}
	s.readings(s.t.kit.ventilator, ventilatorReadings)
	s.readings(s.t.kit.monitor, monitorReadings)
	s.bench()
}

func settingRow(id string, d *device, s setting) []cell {
	row := []cell{text(id), text(d.id), at(s.at.Add(d.clock)), code(s.mode), code(s.iface)}
	flow := cell{}
	if s.supported() {
		flow = flag(!s.intermittent)
	}
	return append(row, flow, some(s.pip, 0), some(s.peep, 1), some(s.support, 0), some(s.rate, 0), some(s.ti, 2), some(s.flow, 1),
		some(s.trigger, 1), some(s.fio2, 0), some(s.nitric, 0), some(s.meanPressure, 1), some(s.amplitude, 0), some(s.hertz, 1))
}

func (s *scribe) alarm(p dip) {
	d := s.t.kit.ventilator
	if p.monitor {
		d = s.t.kit.monitor
	}
	limit, observed := cell{}, cell{}
	if p.quantity != "" {
		places := int(placesOf(p.quantity, s.t.who))
		limit, observed = num(p.limit, places), num(p.value, places)
	}
	ended := at(p.to.Add(d.clock))
	if s.awkward.chance(0.01) {
		ended = cell{}
	}
	silenced := cell{}
	if !p.silenced.IsZero() {
		silenced = at(p.silenced.Add(d.clock))
	}
	s.log("alarms", d, []cell{text(s.named(d)), text(d.id), at(p.from.Add(d.clock)), ended, silenced, code(p.condition),
		code(p.priority), limit, observed, {}})
}

// source is a function that yields the readings of one device on one trip.
type source func(d dice, t *trip, every time.Duration, yield func(reading))

func (s *scribe) readings(d *device, from source) {
	files := s.files("readings", d)
	id := s.named(d)
	stream := streamReadings
	if d.kind == "monitor" {
		stream = streamMonitor
	}
	rolls := newDice(s.seed, stream, s.t.index)
	from(rolls, s.t, s.every, func(r reading) {
		r.at = r.at.Add(d.clock)
		odd := maybeOdd(rolls)
		for _, f := range files {
			f.addReading(id, d.id, r, odd)
		}
	})
}

// strayRow writes one row of a log at a local time that does not exist: it must be refused.
func (s *scribe) strayRow(table string, d *device, stamp string) {
	row := settingRow("", d, setting{mode: "standby", iface: "none"})
	row[2] = text(strings.Replace(stamp, " ", "T", 1))
	for _, f := range s.files(table, d) {
		f.add(table, row)
	}
}

// bench is a test in the workshop, some hours after the trip: rows that belong to no transport. The kit stays there a while.
func (s *scribe) bench() {
	rolls := newDice(s.seed, streamBench, s.t.index)
	if !rolls.chance(0.035) {
		return
	}
	v := s.t.kit.ventilator
	from := s.t.at.available.Add(70 * time.Minute)
	s.region.free[s.t.kitNumber] = from.Add(90 * time.Minute)
	test := setting{at: from, class: "invasive", mode: "cmv", iface: "tube", pip: 20, peep: 5, rate: 40, ti: 0.4, flow: 8, fio2: 21}
	s.log("settings", v, settingRow("", v, test))
	s.log("settings", v, settingRow("", v, setting{at: from.Add(7 * time.Minute), class: "none", mode: "off"}))
	s.log("alarms", v, []cell{{}, text(v.id), at(from.Add(2 * time.Minute)), at(from.Add(3 * time.Minute)), {}, code("disconnection"),
		code("high"), {}, {}, {}})
	files := s.files("readings", v)
	for n := range 12 {
		r := reading{from.Add(time.Duration(n) * 30 * time.Second), "pip", rolls.normal(20, 0.3), 0}
		for _, f := range files {
			f.addReading("", v.id, r, oddReading{})
		}
	}
}
