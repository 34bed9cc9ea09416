package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed gas_bridge.sql
var gasBridgeSQL string

// GasPlan is what one transport planned and used of one gas, in litres of free gas, and the error of its gauges. Month is
// empty where the transport has none; Bridge is nil where it cannot be drawn.
type GasPlan struct {
	TransportID, Month, Device string
	Planned, Used, GaugeError  float64
	Bridge                     *GasBridge
}

// GasBridge leads from the plan to the use: planned + DurationEffect + SettingsEffect + Unexplained = used, exactly.
//
// GasTime is the time on carried gas and PlannedDuration what was planned, in minutes; Hindsight is what the settings
// asked for in that time, in litres. Unexplained holds leaks, gauges and the model's faults: among
// them that breaths beyond the set ones are spread evenly over the time that one settings row was in force.
type GasBridge struct {
	GasTime, PlannedDuration, Hindsight         float64
	DurationEffect, SettingsEffect, Unexplained float64
}

// OxygenPlan compares the oxygen used with the plan, for each transport that oxygen_ratio judges, in order of transport.
func (r *Reader) OxygenPlan(ctx context.Context, from, to string) ([]GasPlan, error) {
	return r.gasPlan(ctx, "oxygen", from, to)
}

// AirPlan is OxygenPlan for air and air_ratio.
func (r *Reader) AirPlan(ctx context.Context, from, to string) ([]GasPlan, error) {
	return r.gasPlan(ctx, "air", from, to)
}

func (r *Reader) gasPlan(ctx context.Context, gas, from, to string) ([]GasPlan, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	if err := r.establish(ctx, gasPlans, nil); err != nil {
		return nil, err
	}
	return collect(ctx, r, gasBridgeSQL, scanGasPlan, append(args, sql.Named("gas", gas))...)
}

func scanGasPlan(rows *sql.Rows) (GasPlan, error) {
	var p GasPlan
	var b [6]sql.NullFloat64
	err := rows.Scan(&p.TransportID, &p.Month, &p.Device, &p.Planned, &p.Used, &p.GaugeError, &b[0], &b[1], &b[2], &b[3], &b[4], &b[5])
	for _, n := range b {
		if !n.Valid {
			return p, err
		}
	}
	p.Bridge = &GasBridge{b[0].Float64, b[1].Float64, b[2].Float64, b[3].Float64, b[4].Float64, b[5].Float64}
	return p, err
}
