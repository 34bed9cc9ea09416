package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"strings"
)

//go:embed reading_parts.sql
var readingPartsSQL string

// idRange is a range of transport ids, both included; not valid: open.
type idRange struct{ from, to sql.NullString }

// readingsAtOnce is how many readings are put in order at a time: the engine holds some 50 bytes of each, and 1.5 GB must do.
var readingsAtOnce = 4_000_000

// readingParts cuts the completed transports of a span with readings of some quantities into ranges that fit into memory. Questions
// that look at one transport at a time may ask for each range alone and add up. There is always one range at least. Those that are
// supported are the transports with settings of support.
func (r *Reader) readingParts(ctx context.Context, from, to string, most int, supported bool, quantities ...string) ([]idRange, error) {
	parts, err := collect(ctx, r, readingPartsSQL, func(rows *sql.Rows) (idRange, error) {
		var one idRange
		return one, rows.Scan(&one.from, &one.to)
	}, sql.Named("quantities", strings.Join(quantities, ",")), sql.Named("first", firstDay(from)), sql.Named("last", firstDay(to)), sql.Named("most", most),
		sql.Named("supported", supported))
	if err == nil && len(parts) == 0 {
		parts = []idRange{{}}
	}
	return parts, err
}

func (p idRange) named() []any { return []any{sql.Named("from_id", p.from), sql.Named("to_id", p.to)} }
