package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed gas_doubts.sql
var gasDoubtsSQL string

// GasDoubt counts the cylinder rows of one gas that a reader of the gas measures should doubt for one reason, and the
// transports that they name. Reason says what was done about it.
type GasDoubt struct {
	Gas, Reason           string
	Cylinders, Transports int
}

// GasDoubts lists what is doubtful in the cylinder rows of all months, by gas and reason.
func (r *Reader) GasDoubts(ctx context.Context) ([]GasDoubt, error) {
	return collect(ctx, r, gasDoubtsSQL, func(rows *sql.Rows) (GasDoubt, error) {
		var d GasDoubt
		return d, rows.Scan(&d.Gas, &d.Reason, &d.Cylinders, &d.Transports)
	})
}
