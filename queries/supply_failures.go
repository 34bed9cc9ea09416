package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed supply_failures.sql
var supplyFailuresSQL string

// SupplyFailure is the number N of events of one kind (equipment_failure, power_failure, gas_supply_failure) on completed
// transports of one device and team.
type SupplyFailure struct {
	Kind, Device, Team string
	N                  int
}

// SupplyFailures counts what failed under way.
func (r *Reader) SupplyFailures(ctx context.Context, from, to string) ([]SupplyFailure, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, supplyFailuresSQL, func(rows *sql.Rows) (SupplyFailure, error) {
		var f SupplyFailure
		return f, rows.Scan(&f.Kind, &f.Device, &f.Team, &f.N)
	}, args...)
}
