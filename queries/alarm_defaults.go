package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed alarm_defaults.sql
var alarmDefaultsSQL string

// AlarmDefault is the usual alarm limit of one month, device and condition: the limit in force at onsets on most transports
// (the lower of equals), rounded to 0.1; of expired tidal and minute volume per kg. Transports had it, of Known with a limit.
type AlarmDefault struct {
	Month, Device, Condition string
	Value                    float64
	Transports, Known        int
}

// AlarmDefaults lists the usual limits by condition, device and month. Limits are known only where something alarmed.
func (r *Reader) AlarmDefaults(ctx context.Context, from, to string) ([]AlarmDefault, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, alarmDefaultsSQL, func(rows *sql.Rows) (AlarmDefault, error) {
		var d AlarmDefault
		return d, rows.Scan(&d.Month, &d.Device, &d.Condition, &d.Value, &d.Transports, &d.Known)
	}, args...)
}
