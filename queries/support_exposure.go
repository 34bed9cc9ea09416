package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed support_exposure.sql
var supportExposureSQL string

// Exposure is what was set of inspired oxygen (%) and nitric oxide (ppm, where above 0): transports, hours, and the mean
// over that time, nil where there is none.
type Exposure struct {
	Transports       int
	Hours            float64
	MeanFiO2         *float64
	NitricTransports int
	NitricHours      float64
	MeanNitric       *float64
}

// Exposures adds up the settings in force under way of completed transports.
func (r *Reader) Exposures(ctx context.Context, from, to string) (Exposure, error) {
	args, err := between(from, to)
	if err != nil {
		return Exposure{}, err
	}
	rows, err := collect(ctx, r, supportExposureSQL, func(rows *sql.Rows) (Exposure, error) {
		var e Exposure
		return e, rows.Scan(&e.Transports, &e.Hours, &e.MeanFiO2, &e.NitricTransports, &e.NitricHours, &e.MeanNitric)
	}, args...)
	if err != nil || len(rows) == 0 {
		return Exposure{}, err
	}
	return rows[0], nil
}
