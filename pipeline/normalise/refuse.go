package normalise

import (
	"fmt"
	"strings"

	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
	"tripwake/pipeline/units"
)

// SuspectRowsSQL makes the temporary table `suspects`: the staged text of the refused rows of `typed`.
func (p Plan) SuspectRowsSQL() string {
	if p.Wide() {
		return suspectsSQL("select r from samples where " + p.unkeptSQL())
	}
	return suspectsSQL("select r from typed where " + p.RefusedSQL())
}

// SuspectCellsSQL makes the temporary table `suspects`: the staged text of the kept rows with a cell in an optional column that could
// not be kept.
func (p Plan) SuspectCellsSQL() string {
	return suspectsSQL("select r from typed where suspect and not " + p.RefusedSQL())
}

func suspectsSQL(rows string) string {
	return fmt.Sprintf("create or replace temp table suspects as select * from staged where r in (%s)", rows)
}

// RefusedRowsSQL selects r, column_name, reason, expected, cells for each of the suspects: the first required column, in the
// order of the table, that cannot be kept, and the cells of the file's row. A suspect of readings with a column for each quantity
// is selected once for each of its readings that is refused.
func (p Plan) RefusedRowsSQL() string {
	refused := p.wideRefusedSQL
	if !p.Wide() {
		refused = p.plainRefusedSQL
	}
	return fmt.Sprintf("select r, column_name, reason, expected, %s as cells from (%s) join suspects using (r)", p.cellsSQL(), refused())
}

func (p Plan) plainRefusedSQL() string {
	first := p.firstRefused()
	return fmt.Sprintf("select r, case%s end as column_name, case%s end as reason, case%s end as expected from (%s)",
		first.column, first.reason, first.expected, p.readSQL("suspects"))
}

// branches are those of a case for each required column, over the rows of readSQL: any is true where one of them cannot be kept.
type branches struct{ column, reason, expected, any string }

func (p Plan) firstRefused() branches {
	var column, reason, expected strings.Builder
	any := "false"
	for _, c := range p.cells {
		if !c.Required || p.Wide() && ofReading(c) {
			continue
		}
		missing := p.valueSQL(c) + " is null"
		fmt.Fprintf(&column, " when %s then %s", missing, store.Literal(c.Name))
		fmt.Fprintf(&reason, " when %s then %s", missing, p.reasonSQL(c))
		fmt.Fprintf(&expected, " when %s then %s", missing, expectedSQL(c))
		any += " or " + missing
	}
	return branches{column.String(), reason.String(), expected.String(), "(" + any + ")"}
}

// Checks says that the source has optional columns whose cells can be refused.
func (p Plan) Checks() bool { return len(p.checked()) > 0 }

// checked are the cells of those columns.
func (p Plan) checked() []cell {
	var in []cell
	for _, c := range p.cells {
		if !c.Required && c.staged != "" && c.Kind != records.Text {
			in = append(in, c)
		}
	}
	return in
}

// RefusedCellsSQL selects r, column_name, reason, cell and place, that of the column, for each cell of the suspects that could not be kept.
func (p Plan) RefusedCellsSQL() string {
	var parts []string
	for i, c := range p.checked() {
		parts = append(parts, fmt.Sprintf("select r, %s as column_name, %s as reason, t_%s as cell, %d as place from suspect_rows where t_%[3]s is not null and %[5]s is null",
			store.Literal(c.Name), p.reasonSQL(c), c.Name, i, p.valueSQL(c)))
	}
	return fmt.Sprintf("with suspect_rows as materialized (%s) %s", p.readSQL("suspects"), strings.Join(parts, " union all "))
}

// suspectSQL is true where a cell in one of those columns could not be kept, over its text and value; empty where there are none.
func (p Plan) suspectSQL() string {
	var terms []string
	for _, c := range p.checked() {
		terms = append(terms, fmt.Sprintf("t_%s is not null and %s is null", c.Name, quoted(c.Name)))
	}
	return strings.Join(terms, " or ")
}

