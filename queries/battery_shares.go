package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed battery_shares.sql
var batterySharesSQL string

// BatteryShare is what one transport drew of its ventilator's battery: minutes with the screen lit and dimmed, and the
// part of the rated endurance (1 is all of it); Overdrawn says that it is above the share of the settings.
type BatteryShare struct {
	TransportID, Month, Device string
	Lit, Dim, Share            float64
	Overdrawn                  bool
}

// BatteryShares lists the transports that drew on a rated battery, the largest part first.
func (r *Reader) BatteryShares(ctx context.Context, from, to string) ([]BatteryShare, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, batterySharesSQL, func(rows *sql.Rows) (BatteryShare, error) {
		var b BatteryShare
		return b, rows.Scan(&b.TransportID, &b.Month, &b.Device, &b.Lit, &b.Dim, &b.Share, &b.Overdrawn)
	}, args...)
}
