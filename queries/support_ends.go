package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed support_ends.sql
var supportEndsSQL string

// SupportEnd counts, where Place is empty, the completed transports that began with one class of support and ended with
// another or the same; else the changes from one class to another in one leg of the trip.
type SupportEnd struct {
	Place, From, To string
	N               int
}

// SupportEnds lists first and last classes, then the changes by leg, in the order of the trip and of the classes.
func (r *Reader) SupportEnds(ctx context.Context, from, to string) ([]SupportEnd, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, supportEndsSQL, func(rows *sql.Rows) (SupportEnd, error) {
		var e SupportEnd
		return e, rows.Scan(&e.Place, &e.From, &e.To, &e.N)
	}, args...)
}
