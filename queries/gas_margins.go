package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed gas_margins.sql
var gasMarginsSQL string

// GasMargin is what the transports of one vehicle and class of support used of a gas for each minute that they had
// planned (PerMinute, L/min) and over what they had planned (OfPlan), each sorted. Vehicle or Class is "all" where pooled;
// Class is the class of support at leaving the referring hospital, else the first under way.
type GasMargin struct {
	Vehicle, Class    string
	PerMinute, OfPlan []float64
}

// GasMargins gives the use for each planned minute of one gas ("oxygen" or "air"), of transports with a plan, a planned
// duration and some use: by vehicle and class, then each vehicle, then each class, then all.
func (r *Reader) GasMargins(ctx context.Context, gas, from, to string) ([]GasMargin, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, gasMarginsSQL, func(rows *sql.Rows) (GasMargin, error) {
		var m GasMargin
		var rates, ratios any
		err := rows.Scan(&m.Vehicle, &m.Class, &rates, &ratios)
		m.PerMinute, m.OfPlan = floats(rates), floats(ratios)
		return m, err
	}, append(args, sql.Named("gas", gas))...)
}
