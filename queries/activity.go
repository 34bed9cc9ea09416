package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed activity.sql
var activitySQL string

// ActivityCount is the number of transports, N, of one month, vehicle, urgency and disposition; an empty vehicle or urgency
// is "not recorded".
type ActivityCount struct {
	Month, Vehicle, Urgency, Disposition string
	N                                    int
}

// Activity counts the transports asked for, in order of month, vehicle, urgency and disposition. Transports without a month are
// not among them.
func (r *Reader) Activity(ctx context.Context, from, to string) ([]ActivityCount, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, activitySQL, func(rows *sql.Rows) (ActivityCount, error) {
		var a ActivityCount
		return a, rows.Scan(&a.Month, &a.Vehicle, &a.Urgency, &a.Disposition, &a.N)
	}, args...)
}

// between checks a period and makes the parameters $first and $last.
func between(from, to string) ([]any, error) {
	if err := validatePeriod(from, to); err != nil {
		return nil, err
	}
	return []any{sql.Named("first", firstDay(from)), sql.Named("last", firstDay(to))}, nil
}
