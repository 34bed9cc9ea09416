package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed battery_slopes.sql
var batterySlopesSQL string

// BatterySlope is how the charge of one ventilator fell while it ran on battery, with charge recorded at both ends of a
// stretch and above the floor of the settings, on transports of one month ("" for all months asked): MinutesEach (min) and LostEach (points of charge, %) by
// transport, and the rated endurance in min, 0 where none is known. At that pace a full battery lasts
// 100 × Σ minutes / Σ lost.
type BatterySlope struct {
	Device, Month         string
	Rated                 float64
	MinutesEach, LostEach []float64
}

// BatterySlopes follows the charge of each registered ventilator over the months asked ("" leaves an end open): for each,
// all months together, then each month that has such a stretch.
func (r *Reader) BatterySlopes(ctx context.Context, from, to string) ([]BatterySlope, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, batterySlopesSQL, func(rows *sql.Rows) (BatterySlope, error) {
		var b BatterySlope
		var rated sql.NullFloat64
		var minutes, lost any
		err := rows.Scan(&b.Device, &b.Month, &rated, &minutes, &lost)
		b.Rated, b.MinutesEach, b.LostEach = rated.Float64, floats(minutes), floats(lost)
		return b, err
	}, args...)
}
