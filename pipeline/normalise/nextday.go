package normalise

import (
	"fmt"
	"slices"
	"strings"
)

// NextDay flags rows with a time that was taken for a later day than that of its date.
const NextDay = "next_day"

// nextDays puts times that share the date of an earlier one behind the filled local time before them in the row's sequence, by the
// fewest midnights, where they then lie at most so long after it as the layout says. Where they would lie further, they come out of
// order: with the midnights that put them just before it, if any. All of it is told by the clock on the wall, so that a change of
// the zone's offset is met afterwards.
func (p Plan) nextDays(from string) string {
	var before []string
	for _, c := range p.times() {
		if !slices.Contains(p.table.Sequence, c.Name) {
			continue
		}
		local := "l_" + c.Name
		if c.nextDay > 0 && len(before) > 0 {
			from = nextDaySQL(from, c, fmt.Sprintf("coalesce(%s)", strings.Join(before, ", ")))
		}
		before = append([]string{local}, before...)
	}
	return from
}

// nextDaySQL adds x_, the midnights between a time's date and its day, and moves its l_ by them.
func nextDaySQL(from string, c cell, earlier string) string {
	local := "l_" + c.Name
	const day = "864e8"
	behind := fmt.Sprintf("(epoch_us(%s) - epoch_us(%s))", earlier, local)
	midnights := fmt.Sprintf("ceil(%s / %s)", behind, day)
	far := fmt.Sprintf("%s * %s - %s > %d", midnights, day, behind, c.nextDay.Microseconds())
	counted := fmt.Sprintf("case when %s > 0 then (%s - if(%s, 1, 0))::integer else 0 end as x_%s", behind, midnights, far, c.Name)
	return fmt.Sprintf("select * replace (%[1]s + to_days(x_%[2]s) as %[1]s) from (select *, %[3]s from (%[4]s))", local, c.Name, counted, from)
}

// NextDaysSQL selects r of the rows of `typed` that bear the flag, empty where no time can be taken for the next day.
func (p Plan) NextDaysSQL() string {
	if !slices.ContainsFunc(p.cells, func(c cell) bool { return c.nextDay > 0 }) {
		return ""
	}
	return fmt.Sprintf("select r from typed where list_contains(string_split(flags, ' '), '%s') and not %s", NextDay, p.RefusedSQL())
}
