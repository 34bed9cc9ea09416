package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"fmt"
	"slices"
	"strings"
)

//go:embed alarm_groups.sql
var alarmGroupsSQL string

// AlarmGroup is how often alarms began in one group: onsets, of which high priority and repeats, transports with one, and
// monitored hours. Xs and Ts are onsets and hours of each transport of the group, ordered by transport.
type AlarmGroup struct {
	Name                              string
	Onsets, High, Repeats, Transports int
	Hours                             float64
	Xs, Ts                            []float64
}

var alarmGroupings = []string{"leg", "device", "vehicle", "condition", "priority"}

// AlarmGroups adds up the onsets of the population of alarms_per_hour by leg of the trip, device, vehicle, condition or
// priority. Legs come in the order of the trip, the rest with most onsets first. Devices, vehicles and legs have monitored
// hours of their own; a condition or priority is set against all of them. It refuses another grouping.
func (r *Reader) AlarmGroups(ctx context.Context, by, from, to string) ([]AlarmGroup, error) {
	if !slices.Contains(alarmGroupings, by) {
		return nil, fmt.Errorf("alarms by %q: expected one of %s", by, strings.Join(alarmGroupings, ", "))
	}
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, alarmGroupsSQL, func(rows *sql.Rows) (AlarmGroup, error) {
		var g AlarmGroup
		var xs, ts any
		err := rows.Scan(&g.Name, &g.Onsets, &g.High, &g.Repeats, &g.Transports, &xs, &ts)
		g.Xs, g.Ts = floats(xs), floats(ts)
		g.Hours = total(g.Ts)
		if _, place, found := strings.Cut(g.Name, " "); found && by == "leg" {
			g.Name = place
		}
		return g, err
	}, append(args, sql.Named("by", by))...)
}
