package measures

import (
	"context"
	"fmt"
	"maps"
	"math"
	"slices"

	"tripwake/queries"
)

// TrailSource is what a trail asks of package queries; *queries.Reader is one.
type TrailSource interface {
	AlarmMonths(ctx context.Context, from, to string) ([]queries.AlarmMonth, error)
	AlarmMakers(ctx context.Context, condition, from, to string, most int) ([]queries.AlarmMaker, error)
}

// AlarmTrail leads from a signal of the alarms to what lies behind it: the condition that moved most, from its rate before the
// signal to that since, the changes of its default limit, and the transports of the month with most of it.
type AlarmTrail struct {
	Condition     string
	Before, Since float64 // onsets per monitored hour: of high priority or repeats alone where the measure counts these
	Changes       []DefaultChange
	Makers        []queries.AlarmMaker
	Month         string // of the makers
}

// trailMakers is how many transports a trail names.
const trailMakers = 3

// Followed says whether a signal of a measure may have a trail in a review that begins with the month first: it is one of the alarms,
// with months before it.
func Followed(d Definition, sig Signal, first string) bool {
	return d.Section == "alarms" && len(sig.Months) > 0 && sig.Months[0] > first
}

// TrailOf follows a signal of a measure from the months before it to its own. months are all those of the review, from the first to
// the last. It is false where there are no months to compare with, or nothing moved to its side.
func TrailOf(ctx context.Context, from TrailSource, months []queries.AlarmMonth, d Definition, sig Signal, first string, changes []DefaultChange) (AlarmTrail, bool, error) {
	var t AlarmTrail
	if !Followed(d, sig, first) {
		return t, false, nil
	}
	begun, month := sig.Months[0], sig.Months[len(sig.Months)-1]
	last, err := MonthBefore(begun)
	if err != nil {
		return t, false, err
	}
	if t = furthest(ratesBy(months, d.ID, first, last), ratesBy(months, d.ID, begun, month), sig.Up); t.Condition == "" {
		return t, false, nil
	}
	t.Month, t.Changes = month, changesBehind(changes, t.Condition, last, month)
	t.Makers, err = from.AlarmMakers(ctx, t.Condition, month, month, trailMakers)
	return t, true, err
}

// ratesBy gives onsets per monitored hour by condition from one month to another, of the kind that a measure counts.
func ratesBy(months []queries.AlarmMonth, measure, from, to string) map[string]float64 {
	onsets, hours := map[string]int{}, map[string]float64{}
	for _, m := range months {
		if m.Month < from || m.Month > to {
			continue
		}
		hours[m.Month] = m.Hours
		if m.Condition != "" {
			onsets[m.Condition] += countedBy(m, measure)
		}
	}
	all := 0.0
	for _, month := range slices.Sorted(maps.Keys(hours)) {
		all += hours[month]
	}
	rates := map[string]float64{}
	for condition, n := range onsets {
		if all > 0 {
			rates[condition] = float64(n) / all
		}
	}
	return rates
}

// countedBy are the onsets of the kind that a measure counts.
func countedBy(m queries.AlarmMonth, measure string) int {
	switch measure {
	case "high_priority_alarms_per_hour":
		return m.High
	case "repeat_alarms":
		return m.Repeats
	}
	return m.Onsets
}

// furthest is the condition that moved most to one side; of equals the first by name.
func furthest(before, since map[string]float64, up bool) AlarmTrail {
	names := slices.Concat(slices.Collect(maps.Keys(before)), slices.Collect(maps.Keys(since)))
	slices.Sort(names)
	var t AlarmTrail
	most := 0.0
	for _, name := range slices.Compact(names) {
		moved := since[name] - before[name]
		if up == (moved > 0) && math.Abs(moved) > most {
			most, t = math.Abs(moved), AlarmTrail{Condition: name, Before: before[name], Since: since[name]}
		}
	}
	return t
}

// changesBehind are those of a condition that were first seen from one month to another.
func changesBehind(changes []DefaultChange, condition, from, to string) []DefaultChange {
	var found []DefaultChange
	for _, c := range changes {
		if c.Condition == condition && c.Month >= from && c.Month <= to {
			found = append(found, c)
		}
	}
	return found
}

// RatesWords tells how the condition moved: "from 1.20 to 4.51 per hour".
func (t AlarmTrail) RatesWords() string {
	return fmt.Sprintf("from %s to %s per hour", fixed(t.Before, 2), fixed(t.Since, 2))
}
