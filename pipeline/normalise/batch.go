package normalise

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
	"tripwake/pipeline/records"
)

// A batch is files of readings with one header, a column for each quantity, that the engine types while it reads them, all in one
// go: its own casts take half the time of those from staged text. That holds only where nothing needs a second look: whatever
// is not as plain makes the reading fail, or BatchCleanSQL say no. The files are then staged as text, one by one, and
// every refusal gets its reason there. Both ways give the same rows.

// Batchable says that files like this one may be read as a batch.
func Batchable(s intake.Source) bool {
	if len(s.Quantities) == 0 || s.Layout.Where != nil || s.Layout.Dialect.Decimal == layout.Comma || !s.Simple || s.Records == 0 {
		return false
	}
	if slices.ContainsFunc(s.Layout.Missing, isNumber) { // ' -1' would be one, and '-1' none
		return false
	}
	numbers := numberCells(s)
	for _, b := range s.Quantities {
		if len(b.Staged) > 1 || len(b.Codes) > 0 {
			return false
		}
	}
	for _, b := range s.Columns {
		if slices.ContainsFunc(b.Staged, func(staged string) bool { return numbers[staged] }) {
			return false
		}
	}
	cells, _ := cellsOf(s)
	return !slices.ContainsFunc(cells, func(c cell) bool { return c.staged != "" && c.Kind != records.Text && c.Kind != records.Time })
}

func isNumber(text string) bool {
	n, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
	return err == nil && !math.IsNaN(n) && !math.IsInf(n, 0)
}

// numberCells are the staged columns that hold quantities.
func numberCells(s intake.Source) map[string]bool {
	in := map[string]bool{}
	for _, b := range s.Quantities {
		in[b.Staged[0]] = true
	}
	return in
}

// BatchSQL selects the records of a batch in their order: t_ texts and l_ local times of the columns that a row's readings share, and
// for each quantity a number d_, not yet in its unit.
func BatchSQL(files []intake.Source) string {
	s := files[0]
	return typedSQL(s, intake.BatchSQL(files, numberCells(s), s.Layout.Missing))
}

// typedSQL makes those columns of the engine's relation of a source's records, and hands on the columns named also.
func typedSQL(s intake.Source, relation string, also ...string) string {
	cells, wide := cellsOf(s)
	texts, typed := slices.Clone(also), slices.Clone(also)
	var casts []string
	for _, c := range cells {
		if c.staged == "" {
			continue
		}
		texts = append(texts, fmt.Sprintf("%s as t_%s", text(c.staged), c.Name))
		if c.Kind == records.Text {
			typed = append(typed, "t_"+c.Name)
			continue
		}
		casts = append(casts, Plan{}.cast(c)...)
		typed = append(typed, localTimeSQL("t_"+c.Name, "d_"+c.Name, c.formats)+" as l_"+c.Name)
	}
	for i, c := range wide {
		texts = append(texts, fmt.Sprintf("%s as d_%s", s.Quantities[i].Staged[0], c.Name))
		typed = append(typed, "d_"+c.Name)
	}
	made := append([]string{"*"}, madeColumns(s, s.Columns)...)
	return fmt.Sprintf("select %s from (select %s from (select %s from (select %s from %s)))", strings.Join(typed, ", "),
		strings.Join(append(casts, "*"), ", "), strings.Join(texts, ", "), strings.Join(made, ", "), relation)
}

// batchStep is readSQL's first steps over a batch: what is left of them is the units of numbers, and the clock of the device.
func (p Plan) batchStep(from string, also ...string) string {
	columns := append([]string{"r"}, also...)
	for _, c := range p.cells {
		switch {
		case c.staged == "":
		case c.Kind == records.Time:
			columns = append(columns, p.shifted("l_"+c.Name)+" as l_"+c.Name)
		default:
			columns = append(columns, "t_"+c.Name)
		}
	}
	for _, c := range p.wide {
		columns = append(columns, p.parse(c)...)
	}
	return fmt.Sprintf("select %s from %s", strings.Join(columns, ", "), from)
}

// BatchCleanSQL asks a table of BatchSQL's rows: the first and last year of its times, and whether each row has its times and
// each number is finite and in range: 1, else 0. A range holds all between two values that it holds, in every unit; of inspired oxygen
// it begins at 0, so that fractions and percents lie in it alike.
func BatchCleanSQL(s intake.Source, table string) string {
	cells, wide := cellsOf(s)
	p := Plan{table: s.Table, wide: wide, typed: true}
	Look{Typed: true}.markPlain(p.wide)
	var ends, low, high, years []string
	clean := []string{"untimed = 0"}
	untimed := "false"
	for _, c := range cells {
		if c.Kind == records.Time && c.staged != "" {
			untimed += fmt.Sprintf(" or l_%s is null", c.Name)
			years = append(years, "l_"+c.Name)
		}
	}
	for _, c := range wide {
		ends = append(ends, fmt.Sprintf("min(d_%[1]s) as low_%[1]s, max(d_%[1]s) as high_%[1]s", c.Name))
		low, high = append(low, fmt.Sprintf("low_%[1]s as d_%[1]s", c.Name)), append(high, "high_"+c.Name)
		clean = append(clean, fmt.Sprintf("coalesce(isfinite(d_%[1]s) and %[2]s is not null, d_%[1]s is null)", c.Name, p.wideValueSQL(c)))
	}
	if len(years) == 0 {
		return "select 0, 0, 0"
	}
	all := strings.Join(years, ", ")
	return fmt.Sprintf(`with ends as materialized (
			select count(*) filter (where %s) as untimed, min(least(%s)) as first_time, max(greatest(%s)) as last_time, %s from %s),
		each as (select *, %s from ends union all select *, %s from ends)
		select coalesce(min(year(first_time)), 0), coalesce(max(year(last_time)), 0), bool_and(%s)::int from (%s)`,
		untimed, all, all, strings.Join(ends, ", "), table, strings.Join(low, ", "), strings.Join(high, ", "),
		strings.Join(clean, " and "), p.step("select * from each", p.parse))
}

// BatchMissingSQL counts the rows of the table whose time the clock never showed, empty where its years have no such hour.
func (p Plan) BatchMissingSQL(table string) string {
	var terms []string
	for _, c := range p.times() {
		if missing := p.clock.missingSQL(p.shifted("l_" + c.Name)); missing != "false" {
			terms = append(terms, missing)
		}
	}
	if len(terms) == 0 {
		return ""
	}
	return fmt.Sprintf("select count(*) from %s where %s", table, strings.Join(terms, " or "))
}

// BatchFilledSQL selects, for each file of the table, how many readings it holds; file numbers the files as SQL over r.
func (p Plan) BatchFilledSQL(table, file string) string {
	return fmt.Sprintf("select %s from (select *, %s as file from (select rowid as r, * from %s)) group by file order by file", p.readingsSQL(), file, table)
}

// BatchOfferedSQL counts the readings of `staged`, rows of a batch.
func (p Plan) BatchOfferedSQL() string { return "select " + p.readingsSQL() + " from staged" }

func (p Plan) readingsSQL() string {
	terms := make([]string, len(p.wide))
	for i, c := range p.wide {
		terms[i] = fmt.Sprintf("count(d_%s)", c.Name)
	}
	return strings.Join(terms, " + ")
}
