package invent

import (
	"fmt"
	"math"
	"strings"
	"time"
)

// scribe turns one trip into rows. It holds nothing beyond the trip.
type scribe struct {
	out     *folder
	region  *region
	t       *trip
	every   time.Duration
	seed    uint64
	awkward dice
}

// owner and part of a base's sheets; all further regions share files.
func (s *scribe) owner() (owner, part string) {
	if s.region.number > 0 {
		return moreRegions(s.region.number)
	}
	return "base-" + strings.ToLower(bases[s.t.base].name), ""
}

// moreRegions names the files of the regions after the first, ten to a file: the file before is closed, so that their number
// stays small.
func moreRegions(number int) (owner, part string) {
	return "more", fmt.Sprintf("%03d", (number-1)/10+1)
}

func (s *scribe) sheet(table string, row ...cell) {
	owner, part := s.owner()
	s.out.add(table, owner, part, spoil(s.awkward, row))
}

// write puts out everything that is known of a trip.
func (s *scribe) write() {
	s.transport()
	if !s.t.completed() {
		return
	}
	for _, a := range assessments(newDice(s.seed, streamAssessments, s.t.index), s.t) {
		s.assessment(s.t.id, a)
	}
	s.cylinders()
	s.checksAndCarried()
	s.eventRows()
	s.deviceLogs()
}

func (s *scribe) transport() {
	d := newDice(s.seed, streamSheet, s.t.index)
	row := s.transportRow(d, badStamps(d, s.t.at))
	if gap := s.region.missingHour(s.t); gap != "" {
		row[17] = text(strings.Replace(gap, " ", "T", 1))
		s.strayRow("settings", s.t.kit.ventilator, gap)
	}
	proper := append([]cell(nil), row...)
	if corrected(s.t.index) && s.t.wentOut() {
		row[11] = at(s.t.at.departed.Add(time.Hour))
	}
	s.sheet("transports", row...)
	owner, part := s.owner()
	if twice(s.t.index) {
		s.out.add("transports", owner, part, row)
	}
	if corrected(s.t.index) && s.t.wentOut() {
		s.out.add("transports", correctionsOf(owner), part, proper)
	}
}

// correctionsOf sorts after the sheets that it corrects, so that a load reads it later.
func correctionsOf(owner string) string {
	if owner == "more" {
		return "more-corrections"
	}
	return "corrections"
}

func (s *scribe) transportRow(d dice, a stamps) []cell {
	t := s.t
	row := []cell{text(t.id), text(bases[t.base].name), code(t.vehicle), code(t.urgency), code(t.disposition), code(t.reason),
		text(t.from.name), text(t.to), at(a.called), code(t.delay), at(a.accepted), at(a.departed), at(a.arrived), at(a.patient),
		at(a.left), at(a.landed), at(a.handed), at(a.available)}
	row = append(row, s.patientCells()...)
	if t.kit != nil {
		row = append(row, text(t.kit.ventilator.id))
	} else {
		row = append(row, cell{})
	}
	row = append(row, some(t.gas.duration, 0), some(t.gas.oxygen, 0), some(t.gas.air, 0))
	if d.chance(0.05) {
		n := len(row)
		row[n-1], row[n-2], row[n-3] = cell{}, cell{}, cell{}
	}
	return append(row, s.outcomeCells(d)...)
}

func (s *scribe) patientCells() []cell {
	w := s.t.who
	gestation := cell{}
	switch {
	case w.gestation > 0 && s.t.base == 0:
		gestation = text(fmt.Sprintf("%d+%d", w.gestation/7, w.gestation%7))
	case w.gestation > 0:
		gestation = num(float64(w.gestation)/7, 1)
	}
	cooling := cell{}
	if w.newborn() {
		cooling = flag(w.cooling)
	}
	return []cell{text(w.key), code(w.sex), gestation, some(w.birthWeight, 0), some(w.weight, 0), num(w.age, 1), code(w.diagnosis), cooling}
}

