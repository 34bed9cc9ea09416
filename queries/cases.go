package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"strings"
)

var (
	//go:embed cases.sql
	casesSQL string
	//go:embed members.sql
	membersSQL string
)

// caseMeasures are the measures whose numerator, met by a transport, makes it a case to read. Serious events, unplanned
// extubations and cardiac arrests are cases on every transport, in their measure's population or not.
var caseMeasures = []string{
	"died_in_transit", "died_within_7_days", "battery_overdrawn", "oxygen_over_plan", "oxygen_reserve_short",
	"hypothermia_on_arrival", "escalations",
}

// Case is a transport that a committee must read. Reasons are ids of measures.csv, sorted.
type Case struct {
	TransportID, Month string
	Reasons            []string
}

// Cases lists the transports of a month that a committee must read, in order of time.
func (r *Reader) Cases(ctx context.Context, month string) ([]Case, error) {
	args, err := between(month, month)
	if err != nil {
		return nil, err
	}
	for _, measure := range caseMeasures {
		if err := r.ready(ctx, measure, month); err != nil {
			return nil, err
		}
	}
	return r.cases(ctx, casesSQL, append(args, sql.Named("measures", strings.Join(caseMeasures, ",")))...)
}

// CasesOf lists the transports that met the numerator of one measure (events, or the condition counted), in order of
// time: those that a signal of its chart asks to read. For measures of time it lists every transport with a time.
func (r *Reader) CasesOf(ctx context.Context, measure, from, to string) ([]Case, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	if err := r.ready(ctx, measure, to); err != nil {
		return nil, err
	}
	return r.cases(ctx, membersSQL, append(args, sql.Named("measure", measure))...)
}

func (r *Reader) cases(ctx context.Context, text string, args ...any) ([]Case, error) {
	rows, err := collect(ctx, r, text, func(rows *sql.Rows) (Case, error) {
		c := Case{Reasons: make([]string, 1)}
		return c, rows.Scan(&c.TransportID, &c.Month, &c.Reasons[0])
	}, args...)
	var all []Case
	for _, one := range rows {
		if last := len(all) - 1; last >= 0 && all[last].TransportID == one.TransportID {
			all[last].Reasons = append(all[last].Reasons, one.Reasons...)
			continue
		}
		all = append(all, one)
	}
	return all, err
}
