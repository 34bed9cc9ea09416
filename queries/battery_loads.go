package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"time"
)

//go:embed battery_loads.sql
var batteryLoadsSQL string

// BatteryLoad is what one transport asked of its ventilator's battery: minutes with the screen Lit and dimmed (Dim). Share is
// the part of the rated endurance of the battery that it had, and Rated false where none is recorded. LeftOut says why it
// cannot be judged.
type BatteryLoad struct {
	TransportID     string
	At              time.Time // accepted, called or departed, the first filled; zero without any
	Device, Team    string
	Lit, Dim, Share float64
	Rated           bool
	LeftOut         string
}

// BatteryLoads lists the battery use of each transport whose ventilator has a power record, in order of time.
func (r *Reader) BatteryLoads(ctx context.Context, from, to string) ([]BatteryLoad, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, batteryLoadsSQL, func(rows *sql.Rows) (BatteryLoad, error) {
		var b BatteryLoad
		var at sql.NullTime
		var share sql.NullFloat64
		err := rows.Scan(&b.TransportID, &at, &b.Device, &b.Team, &b.Lit, &b.Dim, &share, &b.LeftOut)
		b.At, b.Share, b.Rated = at.Time, share.Float64, share.Valid
		return b, err
	}, args...)
}
