package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"fmt"
	"slices"
)

//go:embed support_measured.sql
var supportMeasuredSQL string

// SetAgainstMeasured is how a measured quantity stood to the set one while under way: the median of measured minus set over
// all readings (nil without one), the hours of both, and those in which they were more than PressureApart apart.
type SetAgainstMeasured struct {
	Quantity          string
	Transports        int
	Hours, ApartHours float64
	Middle            *float64
}

// SetAgainstMeasured compares readings of pip, peep or rate with the setting in force. The total rate holds the patient's
// own breaths. It refuses other quantities.
func (r *Reader) SetAgainstMeasured(ctx context.Context, quantity, from, to string) (SetAgainstMeasured, error) {
	m := SetAgainstMeasured{Quantity: quantity}
	if !slices.Contains([]string{"pip", "peep", "rate"}, quantity) {
		return m, fmt.Errorf("set against measured: expected pip, peep or rate, got %q", quantity)
	}
	if err := r.holdSupport(ctx, from, to); err != nil {
		return m, err
	}
	rows, err := collect(ctx, r, supportMeasuredSQL, func(rows *sql.Rows) (SetAgainstMeasured, error) {
		return m, rows.Scan(&m.Transports, &m.Hours, &m.Middle, &m.ApartHours)
	}, sql.Named("quantity", quantity), sql.Named("first", firstDay(from)), sql.Named("last", firstDay(to)))
	if err == nil && len(rows) == 1 {
		m.Transports, m.Hours, m.Middle, m.ApartHours = rows[0].Transports, rows[0].Hours, rows[0].Middle, rows[0].ApartHours
	}
	return m, err
}
