package queries

import (
	"cmp"
	"context"
	"database/sql"
	_ "embed"
	"fmt"
	"slices"
	"strings"
)

var (
	//go:embed sums.sql
	sumsSQL string
	//go:embed left_out.sql
	leftOutSQL string
	//go:embed groups.sql
	groupsSQL string
)

// cell is one month and group of an answer.
type cell struct{ month, group string }

// Sums adds up the facts of each measure asked for, by month and group.
//
// Every month of the period and every group that has a transport in it appears, also where it has no facts. The order is
// that of the measures asked for, then month, then group. It refuses an unknown measure, grouping or month.
//
// Where no period is asked and months are pooled, transports without a month count too; else they count nowhere.
func (r *Reader) Sums(ctx context.Context, ask Request) ([]Sum, error) {
	if err := ask.validate(); err != nil {
		return nil, err
	}
	months, err := r.Months(ctx, ask.From, ask.To)
	if err != nil {
		return nil, err
	}
	groups, err := r.groups(ctx, ask)
	if err != nil {
		return nil, err
	}
	var all []Sum
	for _, measure := range ask.Measures {
		sums, err := r.sumsOf(ctx, measure, ask, months)
		if err != nil {
			return nil, fmt.Errorf("measure %s: %w", measure, err)
		}
		all = append(all, complete(sums, measure, ask, months, groups)...)
	}
	return all, nil
}

func (ask Request) validate() error {
	for _, m := range ask.Measures {
		if _, ok := questionOf(m); !ok {
			return fmt.Errorf("measure %q: expected an id of measures.csv", m)
		}
	}
	if ask.By != "" && !slices.Contains(Groupings(), ask.By) {
		return fmt.Errorf("by %q: expected one of %s", ask.By, strings.Join(Groupings(), ", "))
	}
	return validatePeriod(ask.From, ask.To)
}

func (r *Reader) groups(ctx context.Context, ask Request) ([]string, error) {
	if ask.By == "" {
		return []string{""}, nil
	}
	first, last := firstDay(ask.From), firstDay(ask.To)
	return collect(ctx, r, groupsSQL, scanText, sql.Named("by", ask.By), sql.Named("first", first), sql.Named("last", last))
}

func (r *Reader) sumsOf(ctx context.Context, measure string, ask Request, months []string) (map[cell]*Sum, error) {
	q, _ := questionOf(measure)
	if err := r.establish(ctx, q, months); err != nil {
		return nil, err
	}
	as := q.measures[measure]
	rows, err := collect(ctx, r, sumsSQL, as.scan, append(ask.named(measure), sql.Named("sorted", as == values))...)
	if err != nil {
		return nil, err
	}
	sums := map[cell]*Sum{}
	for _, s := range rows {
		sums[cell{s.Month, s.Group}] = &s
	}
	return sums, r.addLeftOut(ctx, measure, ask, sums)
}

func (ask Request) named(measure string) []any {
	return []any{
		sql.Named("measure", measure), sql.Named("by_month", ask.ByMonth), sql.Named("by", ask.By),
		sql.Named("first", firstDay(ask.From)), sql.Named("last", firstDay(ask.To)),
	}
}

// scan reads one row of sums.sql.
func (as shape) scan(rows *sql.Rows) (Sum, error) {
	var s Sum
	var month sql.NullString
	var devices int
	var xs, ts any
	if err := rows.Scan(&month, &s.Group, &s.Facts, &s.Transports, &devices, &s.X, &s.T, &xs, &ts); err != nil {
		return s, err
	}
	s.Month = monthOr(month, AllMonths)
	switch as {
	case values:
		s.Xs = floats(xs)
	case clustered:
		s.Xs, s.Ts = floats(xs), floats(ts)
	case byDevice:
		s.Transports = devices
	}
	return s, nil
}

func (r *Reader) addLeftOut(ctx context.Context, measure string, ask Request, sums map[cell]*Sum) error {
	type row struct {
		cell
		reason  string
		members int
	}
	rows, err := collect(ctx, r, leftOutSQL, func(rows *sql.Rows) (row, error) {
		var one row
		var month sql.NullString
		err := rows.Scan(&month, &one.group, &one.reason, &one.members)
		one.month = monthOr(month, AllMonths)
		return one, err
	}, ask.named(measure)...)
	if err != nil {
		return err
	}
	for _, one := range rows {
		s, ok := sums[one.cell]
		if !ok {
			s = &Sum{Month: one.month, Group: one.group}
			sums[one.cell] = s
		}
		if s.LeftOut == nil {
			s.LeftOut = map[string]int{}
		}
		s.LeftOut[one.reason] = one.members
	}
	return nil
}

// complete adds the months and groups without facts and puts the sums in order. A device that no transport carried has a
// group all the same, once a fact names it.
func complete(sums map[cell]*Sum, measure string, ask Request, months, groups []string) []Sum {
	if !ask.ByMonth {
		months = []string{AllMonths}
	}
	groups = slices.Clone(groups)
	for at := range sums {
		groups = append(groups, at.group)
	}
	for _, month := range months {
		for _, group := range groups {
			if at := (cell{month, group}); sums[at] == nil {
				sums[at] = &Sum{Month: month, Group: group}
			}
		}
	}
	all := make([]Sum, 0, len(sums))
	for _, s := range sums {
		s.Measure = measure
		all = append(all, *s)
	}
	slices.SortFunc(all, func(a, b Sum) int {
		return cmp.Or(cmp.Compare(a.Month, b.Month), cmp.Compare(a.Group, b.Group))
	})
	return all
}

// establish puts the facts of a question into the table facts, once for a reader; those that depend on the period, each
// time they are asked.
func (r *Reader) establish(ctx context.Context, q question, months []string) error {
	key := "facts of " + q.name
	if r.built[key] && !q.period {
		return nil
	}
	if err := r.build(ctx, q.text, ""); err != nil {
		return err
	}
	var args []any
	if q.period {
		if err := r.forget(ctx, q); err != nil {
			return err
		}
		first, last := ends(months)
		args = []any{sql.Named("first", firstDay(first)), sql.Named("last", firstDay(last))}
	}
	if _, err := r.db.ExecContext(ctx, "insert into facts "+q.text, args...); err != nil {
		return fmt.Errorf("queries: question %s failed: %w", q.name, err)
	}
	r.built[key] = true
	return nil
}

func (r *Reader) forget(ctx context.Context, q question) error {
	for measure := range q.measures {
		if _, err := r.db.ExecContext(ctx, "delete from facts where measure = $1", measure); err != nil {
			return fmt.Errorf("queries: facts of %s could not be cleared: %w", measure, err)
		}
	}
	return nil
}

func ends(months []string) (first, last string) {
	if len(months) == 0 {
		return "", ""
	}
	return months[0], months[len(months)-1]
}

func monthOr(month sql.NullString, none string) string {
	if month.Valid {
		return month.String
	}
	return none
}

func scanText(rows *sql.Rows) (string, error) {
	var text string
	err := rows.Scan(&text)
	return text, err
}

// floats reads a list of doubles as the driver gives it; an empty element counts as 0.
func floats(list any) []float64 {
	elements, _ := list.([]any)
	numbers := make([]float64, len(elements))
	for i, e := range elements {
		numbers[i], _ = e.(float64)
	}
	return numbers
}
