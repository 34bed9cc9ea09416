package queries

import (
	"cmp"
	"context"
	"database/sql"
	_ "embed"
	"fmt"
	"time"
)

//go:embed period.sql
var periodSQL string

const monthLayout = "2006-01"

// Period gives the first and last month, "YYYY-MM" in the team's zone, that have a transport; both are empty where none has.
func (r *Reader) Period(ctx context.Context) (first, last string, err error) {
	rows, err := collect(ctx, r, periodSQL, func(rows *sql.Rows) ([2]string, error) {
		var a, b sql.NullString
		err := rows.Scan(&a, &b)
		return [2]string{a.String, b.String}, err
	})
	if err != nil || len(rows) == 0 {
		return "", "", err
	}
	return rows[0][0], rows[0][1], nil
}

// Months lists every month from one to the other, both included; an empty end is that of the period. It is empty where
// the store has no transport with a month and an end is open.
func (r *Reader) Months(ctx context.Context, from, to string) ([]string, error) {
	if err := validatePeriod(from, to); err != nil {
		return nil, err
	}
	if from == "" || to == "" {
		first, last, err := r.Period(ctx)
		if err != nil {
			return nil, err
		}
		from, to = cmp.Or(from, first), cmp.Or(to, last)
	}
	if from == "" || to == "" {
		return nil, nil
	}
	var months []string
	at, _ := time.Parse(monthLayout, from)
	for end, _ := time.Parse(monthLayout, to); !at.After(end); at = at.AddDate(0, 1, 0) {
		months = append(months, at.Format(monthLayout))
	}
	return months, nil
}

func validatePeriod(from, to string) error {
	for _, month := range []string{from, to} {
		at, err := time.Parse(monthLayout, month)
		if month != "" && (err != nil || at.Year() < firstYear || at.Year() >= lastYear) {
			return fmt.Errorf("month %q: expected YYYY-MM from %d-01 to %d-12", month, firstYear, lastYear-1)
		}
	}
	if from != "" && to != "" && from > to {
		return fmt.Errorf("from %s to %s: expected a first month that is not after the last", from, to)
	}
	return nil
}

// firstDay makes the SQL parameter for a month: its first day, or null for an open end.
func firstDay(month string) any {
	if month == "" {
		return nil
	}
	return month + "-01"
}
