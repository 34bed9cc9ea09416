package normalise

import (
	"fmt"
	"strings"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

// Readings with one column for each quantity are typed row by row and only then taken apart, a row for each filled cell: a time
// is read once for all the values beside it. A cell that cannot be kept is 'nan' on the way, since a NULL is an empty cell, which
// is no reading.

func wideCell(b intake.Bound, l *layout.Source) cell {
	for _, q := range records.Quantities() {
		if q.Name == b.Name {
			column := records.Column{Name: "q_" + q.Name, Kind: records.Number, Unit: q.Unit, Range: &q.Range}
			return cell{Column: column, staged: stagedName(b, l), unit: b.Unit}
		}
	}
	return cell{}
}

// quantityOf is the quantity of a wide cell.
func quantityOf(c cell) string { return strings.TrimPrefix(c.Name, "q_") }

// Wide says that the source has a column for each quantity, so that a row of it may hold several readings or none.
func (p Plan) Wide() bool { return len(p.wide) > 0 }

// Given lists the columns of the table that the source gives, in the table's order.
func (p Plan) Given() []string {
	var names []string
	for _, c := range p.cells {
		if c.staged != "" || p.Wide() && (c.Name == "quantity" || c.Name == "value") {
			names = append(names, c.Name)
		}
	}
	return names
}

// FilledSQL counts the filled cells of the quantities of `staged`: the readings that the file offers.
func (p Plan) FilledSQL() string { return fmt.Sprintf("select %s from staged", p.filled()) }

// OfferedSQL selects, for each file, file_id and, as n, how many readings, or else records, `staged` offers of it; file numbers the files as
// SQL over r.
func (p Plan) OfferedSQL(file string) string {
	offered := "count(*)"
	if p.Wide() {
		offered = p.filled()
	}
	return fmt.Sprintf("select %s as file_id, %s as n from staged group by all", file, offered)
}

func (p Plan) filled() string {
	terms := make([]string, len(p.wide))
	for i, c := range p.wide {
		terms[i] = fmt.Sprintf("count(%s)", text(c.staged))
	}
	return strings.Join(terms, " + ")
}

// Quantities lists the quantities that have a column each, in the order of the source.
func (p Plan) Quantities() []string {
	names := make([]string, len(p.wide))
	for i, c := range p.wide {
		names[i] = quantityOf(c)
	}
	return names
}

// Rows names the relation with each typed row of the source once: `typed`, or, where a row holds several readings, `moments`.
func (p Plan) Rows() string {
	if p.Wide() {
		return "moments"
	}
	return "typed"
}

// wideTypedSQL makes the views `moments`, the typed rows, and `samples`, those with their owners, and from it `typed`, a row for each filled cell.
func (p Plan) wideTypedSQL(relation, owners string) string {
	var columns, names, values []string
	for _, c := range p.table.Columns {
		switch c.Name {
		case "quantity":
			columns = append(columns, "quantity")
		case "value":
			columns = append(columns, "case when not isnan(v) then v end as value")
		case "unit":
			columns = append(columns, "null::varchar as unit")
		default:
			columns = append(columns, quoted(c.Name))
		}
	}
	for _, c := range p.wide {
		names = append(names, store.Literal(quantityOf(c)))
		values = append(values, wideName(c))
	}
	return fmt.Sprintf(`create or replace temp view moments as %s;
		create or replace temp view samples as select r.*, h.transport_id as owner from moments r %s;
		create or replace temp %s typed as select r, %s, flags, owner from (
		select * exclude (%s), unnest([%s]) as quantity, unnest([%s]) as v from samples) where v is not null`,
		p.wideRowsSQL("staged"), owners, relation, strings.Join(columns, ", "), strings.Join(values, ", "), strings.Join(names, ", "), strings.Join(values, ", "))
}

// unkeptSQL is true for rows of `samples` with a reading that is refused, and for some without any reading.
func (p Plan) unkeptSQL() string {
	terms := []string{"false"}
	for _, c := range p.cells {
		if c.Required && !ofReading(c) {
			terms = append(terms, quoted(c.Name)+" is null")
		}
	}
	for _, c := range p.wide {
		terms = append(terms, fmt.Sprintf("isnan(%s)", wideName(c)))
	}
	return strings.Join(terms, " or ")
}

func wideName(c cell) string { return "w_" + quantityOf(c) }

// wideRowsSQL selects r, the typed columns that a row's readings share, flags, and w_ values: NULL for an empty cell, 'nan' for
// one that cannot be kept.
func (p Plan) wideRowsSQL(from string) string { return p.wideValuesSQL(p.readSQL(from)) }

// wideValuesSQL is that over the rows of readSQL, of which it hands on the columns named also.
func (p Plan) wideValuesSQL(read string, also ...string) string {
	columns := append([]string{"r"}, also...)
	for _, c := range p.cells {
		if !ofReading(c) {
			columns = append(columns, p.valueSQL(c)+" as "+quoted(c.Name))
		}
	}
	columns = append(columns, p.flagsSQL()+" as flags")
	for _, c := range p.wide {
		value := fmt.Sprintf("case when t_%s is not null then coalesce(%s, 'nan'::double) end", c.Name, p.wideValueSQL(c))
		if p.typed {
			value = p.wideNumberSQL(c) // in range, as BatchCleanSQL said
		}
		columns = append(columns, value+" as "+wideName(c))
	}
	return fmt.Sprintf("select %s from (%s)", strings.Join(columns, ",\n"), read)
}

// ofReading says that a column is one reading's, not its row's.
func ofReading(c cell) bool { return c.Name == "quantity" || c.Name == "value" || c.Name == "unit" }

// wideValueSQL is a quantity's value in its canonical unit, NULL where it cannot be kept.
func (p Plan) wideValueSQL(c cell) string { return inRangeSQL(p.wideNumberSQL(c), c.Range) }

func (p Plan) wideNumberSQL(c cell) string {
	value := "n_" + c.Name
	if quantityOf(c) == "fio2" && c.unit == "" {
		value = fractionSQL(value)
	}
	return value
}

// wideRefusedSQL selects r, column_name, reason, expected and kept for each reading of the suspects that is refused; kept is the
// quantity's place. What a row's readings share comes first: a row without a time refuses each of its readings for that.
func (p Plan) wideRefusedSQL() string {
	parts := make([]string, len(p.wide))
	for i, c := range p.wide {
		shared, value := p.firstRefused(), p.wideValueSQL(c)
		parts[i] = fmt.Sprintf(`select r, case%s else %s end as column_name, case%s else %s end as reason, case%s else %s end as expected, %d as kept
			from suspect_rows where t_%s is not null and (%s or %s is null)`,
			shared.column, store.Literal(quantityOf(c)), shared.reason, p.reasonSQL(c), shared.expected, store.Literal(Expectation(c.Column)), i, c.Name, shared.any, value)
	}
	return fmt.Sprintf("with suspect_rows as materialized (%s) %s", p.readSQL("suspects"), strings.Join(parts, " union all "))
}

// cellsSQL is the list of a suspect's cells as the file has them. Of readings with a column for each quantity each refused one
// keeps its own cell alone, so that what is mended and loaded again is not the whole row once more.
func (p Plan) cellsSQL() string {
	cells := make([]string, p.width)
	for i := range cells {
		cells[i] = fmt.Sprintf("c%d", i)
	}
	for i, places := range p.private {
		cells[i] = fmt.Sprintf("case when kept in (%s) then c%d else '' end", strings.Trim(fmt.Sprint(places), "[]"), i)
	}
	return "[" + strings.Join(cells, ", ") + "]"
}

// privateCells gives, for each cell of the header that quantities alone read, the places of those quantities.
func privateCells(s intake.Source) map[int][]int {
	private := map[int][]int{}
	for i := range s.Header {
		name := fmt.Sprintf("c%d", i)
		var readers []int
		for at, b := range s.Quantities {
			if b.Staged[0] == name {
				readers = append(readers, at)
			}
		}
		if len(readers) > 0 && !shared(s, name) {
			private[i] = readers
		}
	}
	return private
}

// shared says that a staged column is read for what all readings of a row have in common.
func shared(s intake.Source, name string) bool {
	for _, b := range s.Columns {
		for _, staged := range b.Staged {
			if staged == name {
				return true
			}
		}
	}
	return s.Filtered == name
}
