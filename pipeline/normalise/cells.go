package normalise

import (
	"fmt"
	"strings"

	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
	"tripwake/pipeline/units"
)

// The reasons for which a row or a cell is refused.
const (
	Empty       = "empty"        // a required cell without text
	Unreadable  = "unreadable"   // no number, time, date or flag
	UnknownCode = "unknown_code" // none of the column's codes
	UnknownUnit = "unknown_unit" // a unit that is not known, or measures something else
	OutOfRange  = "out_of_range" // outside what is physically possible
	MissingHour = "missing_hour" // a local time that the clock never showed
	Bound       = "bound"        // a limit of what was measured, such as <3: no value
	FieldCount  = "field_count"  // more or fewer cells than the header, or broken quotes
)

// flagSpellings are how exports write yes and no.
var flagSpellings = map[bool][]string{
	true:  {"true", "yes", "y", "t", "1", "on"},
	false: {"false", "no", "n", "f", "0", "off"},
}

// leastFraction is the least inspired oxygen as a fraction (air): a value from here to 1 in a column without a unit, whose
// range begins at 20.9 %, can only be a fraction.
const leastFraction = 0.209

// text is the trimmed text of a staged cell, NULL where there is none. Trimming costs more than all else that is done to a
// cell, so only text that begins with a blank or control character (all sort before '!') or a no-break space, or ends with a
// blank, is trimmed.
func text(staged string) string {
	return fmt.Sprintf("case when %[1]s = '' then null when %[1]s < '!' or %[1]s > '~' or %[2]s then nullif(trim(%[1]s, '%[3]s'), '') else %[1]s end",
		staged, endsWithBlank(staged), strings.Join(blanks, ""))
}

// blanks are what exports put around a cell: blank, tab, no-break space.
var blanks = []string{" ", "\t", "\u00a0"}

func endsWithBlank(staged string) string {
	terms := make([]string, len(blanks))
	for i, blank := range blanks {
		terms[i] = fmt.Sprintf("ends_with(%s, '%s')", staged, blank)
	}
	return strings.Join(terms, " or ")
}

func codeSQL(t string, codes []string) string {
	return fmt.Sprintf("case when lower(%s) in (%s) then lower(%s) end", t, literals(codes), t)
}

func flagSQL(t string) string {
	return fmt.Sprintf("case when lower(%s) in (%s) then true when lower(%s) in (%s) then false end",
		t, literals(flagSpellings[true]), t, literals(flagSpellings[false]))
}

// dateSQL takes 2026-03-31 alone: in any other order day and month could be confused.
func dateSQL(t string) string {
	return fmt.Sprintf(`case when regexp_full_match(%s, '\d{4}-\d{2}-\d{2}') then try_cast(%s as date) end`, t, t)
}

// numberSQL reads a number over the texts t_ and casts d_ of readSQL, and brings it to the column's unit: that after the number,
// else that of the header.
func numberSQL(c cell, n numbers) string {
	t, value := "t_"+c.Name, "d_"+c.Name
	if !c.plain {
		value = numberTextSQL(t, value, n)
	}
	if c.unit != "" {
		conversion, err := units.Between(c.unit, c.Unit)
		if err != nil {
			return "null::double"
		}
		value = convertSQL(value, conversion)
	}
	if c.unit == "" && c.Unit == "%" && c.Range != nil && c.Range.Min > 1 {
		value = fractionSQL(value)
	}
	if !c.plain {
		value = withTailSQL(c.Column, t, value, n)
	}
	return compoundSQL(c.Column, t, value)
}

// convertSQL converts and rounds to 1e-9, so that one measurement exported in two units is one value.
func convertSQL(value string, c units.Conversion) string {
	if c.Identity() {
		return value
	}
	return fmt.Sprintf("round((%s) * %v + %v, 9)", value, c.Factor, c.Offset)
}

func fractionSQL(value string) string {
	return fmt.Sprintf("case when (%[1]s) between %[2]v and 1 then round((%[1]s) * 100, 9) else (%[1]s) end", value, leastFraction)
}

// inRangeSQL is a value that, rounded to 1e-9, lies in its range, both ends included, and NULL otherwise. Rounding is dear, and
// a value between two rounded ends is between them when it is rounded too: only the others are rounded.
func inRangeSQL(value string, r *records.Range) string {
	if r == nil {
		return value
	}
	return betweenSQL(value, fmt.Sprint(r.Min), fmt.Sprint(r.Max))
}

func betweenSQL(value, low, high string) string {
	return fmt.Sprintf("case when %[1]s between %[2]s and %[3]s then %[1]s when round(%[1]s, 9) between %[2]s and %[3]s then %[1]s end", value, low, high)
}

func literals(texts []string) string {
	quoted := make([]string, len(texts))
	for i, t := range texts {
		quoted[i] = store.Literal(t)
	}
	return strings.Join(quoted, ", ")
}
