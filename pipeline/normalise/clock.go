package normalise

import (
	"fmt"
	"sort"
	"strings"
	"time"
)

// Clock turns local times into UTC by the rules of one IANA zone, for times within a span of years.
//
// The engine's own zone functions are not used: row by row they cost more than reading the file, and they move times in
// the missing hour forward and take the later of two in the repeated hour without a word.
type Clock struct {
	first   time.Duration // offset before the first change
	changes []change
}

// change is one change of the zone's offset: at is its moment as the clock showed it just before.
type change struct {
	at            time.Time // local, before the change
	before, after time.Duration
}

// NewClock finds the changes of the zone's offset from the start of the first year to the end of the last. It compares the
// offsets of day after day: time.ZoneBounds, made for this, gives back its own argument at the end of some years.
func NewClock(zone *time.Location, firstYear, lastYear int) Clock {
	day := time.Date(firstYear, 1, 1, 0, 0, 0, 0, time.UTC).Add(-48 * time.Hour)
	end := time.Date(lastYear+1, 1, 1, 0, 0, 0, 0, time.UTC).Add(48 * time.Hour)
	c := Clock{first: offset(day, zone)}
	for before := c.first; day.Before(end); day = day.Add(24 * time.Hour) {
		after := offset(day.Add(24*time.Hour), zone)
		if after != before {
			c.changes = append(c.changes, change{moment(day, zone).Add(before), before, after})
		}
		before = after
	}
	return c
}

// moment finds the second of the day that follows at which the offset changes.
func moment(day time.Time, zone *time.Location) time.Time {
	before := offset(day, zone)
	second := sort.Search(24*60*60, func(i int) bool {
		return offset(day.Add(time.Duration(i)*time.Second), zone) != before
	})
	return day.Add(time.Duration(second) * time.Second)
}

func offset(at time.Time, zone *time.Location) time.Duration {
	_, seconds := at.In(zone).Zone()
	return time.Duration(seconds) * time.Second
}

// offsetSQL is the offset, in microseconds, of a local timestamp; in the repeated hour that of the first pass.
func (c Clock) offsetSQL(local string) string {
	if len(c.changes) == 0 {
		return fmt.Sprint(c.first.Microseconds())
	}
	var b strings.Builder
	b.WriteString("case")
	for i := len(c.changes) - 1; i >= 0; i-- {
		fmt.Fprintf(&b, " when %s >= %s then %d", local, timestampSQL(c.changes[i].at), c.changes[i].after.Microseconds())
	}
	fmt.Fprintf(&b, " else %d end", c.first.Microseconds())
	return b.String()
}

// missingSQL is true for local times that the clock never showed: the spring hour.
func (c Clock) missingSQL(local string) string {
	return anySpan(local, c.changes, func(ch change) (time.Time, time.Time) {
		return ch.at, ch.at.Add(ch.after - ch.before)
	})
}

// repeatedSQL is how far the second pass lies behind the first, in microseconds, for local times that the clock showed
// twice; NULL for all others.
func (c Clock) repeatedSQL(local string) string {
	var b strings.Builder
	for _, ch := range c.changes {
		if back := ch.before - ch.after; back > 0 {
			fmt.Fprintf(&b, " when %s >= %s and %s < %s then %d", local, timestampSQL(ch.at.Add(-back)), local, timestampSQL(ch.at), back.Microseconds())
		}
	}
	if b.Len() == 0 {
		return "null::bigint"
	}
	return "case" + b.String() + " end"
}

func anySpan(local string, changes []change, span func(change) (time.Time, time.Time)) string {
	var terms []string
	for _, ch := range changes {
		if from, to := span(ch); from.Before(to) {
			terms = append(terms, fmt.Sprintf("(%s >= %s and %s < %s)", local, timestampSQL(from), local, timestampSQL(to)))
		}
	}
	if len(terms) == 0 {
		return "false"
	}
	return "(" + strings.Join(terms, " or ") + ")"
}

func timestampSQL(at time.Time) string { return at.Format("timestamp '2006-01-02 15:04:05'") }
