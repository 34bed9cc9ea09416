package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"slices"
)

//go:embed risks.sql
var risksSQL string

// Risk is how ill one patient was by TRIPS (transport risk index of physiologic stability; Lee SK et al. J Pediatr
// 2001;139:220-226), 0 to 65, and whether the patient lived.
//
// Referring is the score when the team arrived, Receiving that on arrival at the receiving hospital. A score whose parts
// are not all recorded is nil, and the field beside it says why. Died is nil where the outcome is not recorded.
type Risk struct {
	Month, GestationBand string
	Referring            *int
	ReferringMissing     string
	Receiving            *int
	ReceivingMissing     string
	Died                 *bool
}

// Risks lists the completed transports of the months given, those of a month together. Transports that are alike share what is
// pointed to: the engine counts them, since there are many and few of them differ.
func (r *Reader) Risks(ctx context.Context, from, to string) ([]Risk, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	kinds, err := collect(ctx, r, risksSQL, func(rows *sql.Rows) ([]Risk, error) {
		var one Risk
		var transports int
		err := rows.Scan(&one.Month, &one.GestationBand, &one.Referring, &one.ReferringMissing, &one.Receiving, &one.ReceivingMissing,
			&one.Died, &transports)
		return slices.Repeat([]Risk{one}, transports), err
	}, args...)
	return slices.Concat(kinds...), err
}
