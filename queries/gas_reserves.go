package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed gas_reserves.sql
var gasReservesSQL string

// GasReserve is what a transport's carried cylinders still held on arrival: litres above the residual, the last demand in
// L/min, and how many minutes the one lasts at the other. Demanded is false, and Minutes 0, where nothing was asked for;
// Short says that Minutes are below the reserve of the settings.
type GasReserve struct {
	TransportID, Month      string
	Left, LastFlow, Minutes float64
	Demanded, Short         bool
}

// GasReserves lists the reserve of one gas ("oxygen" or "air") of each transport that can be judged, least first.
func (r *Reader) GasReserves(ctx context.Context, gas, from, to string) ([]GasReserve, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, gasReservesSQL, func(rows *sql.Rows) (GasReserve, error) {
		var g GasReserve
		var minutes sql.NullFloat64
		err := rows.Scan(&g.TransportID, &g.Month, &g.Left, &g.LastFlow, &minutes, &g.Short)
		g.Minutes, g.Demanded = minutes.Float64, minutes.Valid
		return g, err
	}, append(args, sql.Named("gas", gas))...)
}
