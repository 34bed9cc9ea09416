package measures

import (
	"cmp"
	"context"
	"slices"

	"tripwake/queries"
)

// Grouped answers one measure by group over a span of months: the groups with most members first kept, at most so many,
// then put into the usual order: bands from small to large, names by alphabet, "not recorded" last. rest is how many groups with data were not kept.
func Grouped(ctx context.Context, from Source, id, by, first, last string, most int) (rows []Row, rest int, err error) {
	all, err := Measure(ctx, from, queries.Request{Measures: []string{id}, By: by, From: first, To: last})
	if err != nil {
		return nil, 0, err
	}
	for _, row := range all {
		if row.N > 0 {
			rows = append(rows, row)
		}
	}
	slices.SortStableFunc(rows, func(a, b Row) int { return cmp.Compare(b.N, a.N) })
	if len(rows) > most {
		rows, rest = rows[:most], len(rows)-most
	}
	slices.SortFunc(rows, func(a, b Row) int { return byUsualOrder(a.Group, b.Group) })
	return rows, rest, nil
}
