package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed alarm_makers.sql
var alarmMakersSQL string

// AlarmMaker is how often one condition began to alarm on one transport, and how many of these were of high priority or a
// repeat.
type AlarmMaker struct {
	TransportID, Month    string
	Onsets, High, Repeats int
}

// AlarmMakers lists at most so many transports with most onsets of a condition.
func (r *Reader) AlarmMakers(ctx context.Context, condition, from, to string, most int) ([]AlarmMaker, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, alarmMakersSQL, func(rows *sql.Rows) (AlarmMaker, error) {
		var a AlarmMaker
		return a, rows.Scan(&a.TransportID, &a.Month, &a.Onsets, &a.High, &a.Repeats)
	}, append(args, sql.Named("condition", condition), sql.Named("most", most))...)
}
