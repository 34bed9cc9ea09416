package normalise

import (
	"fmt"

	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
	"tripwake/pipeline/units"
)

// compoundOf gives how a column's values are written in two units at once.
func compoundOf(c records.Column) (units.Compound, bool) {
	switch {
	case c.Name == "gestation":
		return units.WeeksAndDays, true
	case c.Unit == "g":
		return units.PoundsAndOunces, true
	}
	return units.Compound{}, false
}

// compoundSQL reads a number that is written in two units at once; any other is the value given.
func compoundSQL(c records.Column, t, value string) string {
	w, ok := compoundOf(c)
	if !ok {
		return value
	}
	conversion, err := units.Between(w.Larger, c.Unit)
	if err != nil {
		return value
	}
	text := fmt.Sprintf("lower(%s)", t)
	read := "case"
	for _, form := range w.Forms {
		form = store.Literal("^" + form + "$")
		count := func(group int) string { return fmt.Sprintf("regexp_extract(%s, %s, %d)::double", text, form, group) }
		sum := fmt.Sprintf("(%s + %s / %v)", count(1), count(2), w.Less)
		read += fmt.Sprintf(" when regexp_matches(%s, %s) then %s", text, form, convertSQL(sum, conversion))
	}
	if w.Sign != "" {
		read += fmt.Sprintf(" when contains(%s, %s) then null", t, store.Literal(w.Sign))
	}
	return fmt.Sprintf("%s else %s end", read, value)
}
