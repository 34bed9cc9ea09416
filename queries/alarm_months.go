package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed alarm_months.sql
var alarmMonthsSQL string

// AlarmMonth is how often one condition alarmed in one month ("2026-03"): onsets, of which high priority and repeats, and the
// monitored hours of the month, which are the same for every condition. A month without an onset has one, without a condition.
type AlarmMonth struct {
	Month, Condition      string
	Onsets, High, Repeats int
	Hours                 float64
}

// AlarmMonths lists the onsets of the population of alarms_per_hour by month and condition: summed over months they are what
// AlarmGroups says of conditions.
func (r *Reader) AlarmMonths(ctx context.Context, from, to string) ([]AlarmMonth, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, alarmMonthsSQL, func(rows *sql.Rows) (AlarmMonth, error) {
		var m AlarmMonth
		return m, rows.Scan(&m.Month, &m.Condition, &m.Onsets, &m.High, &m.Repeats, &m.Hours)
	}, args...)
}
