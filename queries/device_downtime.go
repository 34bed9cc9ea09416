package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"time"
)

//go:embed device_downtime.sql
var deviceDowntimeSQL string

// Downtime is what became of one registered device in a span of time. Held are its hours by the register, Out those of them
// out of service for any reason; Failures and Removals began inside the span, Repaired failures have an end, RepairHours are
// theirs, whole. Cost is what service rows say. Team is the one that it mostly goes out with, "" where none is recorded.
type Downtime struct {
	Device, Kind, Team           string
	Held, Out                    float64 // h
	Failures, Removals, Repaired int
	RepairHours, Cost            float64
}

// DeviceDowntime lists the registered devices that were in service between two moments, by kind and id.
func (r *Reader) DeviceDowntime(ctx context.Context, from, until time.Time) ([]Downtime, error) {
	return collect(ctx, r, deviceDowntimeSQL, func(rows *sql.Rows) (Downtime, error) {
		var d Downtime
		return d, rows.Scan(&d.Device, &d.Kind, &d.Team, &d.Held, &d.Out, &d.Failures, &d.Removals, &d.Repaired, &d.RepairHours, &d.Cost)
	}, sql.Named("from", from.UTC().Format(utcLayout)), sql.Named("until", until.UTC().Format(utcLayout)))
}
