package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed battery_groups.sql
var batteryGroupsSQL string

// BatteryGroup is how the batteries of one group of transports were used while under way: Kind is "all", "month",
// "device" or "device and month", Month and Name (the ventilator) are filled as the kind says.
//
// Lit and Dim are minutes on battery with the screen lit or dimmed. Of the Rated transports, whose ventilator has a rated
// endurance, Overdrawn used more than the share of the settings; MedianShare and HighestShare are parts of the rating
// (1 is all of it). LowAlarms counts onsets of battery_low on the ventilator while under way.
type BatteryGroup struct {
	Kind, Month, Name                  string
	Transports                         int
	Lit, Dim                           float64
	DimmedTransports, Rated, Overdrawn int
	MedianShare, HighestShare          float64
	LowAlarms                          int
}

// BatteryGroups adds up battery use over the population of battery_time in the months asked ("" leaves an end open).
func (r *Reader) BatteryGroups(ctx context.Context, from, to string) ([]BatteryGroup, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, batteryGroupsSQL, func(rows *sql.Rows) (BatteryGroup, error) {
		var g BatteryGroup
		return g, rows.Scan(&g.Kind, &g.Month, &g.Name, &g.Transports, &g.Lit, &g.Dim, &g.DimmedTransports, &g.Rated,
			&g.Overdrawn, &g.MedianShare, &g.HighestShare, &g.LowAlarms)
	}, args...)
}
