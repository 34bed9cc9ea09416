package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"fmt"
)

//go:embed reading_parts.sql
var readingPartsSQL string

// idRange is a range of transport ids, both included; not valid: open.
type idRange struct{ from, to sql.NullString }

// readingsAtOnce is how many readings are put in order at a time: the engine holds some 50 bytes of each, and 1.5 GB must do.
var readingsAtOnce = 4_000_000

// readingParts cuts the completed transports of a span with readings of a quantity into ranges that fit into memory. Questions that
// look at one transport at a time may ask for each range alone and add up. There is always one range at least.
func (r *Reader) readingParts(ctx context.Context, quantity, from, to string) ([]idRange, error) {
	parts, err := collect(ctx, r, readingPartsSQL, func(rows *sql.Rows) (idRange, error) {
		var one idRange
		return one, rows.Scan(&one.from, &one.to)
	}, sql.Named("quantity", quantity), sql.Named("first", firstDay(from)), sql.Named("last", firstDay(to)), sql.Named("most", readingsAtOnce))
	if err == nil && len(parts) == 0 {
		parts = []idRange{{}}
	}
	return parts, err
}

func (p idRange) named() []any { return []any{sql.Named("from_id", p.from), sql.Named("to_id", p.to)} }

// fill makes an empty temporary table and has a statement fill it, part by part, from the readings of a quantity.
func (r *Reader) fill(ctx context.Context, empty, text, quantity, from, to string, more ...any) error {
	if err := validatePeriod(from, to); err != nil {
		return err
	}
	parts, err := r.readingParts(ctx, quantity, from, to)
	if err != nil {
		return err
	}
	if err := r.build(ctx, text, ""); err != nil {
		return err
	}
	if _, err := r.db.ExecContext(ctx, empty); err != nil {
		return fmt.Errorf("queries: %w", err)
	}
	for _, part := range parts {
		args := append(part.named(), sql.Named("quantity", quantity), sql.Named("first", firstDay(from)), sql.Named("last", firstDay(to)))
		if _, err := r.db.ExecContext(ctx, text, append(args, more...)...); err != nil {
			return fmt.Errorf("queries: readings of %s could not be added up: %w", quantity, err)
		}
	}
	return nil
}
