package normalise

import (
	"fmt"
	"strings"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
	"tripwake/pipeline/units"
)

// numbers is how a source writes its numbers: whether the comma is the decimal sign, whether the other sign parts thousands
// even where it stands alone, as in 1,234, and whether a bound such as <3 counts as its value. What is false is not so, or not
// known; then 1,234 is refused, since it may be either.
type numbers struct{ comma, grouped, bounds bool }

// blankMarks part thousands and can mean nothing else: blanks, of which three are ones that do not break, and apostrophes.
var blankMarks = []string{" ", "\u00a0", "\u202f", "\u2009", "'", "’"}

// signs gives the decimal sign and the other one.
func (n numbers) signs() (decimal, other string) {
	if n.comma {
		return ",", "."
	}
	return ".", ","
}

// groupedForm matches a number whose thousands are parted: by one mark throughout, and by the other sign only where that
// cannot be the decimal one.
func (n numbers) groupedForm() string {
	decimal, other := n.signs()
	fraction, mark := `(?:\`+decimal+`\d+)`, `\`+other
	var forms []string
	for _, m := range blankMarks {
		forms = append(forms, `(?:`+m+`\d{3})+`+fraction+`?`)
	}
	forms = append(forms, `(?:`+mark+`\d{3})+`+fraction, `(?:`+mark+`\d{3}){2,}`)
	if n.grouped {
		forms = append(forms, mark+`\d{3}`)
	}
	return `[+-]?[1-9]\d{0,2}(?:` + strings.Join(forms, "|") + `)`
}

// plainForm matches a number without marks.
func (n numbers) plainForm() string {
	decimal, _ := n.signs()
	return `[+-]?\d+(?:\` + decimal + `\d+)?`
}

// unmarkedSQL takes the marks out of a number and makes the decimal sign a point.
func (n numbers) unmarkedSQL(t string) string {
	decimal, other := n.signs()
	marks := other + strings.Join(blankMarks, "")
	return fmt.Sprintf("translate(%s, %s, '.')", t, store.Literal(decimal+marks))
}

// markedSQL reads a number with or without marks, after its form was matched.
func (n numbers) markedSQL(t string) string {
	return fmt.Sprintf("try_cast(%s as double)", n.unmarkedSQL(t))
}

// numberTextSQL reads a number without a unit. What is written plainly, nearly all, is cast at once; only what is left is
// matched against the forms with marks. The engine's cast alone, which cast may give as a column, would take nan, inf, 1_000 and +-5.
func numberTextSQL(t, cast string, n numbers) string {
	if cast == "" {
		cast = n.castSQL(t)
	}
	number := fmt.Sprintf("case when %s then %s", n.plainlySQL(t, cast), cast)
	number += fmt.Sprintf(" when regexp_full_match(%s, %s) then %s", t, store.Literal(n.groupedForm()), n.markedSQL(t))
	if n.bounds {
		value := fmt.Sprintf("regexp_replace(%s, %s, '')", t, store.Literal(boundSign))
		number += fmt.Sprintf(" when regexp_full_match(%s, %s) then %s", t, store.Literal(n.boundForm()), n.markedSQL(value))
	}
	return number + " end"
}

func (n numbers) castSQL(t string) string {
	if n.comma {
		t = fmt.Sprintf("replace(%s, ',', '.')", t)
	}
	return fmt.Sprintf("try_cast(%s as double)", t)
}

func (n numbers) plainlySQL(t, cast string) string {
	point := ""
	if n.comma {
		point = fmt.Sprintf(" and not contains(%s, '.')", t)
	}
	return fmt.Sprintf("not contains(%[1]s, '_') and not contains(%[1]s, '+-')%[2]s and isfinite(%[3]s)", t, point, cast)
}

// A bound says that a value lies beyond what was measured: it is none, unless a layout takes it for one.
const boundSign = `^(?:[<>]=?|[≤≥])\s?`

func (n numbers) boundForm() string {
	return boundSign[1:] + `(?:` + n.plainForm() + `|` + n.groupedForm() + `)`
}

func (n numbers) isBoundSQL(t string) string {
	return fmt.Sprintf("regexp_full_match(%s, %s)", t, store.Literal(n.boundForm()+`(?:\s*[^\d\s].*)?`))
}

// tailForm matches a number with a unit after it; the first group is the number, the second the unit.
func (n numbers) tailForm() string {
	sign := ""
	if n.bounds {
		sign = `(?:` + boundSign[1:] + `)?`
	}
	return `(` + sign + `(?:` + n.plainForm() + `|` + n.groupedForm() + `))\s*([^\d\s.,].*)`
}

func (n numbers) tailNumberSQL(t string) string {
	return fmt.Sprintf("regexp_extract(%s, %s, 1)", t, store.Literal("^"+n.tailForm()+"$"))
}

// tailUnitSQL is the folded unit after a number, empty where there is none.
func (n numbers) tailUnitSQL(t string) string {
	return units.FoldSQL(fmt.Sprintf("regexp_extract(%s, %s, 2)", t, store.Literal("^"+n.tailForm()+"$")))
}

// withTailSQL reads the value of a column from a number that may bear its unit, as in 8 L/min: that unit goes before the one of
// the header. Without a unit the value is that given.
func withTailSQL(c records.Column, t, value string, n numbers) string {
	spellings := units.Spellings(c.Unit)
	if len(spellings) == 0 || c.Unit == countUnit {
		return value
	}
	number := numberTextSQL(n.tailNumberSQL(t), "", n)
	var branches strings.Builder
	for _, s := range spellings {
		fmt.Fprintf(&branches, " when %s then %s", store.Literal(s.Text), convertSQL(number, s.Conversion))
	}
	return fmt.Sprintf("coalesce(%s, case when regexp_full_match(%s, %s) then case %s%s end end)",
		value, t, store.Literal(n.tailForm()), n.tailUnitSQL(t), branches.String())
}

// rowNumberSQL reads a number whose unit stands in the row; one that bears a unit must bear that.
func (p Plan) rowNumberSQL(c cell) string {
	t, cast := "t_"+c.Name, "d_"+c.Name
	if c.plain {
		return cast
	}
	number := numberTextSQL(t, cast, p.numbers)
	if !p.tails {
		return number
	}
	tailed := numberTextSQL(p.numbers.tailNumberSQL(t), "", p.numbers)
	return fmt.Sprintf("coalesce(%s, case when %s = ru_unit then %s end)", number, p.numbers.tailUnitSQL(t), tailed)
}

// countUnit is the unit of counts and fractions, after which nothing is written.
const countUnit = "1"

// numberReasonSQL says why the text of a number could not be read.
func numberReasonSQL(t string, n numbers) string {
	return fmt.Sprintf("case when %s then %s when %s in (%s) then %s else %s end",
		n.isBoundSQL(t), store.Literal(Bound), n.tailUnitSQL(t), literals(knownUnits()), store.Literal(UnknownUnit), store.Literal(Unreadable))
}

// knownUnits lists every spelling of every unit, folded.
func knownUnits() []string {
	var all []string
	for _, u := range units.All() {
		for _, text := range append([]string{u.Code}, u.Aliases...) {
			all = append(all, units.Fold(text))
		}
	}
	return all
}

// MarksSQL asks `staged` what tells how its numbers are written: how many show that the comma parts thousands, how many that the
// point does, and how many of those whose unit stands in the row have something after their last digit. One row: commas_group,
// points_group, tails.
func MarksSQL(s intake.Source) string {
	columns, byRow := numberColumns(s)
	if len(columns) == 0 {
		return "select 0, 0, 0"
	}
	tails := "0"
	if len(byRow) > 0 {
		terms := make([]string, len(byRow))
		for i, c := range byRow {
			terms[i] = fmt.Sprintf("right(%[1]s, 1) > '9' or ends_with(%[1]s, '%%')", c)
		}
		tails = fmt.Sprintf("count(*) filter (where %s)", strings.Join(terms, " or "))
	}
	return fmt.Sprintf("select %s, %s, %s from staged", countWith(columns, ",", groupsOnly(",", ".")), countWith(columns, ".", groupsOnly(".", ",")), tails)
}

// AgainstSQL asks `staged` how many numbers hold the sign where it parts no thousands: the file is then not of one mind.
func AgainstSQL(s intake.Source, sign string) string {
	other := "."
	if sign == "." {
		other = ","
	}
	columns, _ := numberColumns(s)
	form := fmt.Sprintf(`[+-]?[1-9]\d{0,2}(?:\%s\d{3})+(?:\%s\d+)?`, sign, other)
	return fmt.Sprintf("select %s from staged", countWith(columns, sign, "not regexp_full_match(trim(%[1]s), "+store.Literal(form)+")"))
}

// numberColumns lists the columns of `staged` that hold numbers, and those of them whose unit stands in the row.
func numberColumns(s intake.Source) (all, byRow []string) {
	cells, wide := cellsOf(s)
	for _, c := range append(cells, wide...) {
		if c.Kind != records.Number || c.staged == "" || c.constant {
			continue
		}
		all = append(all, c.staged)
		if c.Unit == records.ByQuantity || c.Unit == records.ByCondition {
			byRow = append(byRow, c.staged)
		}
	}
	return all, byRow
}

// groupsOnly is the condition that a number %[1]s shows a sign as the mark of thousands: twice, or with the other sign after it.
// Most numbers with a sign have one only, and are not matched.
func groupsOnly(sign, other string) string {
	form := fmt.Sprintf(`\s*[+-]?[1-9]\d{0,2}(?:(?:\%[1]s\d{3})+\%[2]s\d+|(?:\%[1]s\d{3}){2,})\s*`, sign, other)
	return fmt.Sprintf("(contains(%%[1]s, '%s') or %%[1]s like '%%%%%s%%%%%s%%%%') and regexp_full_match(%%[1]s, %s)", other, sign, sign, store.Literal(form))
}

// countWith counts the cells that hold a sign and meet a condition, which is looked at for those alone.
func countWith(columns []string, sign, condition string) string {
	terms := make([]string, len(columns))
	for i, c := range columns {
		terms[i] = fmt.Sprintf("case when contains(%s, '%s') then %s else false end", c, sign, fmt.Sprintf(condition, c))
	}
	return fmt.Sprintf("count(*) filter (where %s)", strings.Join(terms, " or "))
}
