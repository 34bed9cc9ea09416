package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed alarm_transports.sql
var alarmTransportsSQL string

// AlarmTransport is how often alarms began on one transport, in how many monitored hours, and the condition that led.
type AlarmTransport struct {
	TransportID string
	Onsets      int
	Hours       float64
	Leading     string
	OfThese     int // onsets of the leading condition
}

// AlarmTransports lists at most so many transports with most onsets.
func (r *Reader) AlarmTransports(ctx context.Context, from, to string, most int) ([]AlarmTransport, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, alarmTransportsSQL, func(rows *sql.Rows) (AlarmTransport, error) {
		var a AlarmTransport
		return a, rows.Scan(&a.TransportID, &a.Onsets, &a.Hours, &a.Leading, &a.OfThese)
	}, append(args, sql.Named("most", most))...)
}
