package invent

import "time"

// shift is a change of the clocks within the period: at is the instant, month counts from 1, back is the autumn's. missing is a
// local time that the spring's skips.
type shift struct {
	at      time.Time
	month   int
	back    bool
	missing string
	used    bool
}

// clockShifts finds the changes hour by hour from the rules of the zone.
func clockShifts(first time.Time, months int) []shift {
	var out []shift
	_, before := first.Zone()
	for at := first; at.Before(first.AddDate(0, months, 0)); at = at.Add(time.Hour) {
		_, offset := at.Zone()
		if offset == before {
			continue
		}
		month := (at.Year()-first.Year())*12 + int(at.Month()-first.Month()) + 1
		s := shift{at: at, month: month, back: offset < before}
		if !s.back {
			s.missing = skipped(at, before)
		}
		out = append(out, s)
		before = offset
	}
	return out
}

// skipped writes the local time half an hour into the hour that does not exist: what the clock of before would have shown.
func skipped(at time.Time, before int) string {
	return at.Add(30 * time.Minute).In(time.FixedZone("", before)).Format(localSpace)
}

// missingHour hands out, once, a time of the hour that spring skips, to the first completed transport after it.
func (g *region) missingHour(t *trip) string {
	for i := range g.shifts {
		s := &g.shifts[i]
		if !s.back && !s.used && t.completed() && t.month == s.month && t.at.called.After(s.at) {
			s.used = true
			return s.missing
		}
	}
	return ""
}

// badStamps is what a dispatcher leaves out or mistypes: a stamp missing now and then, two stamps swapped more rarely.
func badStamps(d dice, a stamps) stamps {
	for _, t := range []*time.Time{&a.departed, &a.arrived, &a.patient, &a.left, &a.landed, &a.handed, &a.available} {
		if d.chance(0.012) {
			*t = time.Time{}
		}
	}
	if d.chance(0.007) {
		a.left, a.landed = a.landed, a.left
	}
	return a
}

// Which requests have a corrected row, a row exported twice, and rows that name a transport nobody knows.
func corrected(n int) bool    { return n%271 == 17 }
func twice(n int) bool        { return n%199 == 5 }
func stranger(n int) bool     { return n%331 == 9 }
func strangerID(n int) string { return identifier(n + 900000 - 1) }

// spoilt are the rows of a thousand that get one bad cell.
const spoilt = 3.5

var badCells = map[cellKind][]string{
	codeCell:   {"code_41", "see note", "?"},
	numberCell: {"n/k", "-999999", "1.2.3", "9999999999"},
	timeCell:   {"31/31/2025 25:61", "yesterday", "0000-00-00 00:00:00"},
}

// spoil replaces one cell of a row, rarely: a refused row where the cell is required, a refused cell where it is not.
func spoil(d dice, row []cell) []cell {
	if !d.chance(spoilt / 1000) {
		return row
	}
	var at []int
	for i, c := range row {
		if badCells[c.kind] != nil {
			at = append(at, i)
		}
	}
	if len(at) > 0 {
		i := one(d, at)
		row[i] = text(one(d, badCells[row[i].kind]))
	}
	return row
}

// oddReading is the bad part of a readings row.
type oddReading struct {
	part oddPart
	text string
}

type oddPart uint8

const (
	oddNothing oddPart = iota
	oddQuantity
	oddValue
	oddUnit
)

// or is the odd text where that part is odd, else the text as it should be.
func (o oddReading) or(part oddPart, proper string) string {
	if o.part == part {
		return o.text
	}
	return proper
}

var oddReadings = []oddReading{{oddValue, "---"}, {oddValue, "99999"}, {oddValue, "-250"}, {oddQuantity, "compliance_x"},
	{oddUnit, "furlong"}}

// maybeOdd spoils three readings in a thousand.
func maybeOdd(d dice) oddReading {
	if d.Uint32N(1000) < 3 {
		return one(d, oddReadings)
	}
	return oddReading{}
}

// again says where a device's log of a month was exported twice: the second export overlaps the first.
func again(table string, kit, month int) bool {
	switch table {
	case "settings":
		return kit <= 1 && (month == 5 || month == 6)
	case "readings":
		return kit == 1 && month == 5
	case "alarms":
		return kit == 0 && month == 4
	}
	return false
}
