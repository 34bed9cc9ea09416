package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed gas_groups.sql
var gasGroupsSQL string

// Kinds of GasGroup.
const (
	GasAll           = "all"
	GasByMonth       = "month"
	GasByDevice      = "device"
	GasByDeviceMonth = "device and month"
	GasByCylinder    = "cylinder"
)

// GasGroup adds up the bridges of the transports of one group whose use, time on carried gas and settings are known, in
// litres of free gas and minutes. Month and Name are filled as the kind says: Name is the ventilator or the cylinder.
//
// Used − Hindsight = Unexplained. A transport counts once in each of its cylinders, with the share of its use that the cylinder gave, so
// that the cylinders of a transport add up to it. UU, UT and TT are sums over transports of unexplained², unexplained ×
// minutes and minutes²: with them the spread between transports can be told without reading each. SquaredError is that of the gauges (L²), BeyondGauge
// counts transports with more unexplained than their gauges' error. Plan holds those with a plan and some use alone:
// planned + duration effect + settings effect + unexplained = used, exactly.
type GasGroup struct {
	Kind, Month, Name                     string
	Transports                            int
	Used, Hindsight, Minutes, Unexplained float64
	UU, UT, TT, SquaredError              float64
	BeyondGauge                           int
	Plan                                  GasPlanSum
}

// GasPlanSum is the sum of the bridges of the transports with a plan, in litres.
type GasPlanSum struct {
	Transports                                                 int
	Planned, DurationEffect, SettingsEffect, Unexplained, Used float64
}

// GasGroups adds up the bridges of one gas ("oxygen", "air" or "nitric_oxide", which has no plan) over the months asked
// ("" leaves an end open): over all, by month, by ventilator, by both, and by cylinder, in this order of kinds' names.
func (r *Reader) GasGroups(ctx context.Context, gas, from, to string) ([]GasGroup, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, gasGroupsSQL, scanGasGroup, append(args, sql.Named("gas", gas))...)
}

func scanGasGroup(rows *sql.Rows) (GasGroup, error) {
	var g GasGroup
	p := &g.Plan
	return g, rows.Scan(&g.Kind, &g.Month, &g.Name, &g.Transports, &g.Used, &g.Hindsight, &g.Minutes, &g.Unexplained,
		&g.UU, &g.UT, &g.TT, &g.SquaredError, &g.BeyondGauge, &p.Transports, &p.Planned, &p.DurationEffect, &p.SettingsEffect,
		&p.Unexplained, &p.Used)
}