// outcomeCells are the eight last columns: tube, attempts, hand-over, deaths.
func (s *scribe) outcomeCells(d dice) []cell {
	row := make([]cell, 8)
	if !s.t.completed() {
		return row
	}
	if tubed(s.t) {
		row[0] = pick(d, []share[cell]{{flag(true), 0.93}, {flag(false), 0.04}, {cell{}, 0.03}})
		if d.chance(0.24) {
			attempts := pick(d, []share[float64]{{1, 0.70}, {2, 0.22}, {3, 0.08}})
			row[1], row[2] = num(attempts, 0), flag(d.chance(0.96))
		}
	} else if len(s.t.course) > 0 && d.chance(0.09) {
		row[3] = num(step(d.around(9, 0.9), 0.5), 1)
		row[4] = code(pick(d, []share[string]{{"respiratory", 0.65}, {"surgery", 0.25}, {"other", 0.10}}))
	}
	structured := 0.68
	if s.t.month > 3 || s.t.month == 3 && s.t.at.called.Day() >= 17 {
		structured = 0.88
	}
	if !d.chance(0.04) {
		row[5] = flag(d.chance(structured))
	}
	row[6] = flag(d.chance(0.0025))
	if !d.chance(0.07) {
		row[7] = flag(d.chance(0.01 + 0.16*math.Pow(s.t.who.severity, 4)))
	}
	return row
}

func (s *scribe) assessment(id string, a assessment) {
	s.sheet("assessments", text(id), code(a.stage), at(a.at), num(a.temperature, 1), code(a.distress), num(a.breaths, 0),
		num(a.heart, 0), num(a.spo2, 0), num(a.fio2, 0), num(a.systolic, 0), code(a.response), num(a.meanPressure, 1), num(a.ph, 2),
		num(a.pco2, 1), num(a.po2, 0), num(a.glucose, 0))
	if stranger(s.t.index) && a.stage == "receiving_arrival" && id == s.t.id {
		s.assessment(strangerID(s.t.index), a)
	}
}

func (s *scribe) cylinders() {
	d := newDice(s.seed, streamCylinders, s.t.index)
	for _, c := range s.t.gas.cylinders {
		supply := c.supply
		if supply == "carried" && d.chance(0.15) {
			supply = "" // counts as carried
		}
		start, end := pressureCells(d, c)
		warm := cell{}
		if c.supply != "wall" && d.chance(0.06) {
			warm = num(step(d.normal(19, 6), 1), 0)
		}
		s.sheet("cylinders", text(s.t.id), text(c.id), code(supply), code(c.gas), text(c.size), some(c.concentration, 0), at(c.opened),
			at(c.closed), start, end, warm, warm, some(c.startMass, 2), some(c.endMass, 2))
	}
}

// pressureCells are in kPa; one sheet in seventy lacks the reading at the end.
func pressureCells(d dice, c cylinder) (start, end cell) {
	if c.supply == "wall" || c.factor == 0 {
		return cell{}, cell{}
	}
	start, end = num(c.start*kPaPerPsi, 0), num(c.end*kPaPerPsi, 0)
	if d.chance(0.014) {
		end = cell{}
	}
	return start, end
}

func (s *scribe) checksAndCarried() {
	d := newDice(s.seed, streamChecks, s.t.index)
	k := s.t.kit
	result := []share[string]{{"pass", 0.93}, {"fail", 0.02}, {"skipped", 0.05}}
	for _, kind := range []string{"leak", "oxygen_sensor", "battery", "gas_contents"} {
		if d.chance(0.06) {
			continue
		}
		id := s.t.id
		if d.chance(0.4) {
			id = ""
		}
		when := s.t.at.accepted.Add(-minutes(d.between(-10, 600)))
		s.sheet("checks", text(id), text(k.ventilator.id), at(when), code(kind), code(pick(d, result)))
	}
	s.sheet("carried", text(s.t.id), text(k.monitor.id))
	if s.t.who.newborn() {
		s.sheet("carried", text(s.t.id), text(k.incubator.id))
	}
	if d.chance(0.7) {
		s.sheet("carried", text(s.t.id), text(k.pump.id))
	}
	for _, c := range s.t.gas.cylinders {
		if c.gas == "nitric_oxide" {
			s.sheet("carried", text(s.t.id), text(strings.Replace(k.ventilator.id, k.ventilator.id[:2], "N1", 1)))
		}
	}
}

func (s *scribe) eventRows() {
	for i, e := range s.t.events {
		id := text(fmt.Sprintf("E%s-%d", s.t.id[1:], i+1))
		preventable := cell{}
		if e.judged {
			preventable = flag(e.preventable)
		}
		s.sheet("events", id, text(s.t.id), at(e.at), code(e.kind), code(e.harm), preventable, text(e.device), text(e.text))
	}
}
