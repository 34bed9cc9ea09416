package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"fmt"
	"math/big"
	"slices"
	"strings"
)

var (
	//go:embed alarm_groups.sql
	alarmGroupsSQL string
	//go:embed alarm_shared.sql
	alarmSharedSQL string
)

// AlarmGroup is how often alarms began in one group: onsets, of which high priority and repeats, transports with one, and the sums
// of onsets and monitored microseconds over the transports that have such time in the group, where one onset alone may have none.
type AlarmGroup struct {
	Name                              string
	Onsets, High, Repeats, Transports int
	Sums                              ClusterSums
}

// ClusterSums are sums over transports with x onsets in t monitored microseconds each: how many there are, how many with an onset, and
// the sums of x, t, x², x·t and t², whole numbers that the engine's threads may add in any order.
type ClusterSums struct {
	Clusters, Hit    int
	X, T, XX, XT, TT *big.Int
}

// Hours is the monitored time of the group.
func (g AlarmGroup) Hours() float64 {
	micros, _ := new(big.Float).SetInt(g.Sums.T).Float64()
	return micros / MicrosecondsPerHour
}

// MicrosecondsPerHour is the exposure that counts as one in the sums of an AlarmGroup.
const MicrosecondsPerHour = 3.6e9

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
	text := alarmGroupsSQL
	if by == "condition" || by == "priority" {
		text = alarmSharedSQL
	}
	return collect(ctx, r, text, func(rows *sql.Rows) (AlarmGroup, error) {
		var g AlarmGroup
		c := &g.Sums
		err := rows.Scan(&g.Name, &g.Onsets, &g.High, &g.Repeats, &g.Transports, &c.Clusters, &c.Hit,
			scanWhole{&c.X}, scanWhole{&c.T}, scanWhole{&c.XX}, scanWhole{&c.XT}, scanWhole{&c.TT})
		return g, err
	}, append(args, sql.Named("by", by))...)
}

// scanWhole takes a whole number of any size as the driver gives it.
type scanWhole struct{ into **big.Int }

func (w scanWhole) Scan(value any) error {
	switch n := value.(type) {
	case *big.Int:
		*w.into = n
	case int64:
		*w.into = big.NewInt(n)
	default:
		return fmt.Errorf("expected a whole number, got %T", value)
	}
	return nil
}
