package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed alarm_conditions.sql
var alarmConditionsSQL string

// AlarmCondition is how often one condition alarmed with one priority ("not recorded" where empty): onsets, those of them
// that were repeats, transports with one, and minutes that they lasted (each alarm by itself, overlaps counted twice).
type AlarmCondition struct {
	Condition, Priority         string
	Onsets, Repeats, Transports int
	Minutes                     float64
}

// AlarmConditions lists the onsets of the population of alarms_per_hour by condition and priority, the most frequent first.
func (r *Reader) AlarmConditions(ctx context.Context, from, to string) ([]AlarmCondition, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, alarmConditionsSQL, func(rows *sql.Rows) (AlarmCondition, error) {
		var a AlarmCondition
		return a, rows.Scan(&a.Condition, &a.Priority, &a.Onsets, &a.Repeats, &a.Transports, &a.Minutes)
	}, args...)
}
