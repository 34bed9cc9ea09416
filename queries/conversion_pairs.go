package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed conversion_pairs.sql
var conversionPairsSQL string

// ConversionPair is how often support changed from one class to another, and on how many transports.
type ConversionPair struct {
	From, To                string
	Conversions, Transports int
}

// ConversionPairs counts the conversions of completed transports, in the order of the classes.
func (r *Reader) ConversionPairs(ctx context.Context, from, to string) ([]ConversionPair, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, conversionPairsSQL, func(rows *sql.Rows) (ConversionPair, error) {
		var c ConversionPair
		return c, rows.Scan(&c.From, &c.To, &c.Conversions, &c.Transports)
	}, args...)
}
