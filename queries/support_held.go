package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"fmt"
)

//go:embed support_held.sql
var supportHeldSQL string

// emptyHeld is the table that support_held.sql fills.
const emptyHeld = `create or replace temp table support_held (quantity varchar, transport_id varchar, month date, apart double, pairs bigint,
	held_us double)`

// supportQuantities are those that support_held.sql looks at, in one pass over the rows that hold any of them.
var supportQuantities = []string{"pip", "peep", "rate", "spo2", "expired_tidal_volume"}

// rowsOfSupport is how many rows with readings of those are put in order at a time: a row takes twice what one reading does.
func rowsOfSupport() int { return max(1, readingsAtOnce/2) }

// monthSpan is a range of months, YYYY-MM, both included; empty: open.
type monthSpan struct{ from, to string }

// holds says whether every month of another span lies in this one.
func (s monthSpan) holds(other monthSpan) bool {
	return (s.from == "" || other.from >= s.from) && (s.to == "" || other.to != "" && other.to <= s.to)
}

// holdSupport fills the table support_held part by part, unless it is filled for these months: a report asks for a year and then for
// its last month.
func (r *Reader) holdSupport(ctx context.Context, from, to string) error {
	if err := validatePeriod(from, to); err != nil {
		return err
	}
	asked := monthSpan{from, to}
	if r.supportHeld != nil && r.supportHeld.holds(asked) {
		return nil
	}
	r.supportHeld = nil
	parts, err := r.readingParts(ctx, from, to, rowsOfSupport(), true, supportQuantities...)
	if err != nil {
		return err
	}
	if err := r.build(ctx, supportHeldSQL, ""); err != nil {
		return err
	}
	if _, err := r.db.ExecContext(ctx, emptyHeld); err != nil {
		return fmt.Errorf("queries: %w", err)
	}
	for _, part := range parts {
		args := append(part.named(), sql.Named("first", firstDay(from)), sql.Named("last", firstDay(to)))
		if _, err := r.db.ExecContext(ctx, supportHeldSQL, args...); err != nil {
			return fmt.Errorf("queries: readings while support was given could not be added up: %w", err)
		}
	}
	r.supportHeld = &asked
	return nil
}
