// Package measures answers in domain words: it puts the sums of package queries and the statistics of package stats
// together into measures with their interval, and into what a committee reads about a month.
//
// In: a Source (the reader of package queries) and the question: which measures, which months, which groups. Out: Rows,
// one for each measure, month and group, whose printed forms (table, CSV, JSON) all come from here; Series, a measure
// month by month with centre, limits and signals; a Review, all of that for one month; its signals as data (SignalRow);
// what is told of gas and power (SupplyRow); a Comparison of the groups of a study, with small counts withheld; a Funnel by referring site; deaths Expected by risk and how risk changed; an
// Explanation of each measure.
//
// It refuses unknown measures and groups, limits that no chart can follow, and never fills a gap: no data is a null
// value, and what was left out stands beside with its reason.
//
// A row warns where its number says too little: below 6 values a median has no interval, and below Few members of the
// population the value says nothing about the service.
package measures

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"tripwake/queries"
)

// Few is the size below which a row warns that nothing can be concluded from it. Below ten members even 0 of n leaves an
// upper limit above 25 % (Wilson), wider than any change a team looks for; the number itself is common practice.
const Few = 10

// Source is what measures need of package queries; *queries.Reader is one.
type Source interface {
	Sums(context.Context, queries.Request) ([]queries.Sum, error)
	EventGaps(ctx context.Context, measure, upTo string) (queries.Gaps, error)
	Period(context.Context) (first, last string, err error)
	Settings() queries.Settings
}

// Groups returns what rows can be grouped by beside the month.
func Groups() []string { return queries.Groupings() }

// ParseBy reads what a user asks to be grouped by: "", "month", a group, or both with a comma between ("month,vehicle").
func ParseBy(text string) (byMonth bool, by string, err error) {
	for part := range strings.SplitSeq(text, ",") {
		switch part = strings.TrimSpace(part); {
		case part == "":
		case part == "month" && !byMonth:
			byMonth = true
		case by == "" && slices.Contains(Groups(), part):
			by = part
		default:
			return false, "", fmt.Errorf("by %q: expected month, one of %s, or month and one of these with a comma between",
				text, strings.Join(Groups(), ", "))
		}
	}
	return byMonth, by, nil
}

// Measure answers a request: one Row for each measure asked (none named: all of them), each month or "all", and each group.
func Measure(ctx context.Context, from Source, ask queries.Request) ([]Row, error) {
	ask.Measures = orAll(ask.Measures)
	found := map[string]Definition{}
	for _, id := range ask.Measures {
		d, err := Find(id)
		if err != nil {
			return nil, err
		}
		found[id] = d
	}
	if ask.By != "" && !slices.Contains(Groups(), ask.By) {
		return nil, fmt.Errorf("by %q: expected one of %s", ask.By, strings.Join(Groups(), ", "))
	}
	sums, err := from.Sums(ctx, ask)
	if err != nil {
		return nil, err
	}
	target := from.Settings().MobilizationTarget
	rows := make([]Row, 0, len(sums))
	for _, s := range sums {
		row, err := evaluate(found[s.Measure], s, target)
		if err != nil {
			return nil, fmt.Errorf("measure %s, month %s, group %q: %w", s.Measure, s.Month, s.Group, err)
		}
		row.By = ask.By
		rows = append(rows, row)
	}
	return rows, nil
}

func orAll(ids []string) []string {
	if len(ids) == 0 {
		return IDs()
	}
	return ids
}
