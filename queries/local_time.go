package queries

import (
	"fmt"
	"time"
)

// localTimeMacro makes local_time(moment): what the team's clocks showed at a moment in UTC. The offset is found by halving
// the zone's stretches, written out as nested conditions, so that a row costs a handful of comparisons and no join.
func localTimeMacro(zone *time.Location) string {
	return "create or replace temp macro local_time(moment) as moment + to_seconds(" + offsetTree(zoneStretches(zone)) + ")"
}

// offsetTree is the offset at `moment` as SQL, for stretches in order.
func offsetTree(in []stretch) string {
	if len(in) == 1 {
		return fmt.Sprint(in[0].offset)
	}
	middle := len(in) / 2
	return fmt.Sprintf("case when moment < timestamp '%s' then %s else %s end",
		in[middle].from.Format(utcLayout), offsetTree(in[:middle]), offsetTree(in[middle:]))
}
