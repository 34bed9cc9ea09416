package pipeline

import (
	"fmt"
	"slices"
	"strings"
)

// mostBranches bounds the case that works record numbers out: it is walked for every row.
const mostBranches = 32

// recordNumberSQL gives the record number of staged row r as SQL: the header is record 1, so the first row is 2, and
// records that were not staged (blank or rejected) push those after them on. With many gaps it looks into the table that
// recordNumbersSQL makes.
func recordNumberSQL(steps []shift) string {
	if len(steps) > mostBranches {
		return "(select n from record_numbers where staged_row = r)"
	}
	const plain = "r + 2"
	if len(steps) == 0 {
		return plain
	}
	var b strings.Builder
	b.WriteString(plain + " + case")
	for i := len(steps) - 1; i >= 0; i-- {
		fmt.Fprintf(&b, " when r >= %d then %d", steps[i].from, steps[i].by)
	}
	b.WriteString(" else 0 end")
	return b.String()
}

// shift says that staged rows from the row named on have that many gaps before them.
type shift struct{ from, by int64 }

func shifts(gaps []int64) []shift {
	gaps = slices.Clone(gaps)
	slices.Sort(gaps)
	gaps = slices.Compact(gaps)
	var steps []shift
	for i, record := range gaps {
		from := record - 2 - int64(i)
		if from < 0 {
			from = 0
		}
		if n := len(steps); n > 0 && steps[n-1].from == from {
			steps[n-1].by++
			continue
		}
		steps = append(steps, shift{from, int64(i) + 1})
	}
	return steps
}

// recordNumbersSQL makes the table that recordNumberSQL looks into where there are many gaps; table holds all staged rows.
func recordNumbersSQL(table string, steps []shift) string {
	values := make([]string, len(steps))
	for i, s := range steps {
		values[i] = fmt.Sprintf("(%d, %d)", s.from, s.by)
	}
	return fmt.Sprintf(`create or replace temp table record_numbers as
		select s.r as staged_row, s.r + 2 + max(coalesce(g.shift, 0)) over (order by s.r) as n
		from (select rowid as r from %s) s left join (values %s) g(first_row, shift) on g.first_row = s.r`, table, strings.Join(values, ", "))
}