// reasonSQL says, over the rows of readSQL, why a cell whose value is NULL could not be kept.
func (p Plan) reasonSQL(c cell) string {
	if c.staged == "" {
		return store.Literal(Empty)
	}
	t := "t_" + c.Name
	empty := fmt.Sprintf("case when %s is null then %s ", t, store.Literal(Empty))
	switch {
	case c.Kind == records.Code:
		return empty + fmt.Sprintf("else %s end", store.Literal(UnknownCode))
	case c.Kind == records.Time:
		return empty + fmt.Sprintf("when l_%s is not null then %s else %s end", c.Name, store.Literal(MissingHour), store.Literal(Unreadable))
	case c.Kind == records.Number && p.byRow(c.Column):
		return empty + fmt.Sprintf("when p_%s is null then %s when ru_code is null then %s else %s end",
			c.Name, numberReasonSQL(t, p.numbers), store.Literal(UnknownUnit), store.Literal(OutOfRange))
	case c.Kind == records.Number:
		if !p.unitKnown(c) {
			return empty + fmt.Sprintf("else %s end", store.Literal(UnknownUnit))
		}
		return empty + fmt.Sprintf("when n_%s is null then %s else %s end", c.Name, numberReasonSQL(t, p.numbers), store.Literal(OutOfRange))
	default:
		return empty + fmt.Sprintf("else %s end", store.Literal(Unreadable))
	}
}

func (p Plan) unitKnown(c cell) bool {
	if c.unit == "" {
		return true
	}
	_, err := units.Between(c.unit, c.Unit)
	return err == nil
}

// expectedSQL says, for people, what a cell should have held: a time in the missing hour is well written all the same.
func expectedSQL(c cell) string {
	plain := store.Literal(c.expectation())
	if c.Kind != records.Time || c.staged == "" {
		return plain
	}
	return fmt.Sprintf("case when l_%s is not null then %s else %s end", c.Name, store.Literal(shownByTheClock), plain)
}

// expectation is Expectation in the words of the source's layout: its time formats, and its texts for codes.
func (c cell) expectation() string {
	switch {
	case len(c.formats) > 0:
		return fmt.Sprintf("a %s written %s, as the layout says", c.Kind, strings.Join(c.formats, " or "))
	case len(c.words) > 0 && c.Kind == records.Text:
		return "a value"
	case len(c.words) > 0:
		return fmt.Sprintf("a text that the layout has a code for, such as %s, or %s", codeList(c.words), Expectation(c.Column))
	}
	return Expectation(c.Column)
}

const shownByTheClock = "a time that the team's clock showed: it was put forward over this one; give the time with its offset"

// Expectation says, for people, what a cell of a column should hold.
func Expectation(c records.Column) string {
	switch c.Kind {
	case records.Code:
		return "one of " + codeList(c.Codes)
	case records.Time:
		return "a time such as 2026-03-31 14:05, with an offset such as +02:00 where it is not local"
	case records.Date:
		return "a date such as 2026-03-31"
	case records.Flag:
		return "true or false"
	case records.Number:
		return numberExpectation(c)
	}
	return "a value"
}

// codeList names the codes, or the first of them where they are many.
func codeList(codes []string) string {
	const most = 8
	if len(codes) <= most {
		return strings.Join(codes, ", ")
	}
	return fmt.Sprintf("%s, … (%d codes in all)", strings.Join(codes[:most-2], ", "), len(codes))
}

func numberExpectation(c records.Column) string {
	switch {
	case c.Unit == records.ByQuantity || c.Unit == records.ByCondition:
		return "a number within the range of its quantity, in a known unit"
	case c.Range != nil:
		return strings.TrimSpace(fmt.Sprintf("a number from %v to %v %s", c.Range.Min, c.Range.Max, plainUnit(c.Unit)))
	}
	return strings.TrimSpace("a number in " + plainUnit(c.Unit))
}

func plainUnit(unit string) string {
	if unit == "1" {
		return ""
	}
	return unit
}
