package measures

import (
	"cmp"
	"slices"

	"tripwake/queries"
)

// AlarmTally is how often one condition alarmed, most frequent first in a list.
type AlarmTally struct {
	Condition        string
	High, Other, All int     // onsets of priority high, of any other or none, and together
	Cumulative       float64 // % of all onsets that this condition and those before it make up
	Month            int     // onsets in the month under report
}

// AlarmTallies adds up onsets by condition over a span of months, and beside it those of the month under report.
func AlarmTallies(span, month []queries.AlarmCondition) []AlarmTally {
	found := map[string]*AlarmTally{}
	total := 0
	for _, c := range span {
		t := found[c.Condition]
		if t == nil {
			t = &AlarmTally{Condition: c.Condition}
			found[c.Condition] = t
		}
		total += c.Onsets
		t.All += c.Onsets
		if c.Priority == "high" {
			t.High += c.Onsets
		} else {
			t.Other += c.Onsets
		}
	}
	for _, c := range month {
		if t := found[c.Condition]; t != nil {
			t.Month += c.Onsets
		}
	}
	return ranked(found, total)
}

func ranked(found map[string]*AlarmTally, total int) []AlarmTally {
	list := make([]AlarmTally, 0, len(found))
	for _, t := range found {
		list = append(list, *t)
	}
	slices.SortFunc(list, func(a, b AlarmTally) int {
		return cmp.Or(cmp.Compare(b.All, a.All), cmp.Compare(a.Condition, b.Condition))
	})
	soFar := 0
	for i := range list {
		soFar += list[i].All
		list[i].Cumulative = 100 * float64(soFar) / float64(max(total, 1))
	}
	return list
}

// CumulativeText prints the cumulative share in whole per cent.
func (t AlarmTally) CumulativeText() string { return fixed(t.Cumulative, 0) }

// supportOrder is the order of the support classes in the definitions, from least to most.
var supportOrder = []string{"low_flow", "high_flow", "cpap", "nippv", "invasive", "high_frequency"}

// Changes is how often support changed, from the class of a row to that of a column. Counts on the diagonal are negative: no
// change has the same class at both ends.
type Changes struct {
	Classes []string
	Counts  [][]int
}

// ChangesOf puts conversions into a square of all classes that occur, in their order.
func ChangesOf(pairs []queries.ConversionPair) Changes {
	var c Changes
	for _, class := range supportOrder {
		if slices.ContainsFunc(pairs, func(p queries.ConversionPair) bool { return p.From == class || p.To == class }) {
			c.Classes = append(c.Classes, class)
		}
	}
	c.Counts = make([][]int, len(c.Classes))
	for i := range c.Counts {
		c.Counts[i] = make([]int, len(c.Classes))
		c.Counts[i][i] = -1
	}
	for _, p := range pairs {
		from, to := slices.Index(c.Classes, p.From), slices.Index(c.Classes, p.To)
		if from >= 0 && to >= 0 && from != to {
			c.Counts[from][to] += p.Conversions
		}
	}
	return c
}

// gravity is the order in which a committee reads cases, by their gravest reason.
var gravity = []string{"died_in_transit", "serious_events", "cardiac_arrest", "unplanned_extubation", "died_within_7_days",
	"oxygen_reserve_short", "battery_overdrawn", "escalations", "hypothermia_on_arrival", "oxygen_over_plan"}

// ByGravity puts cases with the gravest reason first, and so the reasons of each; cases of equal gravity stay in their order.
func ByGravity(cases []queries.Case) []queries.Case {
	place := func(reason string) int {
		if at := slices.Index(gravity, reason); at >= 0 {
			return at
		}
		return len(gravity)
	}
	sorted := slices.Clone(cases)
	for i, c := range sorted {
		sorted[i].Reasons = slices.Clone(c.Reasons)
		slices.SortStableFunc(sorted[i].Reasons, func(a, b string) int { return cmp.Compare(place(a), place(b)) })
	}
	first := func(c queries.Case) int {
		if len(c.Reasons) == 0 {
			return len(gravity)
		}
		return place(c.Reasons[0])
	}
	slices.SortStableFunc(sorted, func(a, b queries.Case) int { return cmp.Compare(first(a), first(b)) })
	return sorted
}
