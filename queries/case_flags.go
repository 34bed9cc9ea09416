package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"strings"
)

//go:embed case_flags.sql
var caseFlagsSQL string

// CaseFlag says how many rows of a table that belong to a transport bear a flag.
type CaseFlag struct {
	TransportID, Table, Flag string
	Rows                     int
}

// CaseFlags lists the flags of the rows of the transports named: the transport's own first, then by table. Rows of devices count
// where they are linked to the transport.
func (r *Reader) CaseFlags(ctx context.Context, transports []string) ([]CaseFlag, error) {
	return collect(ctx, r, caseFlagsSQL, func(rows *sql.Rows) (CaseFlag, error) {
		var c CaseFlag
		return c, rows.Scan(&c.TransportID, &c.Table, &c.Flag, &c.Rows)
	}, sql.Named("transports", strings.Join(transports, "\x1f")))
}
