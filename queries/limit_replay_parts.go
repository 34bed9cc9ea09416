package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed limit_replay_parts.sql
var limitReplayPartsSQL string

// idRange is a range of transport ids, both included; not valid: open.
type idRange struct{ from, to sql.NullString }

// replayPart is how many readings are put in order at a time: the engine holds some 50 bytes of each, and 1.5 GB must do.
var replayPart = 4_000_000

// replayParts cuts the transports with readings of a quantity into ranges that fit into memory. A replay looks at one transport at
// a time, so that the answers of the ranges add up. There is always one range at least.
func (r *Reader) replayParts(ctx context.Context, quantity string) ([]idRange, error) {
	parts, err := collect(ctx, r, limitReplayPartsSQL, func(rows *sql.Rows) (idRange, error) {
		var one idRange
		return one, rows.Scan(&one.from, &one.to)
	}, sql.Named("quantity", quantity), sql.Named("most", replayPart))
	if err == nil && len(parts) == 0 {
		parts = []idRange{{}}
	}
	return parts, err
}

func (p idRange) named() []any { return []any{sql.Named("from_id", p.from), sql.Named("to_id", p.to)} }
