package normalise

import (
	"fmt"
	"slices"
	"strings"

	"tripwake/pipeline/records"
)

// readSQL reads staged rows (r and the staged columns, from the table named), step by step, each step a select over the one
// before: t_ texts, then d_ what the engine alone makes of those of numbers and local times, then n_ numbers (p_ where the unit stands in the row) and l_ local times (with x_ midnights between its date and its day), then their n_, u_ UTC times and
// b_ how far a second reading lies behind, then
// v_ times as the order of the row's moments decides.
func (p Plan) readSQL(from string) string {
	if p.typed {
		return p.inUTC(p.batchStep(from))
	}
	return p.inUTC(p.step(p.step(p.textsSQL(from), p.cast), p.parse))
}

// inUTC are the steps from local times on.
func (p Plan) inUTC(parsed string) string {
	return p.inSequence(p.step(p.nextDays(parsed), p.universal))
}

func (p Plan) textsSQL(from string) string {
	columns := []string{"r"}
	for _, c := range slices.Concat(p.cells, p.wide) {
		if c.staged != "" {
			columns = append(columns, fmt.Sprintf("%s as t_%s", text(c.staged), c.Name))
		}
	}
	rows := fmt.Sprintf("select %s from %s", strings.Join(columns, ", "), from)
	if !p.unitsByRow() {
		return rows
	}
	return fmt.Sprintf("select t.*, ru.* from (%s) t left join row_units ru on ru.ru_code = %s and ru.ru_unit = %s",
		rows, p.unitKeySQL(), p.unitTextSQL())
}

// step adds the columns that each cell contributes.
func (p Plan) step(from string, add func(cell) []string) string {
	columns := []string{"*"}
	for _, c := range slices.Concat(p.cells, p.wide) {
		if c.staged != "" {
			columns = append(columns, add(c)...)
		}
	}
	return fmt.Sprintf("select %s from (%s)", strings.Join(columns, ", "), from)
}

// cast is what the engine alone makes of a text, worked out once for all that asks about it.
func (p Plan) cast(c cell) []string {
	switch {
	case c.Kind == records.Time && isISO(c.formats):
		return []string{fmt.Sprintf("try_cast(t_%[1]s as timestamp) as d_%[1]s", c.Name)}
	case c.Kind == records.Number:
		return []string{p.numbers.castSQL("t_"+c.Name) + " as d_" + c.Name}
	}
	return nil
}

func (p Plan) parse(c cell) []string {
	t := "t_" + c.Name
	switch {
	case c.Kind == records.Time:
		return []string{p.shifted(localTimeSQL(t, "d_"+c.Name, c.formats)) + " as l_" + c.Name}
	case c.Kind == records.Number && p.byRow(c.Column):
		return []string{fmt.Sprintf("%s as p_%s", p.sharedUnitSQL(c, p.rowNumberSQL(c)), c.Name)}
	case c.Kind == records.Number:
		return []string{numberSQL(c, p.numbers) + " as n_" + c.Name}
	}
	return nil
}

func (p Plan) universal(c cell) []string {
	if c.Kind == records.Number && p.byRow(c.Column) {
		value := fmt.Sprintf("(p_%s * ru_factor + ru_offset)", c.Name)
		return []string{fmt.Sprintf("case when ru_same then p_%[1]s when ru_fraction then %[2]s else round(%[3]s, 9) end as n_%[1]s",
			c.Name, fractionSQL(value), value)}
	}
	if c.Kind != records.Time {
		return nil
	}
	local, universal := "l_"+c.Name, "null"
	if !p.typed {
		universal = p.shifted(universalTimeSQL("t_"+c.Name, c.formats))
	}
	return []string{
		fmt.Sprintf("case when %[1]s is null then %[2]s when not %[3]s then make_timestamp(epoch_us(%[1]s) - %[4]s) end as u_%[5]s",
			local, universal, p.clock.missingSQL(local), p.clock.offsetSQL(local), c.Name),
		fmt.Sprintf("%s as b_%s", p.clock.repeatedSQL(local), c.Name),
	}
}

// shifted corrects a moment by what the layout says of the device's clock.
func (p Plan) shifted(moment string) string {
	if p.clockOffset == 0 {
		return moment
	}
	return fmt.Sprintf("(%s + to_microseconds(%d))", moment, p.clockOffset.Microseconds())
}

// inSequence settles times in the repeated hour, each by the filled moment before it in the row's sequence: the first
// pass, unless only the second does not come before that moment.
func (p Plan) inSequence(from string) string {
	var before []string
	for _, c := range p.times() {
		value := "u_" + c.Name
		if slices.Contains(p.table.Sequence, c.Name) {
			if len(before) > 0 {
				value = secondPassSQL(c.Name, before)
			}
			before = append([]string{"v_" + c.Name}, before...)
		}
		from = fmt.Sprintf("select *, %s as v_%s from (%s)", value, c.Name, from)
	}
	return from
}

func secondPassSQL(column string, before []string) string {
	earlier := fmt.Sprintf("coalesce(%s)", strings.Join(before, ", "))
	second := fmt.Sprintf("(u_%[1]s + to_microseconds(b_%[1]s))", column)
	return fmt.Sprintf("case when b_%[1]s is not null and u_%[1]s < %[2]s and %[3]s >= %[2]s then %[3]s else u_%[1]s end",
		column, earlier, second)
}
