// Package normalise turns the text of staged rows into typed values in canonical units, codes and UTC.
//
// In: a source whose text is staged in the engine, what its layout says of it, and what a look at that text told (years,
// decimal comma). Out: the statements that make the typed rows and that say, for each refused row and cell, which column and why. It refuses in a
// row what records.csv calls required, and in a cell what is optional; it never passes an unknown unit, code or time on.
//
// The rule that keeps this quick: an accepted text never becomes NULL, so a refused cell is a text whose value is NULL,
// and reasons need working out for those rows alone.
package normalise

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/records"
)

// Plan is how one source's cells are read.
type Plan struct {
	table       records.Table
	cells       []cell // a cell for each column of the table
	wide        []cell // of readings with a column for each quantity: one for each
	width       int    // cells of the header
	private     map[int][]int
	clock       Clock
	first, last int // years that the clock is known for
	clockOffset time.Duration
	numbers     numbers
	typed       bool // cells are typed already: see Batchable
	tails       bool // some value whose unit stands in the row bears a unit itself
}

// cell is one column of the table in this source: its column of `staged` (empty where the source lacks it), its unit, and the
// formats of its times, nil for the forms that are read without a layout. A constant is the same in every row.
type cell struct {
	records.Column
	staged   string
	unit     string
	formats  []string
	words    []string // texts that the layout has codes for
	nextDay  time.Duration
	constant bool
	plain    bool // a number: all its cells are written so that the engine's cast alone reads them
}

// NewPlan plans the reading of one source, whose times without offset are local to the zone, or to that of its layout.
func NewPlan(s intake.Source, zone *time.Location, look Look) Plan {
	p := Plan{table: s.Table, width: len(s.Header), private: privateCells(s), numbers: numbers{comma: look.DecimalComma, grouped: look.Grouped}, tails: look.Tails, typed: look.Typed}
	if l := s.Layout; l != nil {
		p.clockOffset, p.numbers.bounds = l.ClockOffset, l.Bounds
		if l.Zone != nil {
			zone = l.Zone
		}
	}
	shift := p.clockOffset.Hours() / (365.2425 * 24) // years by which a clock that lost its date is put right
	first, last := look.FirstYear+int(math.Floor(shift)), look.LastYear+int(math.Ceil(shift))
	p.first, p.last = max(first, 1900), min(max(last, 1900), 2200)
	p.clock = NewClock(zone, p.first, p.last)
	p.cells, p.wide = cellsOf(s)
	if !look.DecimalComma {
		look.markPlain(p.cells, p.wide)
	}
	return p
}

// Ready says that there is a plan.
func (p Plan) Ready() bool { return p.table.Name != "" }

// TypedSQL makes the temporary table or view `typed`: r (the staged row), a typed column for each column of the table, flags, and, where a
// source Checks cells, suspect: whether one of the row's was refused. Rows in which RefusedSQL holds are refused.
//
// owners joins rows (alias r) to whose they are (h.transport_id). It is used where a row of the source holds several readings:
// then `typed` has the owner too, looked up once for all of them.
func (p Plan) TypedSQL(relation, owners string) string {
	if p.Wide() {
		return p.wideTypedSQL(relation, owners)
	}
	columns, texts := []string{"r"}, []string{}
	for _, c := range p.cells {
		columns = append(columns, p.valueSQL(c)+" as "+quoted(c.Name))
	}
	for _, c := range p.checked() {
		texts = append(texts, "t_"+c.Name)
	}
	columns = append(append(columns, p.flagsSQL()+" as flags"), texts...)
	rows := fmt.Sprintf("select %s from (%s)", strings.Join(columns, ",\n"), p.readSQL("staged"))
	if len(texts) > 0 {
		rows = fmt.Sprintf("select * exclude (%s), %s as suspect from (%s)", strings.Join(texts, ", "), p.suspectSQL(), rows)
	}
	return fmt.Sprintf("create or replace temp %s typed as %s", relation, rows)
}

// RefusedSQL is true for typed rows that are refused: a required value is NULL.
func (p Plan) RefusedSQL() string {
	var terms []string
	for _, c := range p.cells {
		if c.Required {
			terms = append(terms, quoted(c.Name)+" is null")
		}
	}
	return "(" + strings.Join(terms, " or ") + ")"
}

// valueSQL is the final, typed value of a cell over the rows of readSQL.
func (p Plan) valueSQL(c cell) string {
	if c.staged == "" && c.Name != "unit" {
		return "null::" + typeOf(c.Kind)
	}
	switch c.Kind {
	case records.Text:
		if c.Name == "unit" {
			return "ru_canonical"
		}
		return "t_" + c.Name
	case records.Code:
		if p.unitsByRow() && c.Required {
			return rowCodeSQL("t_"+c.Name, c.Codes)
		}
		return codeSQL("t_"+c.Name, c.Codes)
	case records.Flag:
		return flagSQL("t_" + c.Name)
	case records.Date:
		return dateIn("t_"+c.Name, c.formats)
	case records.Time:
		return "v_" + c.Name
	default:
		return p.rangedSQL(c)
	}
}

func (p Plan) rangedSQL(c cell) string {
	if p.byRow(c.Column) {
		return fmt.Sprintf("case when ru_low is null then n_%s else %s end", c.Name, betweenSQL("n_"+c.Name, "ru_low", "ru_high"))
	}
	return inRangeSQL("n_"+c.Name, c.Range)
}

// byRow says that a column's unit stands in each row.
func (p Plan) byRow(c records.Column) bool {
	return c.Unit == records.ByQuantity || c.Unit == records.ByCondition
}

// flagsSQL names what is unusual in a row's times: one in the repeated hour, whichever pass it was taken for, and one that was
// taken for the next day.
func (p Plan) flagsSQL() string {
	var repeated, rolled []string
	for _, c := range p.times() {
		repeated = append(repeated, fmt.Sprintf("b_%s is not null", c.Name))
		if c.nextDay > 0 {
			rolled = append(rolled, "x_"+c.Name+" > 0")
		}
	}
	switch {
	case len(repeated) == 0:
		return "null::varchar"
	case len(rolled) == 0:
		return fmt.Sprintf("case when %s then 'clock_repeated' end", strings.Join(repeated, " or "))
	}
	return fmt.Sprintf("nullif(concat_ws(' ', case when %s then 'clock_repeated' end, case when %s then '%s' end), '')",
		strings.Join(repeated, " or "), strings.Join(rolled, " or "), NextDay)
}

// times lists the cells that are moments and that the source has: first those in sequence, then the others.
func (p Plan) times() []cell {
	var in []cell
	for _, c := range p.cells {
		if c.Kind == records.Time && c.staged != "" {
			in = append(in, c)
		}
	}
	slices.SortStableFunc(in, func(a, b cell) int { return p.place(a.Name) - p.place(b.Name) })
	return in
}

func (p Plan) place(column string) int {
	if at := slices.Index(p.table.Sequence, column); at >= 0 {
		return at
	}
	return len(p.table.Sequence)
}
