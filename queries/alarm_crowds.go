package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"time"
)

//go:embed alarm_crowds.sql
var alarmCrowdsSQL string

// AlarmCrowd is one alarm flood: it begins at the onset that makes it one and ends when fewer onsets than FloodEnd fall into
// the window before. Onsets counts those of the window before its beginning too. AfterLeaving is its beginning in min from
// the start of the patient leg (negative: before), nil where that is not known.
type AlarmCrowd struct {
	TransportID, Month string
	From               time.Time // UTC
	Minutes            float64
	Onsets             int
	AfterLeaving       *float64
}

// AlarmCrowds lists the alarm floods of completed transports in order of time.
func (r *Reader) AlarmCrowds(ctx context.Context, from, to string) ([]AlarmCrowd, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, alarmCrowdsSQL, func(rows *sql.Rows) (AlarmCrowd, error) {
		var c AlarmCrowd
		var month sql.NullString
		err := rows.Scan(&c.TransportID, &month, &c.From, &c.Minutes, &c.Onsets, &c.AfterLeaving)
		c.Month = month.String
		return c, err
	}, args...)
}
