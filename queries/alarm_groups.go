package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"fmt"
	"slices"
	"strings"
)

var (
	//go:embed alarm_groups.sql
	alarmGroupsSQL string
	//go:embed alarm_shared.sql
	alarmSharedSQL string
)

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
	if by == "condition" || by == "priority" {
		return r.alarmShared(ctx, append(args, sql.Named("by", by)))
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

// alarmShared adds up the onsets of groups that are all set against the same hours: the engine tells those once, and onsets only of
// transports that had one.
func (r *Reader) alarmShared(ctx context.Context, args []any) ([]AlarmGroup, error) {
	var hours []float64
	groups, err := collect(ctx, r, alarmSharedSQL, func(rows *sql.Rows) (AlarmGroup, error) {
		var g AlarmGroup
		var name sql.NullString
		var places, xs, ts any
		err := rows.Scan(&name, &g.Onsets, &g.High, &g.Repeats, &g.Transports, &places, &xs, &ts)
		if g.Name = name.String; !name.Valid {
			hours = floats(ts)
			return g, err
		}
		g.Xs, g.Ts, g.Hours = make([]float64, len(hours)), hours, total(hours)
		onsets := floats(xs)
		for i, place := range elements[int64](places) {
			g.Xs[place] = onsets[i]
		}
		return g, err
	}, args...)
	if err != nil || len(groups) == 0 {
		return nil, err
	}
	return groups[1:], nil
}
