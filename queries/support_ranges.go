package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed support_ranges.sql
var supportRangesSQL string

// RangeTime is for how many hours readings of a quantity were below Low and above High, of all hours read while support was
// given. MiddleBelow and MiddleAbove are the medians over transports of the share of time, in %; nil without a transport.
type RangeTime struct {
	Quantity                 string
	Low, High                float64
	Transports               int
	Hours, Below, Above      float64
	MiddleBelow, MiddleAbove *float64
}

// TidalVolumes is the exhaled tidal volume per kg against TidalVolumeLow and TidalVolumeHigh in invasive episodes; patients
// without a weight are not in it.
func (r *Reader) TidalVolumes(ctx context.Context, from, to string) (RangeTime, error) {
	t := RangeTime{Quantity: "expired_tidal_volume", Low: r.settings.TidalVolumeLow, High: r.settings.TidalVolumeHigh}
	return r.rangeTime(ctx, t, from, to)
}

// Saturations is SpO2 against its target range while support was given. Above counts only while the inspired oxygen was set
// over 21 %: a high saturation in room air is no excess of oxygen.
func (r *Reader) Saturations(ctx context.Context, from, to string) (RangeTime, error) {
	t := RangeTime{Quantity: "spo2", Low: r.settings.SpO2Low, High: r.settings.SpO2High}
	return r.rangeTime(ctx, t, from, to)
}

func (r *Reader) rangeTime(ctx context.Context, t RangeTime, from, to string) (RangeTime, error) {
	if err := r.holdSupport(ctx, from, to); err != nil {
		return t, err
	}
	rows, err := collect(ctx, r, supportRangesSQL, func(rows *sql.Rows) (RangeTime, error) {
		one := t
		return one, rows.Scan(&one.Transports, &one.Hours, &one.Below, &one.Above, &one.MiddleBelow, &one.MiddleAbove)
	}, sql.Named("quantity", t.Quantity), sql.Named("first", firstDay(from)), sql.Named("last", firstDay(to)))
	if err != nil || len(rows) == 0 {
		return t, err
	}
	return rows[0], nil
}
