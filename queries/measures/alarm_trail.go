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
	AlarmGroups(ctx context.Context, by, from, to string) ([]queries.AlarmGroup, error)
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

// TrailOf follows a signal of a measure of section alarms that takes in the month. It is false where there are no months
// before the signal to compare with, or nothing moved to its side.
func TrailOf(ctx context.Context, from TrailSource, s Standing, first, month string, changes []DefaultChange) (AlarmTrail, bool, error) {
	var t AlarmTrail
	if s.Definition.Section != "alarms" || len(s.Signal.Months) == 0 || s.Signal.Months[0] <= first {
		return t, false, nil
	}
	begun := s.Signal.Months[0]
	last, err := MonthBefore(begun)
	if err != nil {
		return t, false, err
	}
	before, err := from.AlarmGroups(ctx, "condition", first, last)
	if err != nil {
		return t, false, err
	}
	since, err := from.AlarmGroups(ctx, "condition", begun, month)
	if err != nil {
		return t, false, err
	}
	if t = furthest(ratesBy(before, s.Definition.ID), ratesBy(since, s.Definition.ID), s.Signal.Up); t.Condition == "" {
		return t, false, nil
	}
	t.Month, t.Changes = month, changesBehind(changes, t.Condition, last, month)
	t.Makers, err = from.AlarmMakers(ctx, t.Condition, month, month, trailMakers)
	return t, true, err
}

// ratesBy gives onsets per monitored hour by condition, of the kind that a measure counts.
func ratesBy(groups []queries.AlarmGroup, measure string) map[string]float64 {
	rates := map[string]float64{}
	for _, g := range groups {
		if g.Hours <= 0 {
			continue
		}
		n := g.Onsets
		switch measure {
		case "high_priority_alarms_per_hour":
			n = g.High
		case "repeat_alarms":
			n = g.Repeats
		}
		rates[g.Name] = float64(n) / g.Hours
	}
	return rates
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
