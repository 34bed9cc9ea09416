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
	for _, measure := range ask.Measures {
		q, _ := questionOf(measure)
		if err := r.establish(ctx, q, months); err != nil {
			return nil, fmt.Errorf("measure %s: %w", measure, err)
		}
	}
	sums, err := r.added(ctx, ask)
	if err != nil {
		return nil, err
	}
	var all []Sum
	for _, measure := range ask.Measures {
		all = append(all, complete(sums[measure], measure, ask, months, groups)...)
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

// added puts one question for all measures of a request: a pass over the facts costs far more than the adding.
func (r *Reader) added(ctx context.Context, ask Request) (map[string]map[cell]*Sum, error) {
	rows, err := collect(ctx, r, sumsSQL, scanSum,
		sql.Named("measures", strings.Join(ask.Measures, ",")), sql.Named("by_month", ask.ByMonth), sql.Named("by", ask.By),
		sql.Named("first", firstDay(ask.From)), sql.Named("last", firstDay(ask.To)))
	if err != nil {
		return nil, fmt.Errorf("measures %s: %w", strings.Join(ask.Measures, ", "), err)
	}
	sums := map[string]map[cell]*Sum{}
	for _, row := range rows {
		if sums[row.Measure] == nil {
			sums[row.Measure] = map[cell]*Sum{}
		}
		row.into(sums[row.Measure])
	}
	return sums, nil
}

// sumRow is one row of sums.sql: a sum of judged facts or, with a reason, how many members were left out.
type sumRow struct {
	Sum
	reason    sql.NullString
	members   int // devices, or transports with several facts
	standsFor int
}

func scanSum(rows *sql.Rows) (sumRow, error) {
	var row sumRow
	var month sql.NullString
	var xs, ts any
	err := rows.Scan(&row.Measure, &month, &row.Group, &row.reason, &row.Facts, &row.Transports, &row.members, &row.X, &row.T,
		&row.standsFor, &xs, &ts)
	row.Month = monthOr(month, AllMonths)
	if !row.reason.Valid {
		q, _ := questionOf(row.Measure)
		q.measures[row.Measure].fill(&row, xs, ts)
	}
	return row, err
}

// fill gives the sum what its shape holds. Fractions are added here, in the order of their transports or of their size: the engine's
// threads add in any order, which shows in the last digit.
func (as shape) fill(row *sumRow, xs, ts any) {
	if as.listed() != "null" {
		row.Xs, row.Ts = floats(xs), floats(ts)
		if as == values {
			slices.Sort(row.Xs)
		}
		row.X, row.T = total(row.Xs), total(row.Ts)
	}
	switch as {
	case hours:
		row.Xs, row.Ts = nil, nil
	case values:
		row.Ts = nil
	case byDevice:
		row.Xs, row.Ts, row.Transports = nil, nil, row.members
	case severalEach:
		row.Transports = row.members
	}
}

func (row sumRow) into(sums map[cell]*Sum) {
	at := cell{row.Month, row.Group}
	s, ok := sums[at]
	if !ok {
		s = &Sum{Month: row.Month, Group: row.Group}
		sums[at] = s
	}
	if !row.reason.Valid {
		leftOut := s.LeftOut
		*s = row.Sum
		s.LeftOut = leftOut
		return
	}
	if s.LeftOut == nil {
		s.LeftOut = map[string]int{}
	}
	s.LeftOut[row.reason.String] = row.standsFor
}

// complete adds the months and groups without facts and puts the sums in order. A device that no transport carried has a
// group all the same, once a fact names it.
func complete(sums map[cell]*Sum, measure string, ask Request, months, groups []string) []Sum {
	if !ask.ByMonth {
		months = []string{AllMonths}
	}
	known := map[string]bool{}
	for _, group := range groups {
		known[group] = true
	}
	for at := range sums {
		known[at.group] = true
	}
	all := make([]Sum, 0, len(months)*len(known))
	for _, month := range months {
		for group := range known {
			if sums[cell{month, group}] == nil {
				all = append(all, Sum{Measure: measure, Month: month, Group: group})
			}
		}
	}
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

// elements reads a list of one kind of numbers as the driver gives it; an empty element counts as 0.
func elements[T int64 | float64](list any) []T {
	all, _ := list.([]any)
	numbers := make([]T, len(all))
	for i, e := range all {
		numbers[i], _ = e.(T)
	}
	return numbers
}

func floats(list any) []float64 { return elements[float64](list) }

func total(numbers []float64) float64 {
	sum := 0.0
	for _, n := range numbers {
		sum += n
	}
	return sum
}
