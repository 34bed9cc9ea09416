package normalise

import (
	"fmt"
	"strings"

	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
	"tripwake/pipeline/units"
)

// rowCodeSQL is codeSQL for the code that the units by row are found by: where they were found the code is known, and the
// list is gone through only where they were not.
func rowCodeSQL(t string, codes []string) string {
	return fmt.Sprintf("case when ru_code is not null then ru_code when list_contains([%s], lower(%s)) then lower(%s) end", literals(codes), t, t)
}

// unitsByRow says that the source's table has a unit in each row; a column for each quantity has one of its own.
func (p Plan) unitsByRow() bool {
	if p.Wide() {
		return false
	}
	for _, c := range p.cells {
		if p.byRow(c.Column) {
			return true
		}
	}
	return false
}

func (p Plan) unitKeySQL() string {
	for _, c := range p.cells {
		if (c.Name == "quantity" || c.Name == "condition") && c.staged != "" {
			return fmt.Sprintf("lower(t.t_%s)", c.Name)
		}
	}
	return "null"
}

// unitTextSQL is the folded unit of a row: of its own cell, else, where values bear units, that of the first that does.
func (p Plan) unitTextSQL() string {
	none := "''"
	if p.tails {
		none = "coalesce(" + strings.Join(p.tailUnits(), ", ") + ", '')"
	}
	for _, c := range p.cells {
		if c.Name == "unit" && c.staged != "" {
			return fmt.Sprintf("case when t.t_unit is null then %s else %s end", none, units.FoldSQL("t.t_unit"))
		}
	}
	return none
}

func (p Plan) tailUnits() []string {
	var all []string
	for _, c := range p.cells {
		if p.byRow(c.Column) && c.staged != "" {
			t := "t.t_" + c.Name
			all = append(all, fmt.Sprintf("case when try_cast(%s as double) is null then nullif(%s, '') end", t, p.numbers.tailUnitSQL(t)))
		}
	}
	return all
}

// RowUnitsSQL makes the temporary table `row_units` for tables with a unit in each row: for each quantity or condition
// (ru_code) and folded spelling (ru_unit, empty for none) the conversion, the unit to keep and the range. A pair that is
// not in it is an unknown unit. Values are kept in the unit of their quantity, so the unit kept is empty, which means
// just that; only numbers that belong to no quantity keep the unit they came with. Empty text for other tables. The rows are one text,
// which the engine parts in a moment: thousands of values in SQL take it 60 ms to read.
func (p Plan) RowUnitsSQL() string {
	if !p.unitsByRow() {
		return ""
	}
	return fmt.Sprintf(`create or replace temp table row_units as select c[1] as ru_code, c[2] as ru_unit, c[3]::double as ru_factor,
			c[4]::double as ru_offset, c[5]::boolean as ru_same, c[6]::boolean as ru_fraction, nullif(c[7], '') as ru_canonical,
			nullif(c[8], '')::double as ru_low, nullif(c[9], '')::double as ru_high
		from (select string_split(unnest(string_split(%s, chr(10))), chr(9)) as c)`, store.Literal(strings.Join(p.rowUnits(), "\n")))
}

func (p Plan) rowUnits() []string {
	var rows []string
	for _, c := range p.codes() {
		if c.quantity.Name == "" {
			rows = append(rows, unmeasured(c.name)...)
			continue
		}
		for _, s := range units.Spellings(c.quantity.Unit) {
			rows = append(rows, rowUnit(c, s, false))
		}
		if own, err := units.Between(p.headerUnit(c.quantity.Unit), c.quantity.Unit); err == nil {
			guessed := c.quantity.Name == "fio2" && p.headerUnit("") == ""
			rows = append(rows, rowUnit(c, units.Spelling{Conversion: own}, guessed))
		}
	}
	return rows
}

// code is a quantity or condition; its range is checked for readings alone, as the contract has none for alarm limits.
type code struct {
	name     string
	quantity records.Quantity
	ranged   bool
}

func (p Plan) codes() []code {
	byName := map[string]records.Quantity{}
	var all []code
	for _, q := range records.Quantities() {
		byName[q.Name] = q
		if p.table.Name == "readings" {
			all = append(all, code{q.Name, q, true})
		}
	}
	if p.table.Name == "alarms" {
		for _, c := range records.Conditions() {
			all = append(all, code{c.Name, byName[c.Quantity], false})
		}
	}
	return all
}

// headerUnit is the unit that the value's header carries, which rows without a unit of their own take.
func (p Plan) headerUnit(otherwise string) string {
	for _, c := range p.cells {
		if p.byRow(c.Column) && c.unit != "" {
			return c.unit
		}
	}
	return otherwise
}

// sharedUnitSQL brings a number whose own header carries another unit than the one that rows without a unit take into that
// unit: columns that share the unit of a row may still differ in their headers.
func (p Plan) sharedUnitSQL(c cell, number string) string {
	shared := p.headerUnit("")
	if c.unit == "" || c.unit == shared {
		return number
	}
	conversion, err := units.Between(c.unit, shared)
	if err != nil {
		return "null::double"
	}
	if p.unitTextSQL() == "''" {
		return convertSQL(number, conversion)
	}
	return fmt.Sprintf("case when %s then %s else %s end", p.unitless(), convertSQL(number, conversion), number)
}

// unitless is true for rows without a unit of their own, over the rows of textsSQL.
func (p Plan) unitless() string {
	terms := []string{}
	for _, c := range p.cells {
		if c.Name == "unit" && c.staged != "" {
			terms = append(terms, "t_unit is null")
		}
	}
	if p.tails {
		terms = append(terms, fmt.Sprintf("coalesce(%s) is null", strings.ReplaceAll(strings.Join(p.tailUnits(), ", "), "t.t_", "t_")))
	}
	return strings.Join(terms, " and ")
}

func rowUnit(c code, s units.Spelling, fraction bool) string {
	row := []any{c.name, s.Text, s.Factor, s.Offset, s.Identity() && !fraction, fraction, "", "", ""}
	if c.ranged {
		row[7], row[8] = c.quantity.Range.Min, c.quantity.Range.Max
	}
	return tabbed(row...)
}

// unmeasured keeps the numbers of a condition that watches no quantity in the unit in which they came.
func unmeasured(condition string) []string {
	rows := []string{tabbed(condition, "", 1, 0, true, false, "", "", "")}
	for _, u := range units.All() {
		for _, s := range append([]string{u.Code}, u.Aliases...) {
			rows = append(rows, tabbed(condition, units.Fold(s), 1, 0, true, false, u.Code, "", ""))
		}
	}
	return rows
}

func tabbed(cells ...any) string {
	texts := make([]string, len(cells))
	for i, c := range cells {
		texts[i] = fmt.Sprint(c)
	}
	return strings.Join(texts, "\t")
}

func quoted(column string) string { return store.Quote(column) }

func typeOf(k records.Kind) string { return store.TypeOf(k) }
