package normalise

import (
	"fmt"
	"math/bits"
	"strings"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/records"
)

// Look is what the staged text told: the years of its times (0 where there are none), whether the comma is the decimal sign,
// whether the other sign parts thousands, and whether values whose unit stands in the row bear units themselves.
//
// Odd has a bit for each column of numbers, in the order of the source, that has a cell which is not written plainly, as 12.5 is:
// the others are read by the engine's cast alone. Filled counts the filled cells of the quantities that have a column each; it
// holds where nothing is odd.
type Look struct {
	FirstYear, LastYear int
	DecimalComma        bool
	Grouped             bool
	Tails               bool
	Odd                 uint64
	Filled              int64
	Hinted              bool // some cell hints at another way of writing numbers than 12.5: one without a hint is written so
	Typed               bool // the engine typed the cells as it read them: see Batchable
}

// mostMarked is how many columns of numbers Odd has bits for; of more all count as odd.
const mostMarked = 62

// markPlain marks the cells that the engine's cast alone reads.
func (l Look) markPlain(lists ...[]cell) {
	place := 0
	for _, cells := range lists {
		for i, c := range cells {
			if c.counted() {
				cells[i].plain = place < mostMarked && l.Odd>>place&1 == 0 && c.Name != "gestation"
				place++
			}
		}
	}
}

// AllPlain says that no number is written in another way than 12.5 is.
func (l Look) AllPlain() bool { return bits.OnesCount64(l.Odd) == 0 }

// WrittenAs says that numbers are written alike in two texts, as far as a plan heeds it.
func (l Look) WrittenAs(o Look) bool {
	return l.DecimalComma == o.DecimalComma && l.Grouped == o.Grouped && l.Tails == o.Tails
}

// Over is a look for all of several texts that are written alike: the years of all, and the columns that are odd in any of them.
func (l Look) Over(all Look) Look {
	l.FirstYear, l.LastYear, l.Odd, l.Filled = all.FirstYear, all.LastYear, all.Odd, all.Filled
	return l
}

// counted says that a cell is a number that stands in the file.
func (c cell) counted() bool { return c.Kind == records.Number && c.staged != "" && !c.constant }

// LookSQL asks `staged` for what a Look holds, but for thousands and tails. One row: first_year, last_year, commas, points (how
// many rows have numbers with a decimal comma, and with a decimal point), odd, filled.
func LookSQL(s intake.Source) string {
	var years []cell
	var numbers, filled []string
	cells, wide := cellsOf(s)
	for i, c := range append(cells, wide...) {
		switch {
		case c.Kind == records.Time && c.staged != "":
			years = append(years, c)
		case c.counted():
			numbers = append(numbers, c.staged)
			if i >= len(cells) {
				filled = append(filled, fmt.Sprintf("count(nullif(%s, ''))", c.staged))
			}
		}
	}
	if len(years)+len(numbers) == 0 {
		return "select 0, 0, 0, 0, 0, 0"
	}
	commas, points := "0", "0"
	if s.Delimiter != ',' && len(numbers) > 0 {
		commas = anyLike(numbers, "%,%")
		points = anyLike(numbers, "%.%")
	}
	return fmt.Sprintf("select %s, %s, %s, %s, %s, (%s)::bigint from staged", yearsSQL("min", "least", years), yearsSQL("max", "greatest", years), commas, points,
		oddSQL(numbers), strings.Join(append(filled, "0"), " + "))
}

// oddSQL is a number with a bit for each column in which a cell is not written plainly.
func oddSQL(columns []string) string {
	if len(columns) > mostMarked {
		return fmt.Sprint(uint64(1)<<mostMarked - 1)
	}
	terms := []string{"0"}
	for i, c := range columns {
		terms = append(terms, fmt.Sprintf(`if(bool_or(case when %[1]s = '' then false when contains(%[1]s, '_') then true
			else not coalesce(isfinite(try_cast(%[1]s as double)), false) end), %[2]d, 0)`, c, uint64(1)<<i))
	}
	return "(" + strings.Join(terms, " + ") + ")::bigint"
}

func anyLike(columns []string, pattern string) string {
	terms := make([]string, len(columns))
	for i, c := range columns {
		terms[i] = fmt.Sprintf("%s like '%s'", c, pattern)
	}
	return fmt.Sprintf("count(*) filter (where %s)", strings.Join(terms, " or "))
}

func yearsSQL(aggregate, of string, cells []cell) string {
	if len(cells) == 0 {
		return "0"
	}
	terms := make([]string, len(cells))
	for i, c := range cells {
		terms[i] = fmt.Sprintf("%s(%s)", aggregate, yearSQL(c))
	}
	return fmt.Sprintf("coalesce(%s(%s), 0)", of, strings.Join(terms, ", "))
}

// yearSQL is the year of a cell's times, NULL where it has none.
func yearSQL(c cell) string {
	if len(c.formats) == 0 {
		return fmt.Sprintf("try_cast(left(ltrim(%s), 4) as integer)", c.staged)
	}
	t := text(c.staged)
	if all := writings(c.formats); len(all) == 1 && len(c.formats) == 1 && all[0].loose != nil {
		return fmt.Sprintf("year(%s)", all[0].loose(t)) // a text that is refused later may widen the span of years, which does no harm
	}
	return fmt.Sprintf("year(coalesce(%s, %s))", localTimeSQL(t, "", c.formats), universalTimeSQL(t, c.formats))
}
