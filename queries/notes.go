package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed notes.sql
var notesSQL string

// Note is what the team changed or agreed. Measure is empty for all measures; NotedOn and ClosedOn are "YYYY-MM-DD",
// ClosedOn empty while open.
type Note struct {
	NotedOn, Month, Measure, Kind, Text, Owner, ClosedOn string
}

// Notes lists the notes of the months given, in order of date.
func (r *Reader) Notes(ctx context.Context, from, to string) ([]Note, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, notesSQL, func(rows *sql.Rows) (Note, error) {
		var n Note
		return n, rows.Scan(&n.NotedOn, &n.Month, &n.Measure, &n.Kind, &n.Text, &n.Owner, &n.ClosedOn)
	}, args...)
}
