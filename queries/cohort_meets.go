package queries

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Meets says whether transport i meets the condition. A cell that is not recorded meets none but Filled = false.
func (d StudyData) Meets(i int, c Condition) bool {
	if c.Measure != "" {
		return d.Members[c.Measure][i] == *c.Member
	}
	cells := d.Columns[c.Column]
	if c.Filled != nil {
		return cells.Known[i] == *c.Filled
	}
	if !cells.Known[i] {
		return false
	}
	v := cells.Number[i]
	switch {
	case c.AtLeast != nil:
		return nine(v) >= nine(*c.AtLeast)
	case c.AtMost != nil:
		return nine(v) <= nine(*c.AtMost)
	case c.Between != nil:
		return nine(v) >= nine(c.Between[0]) && nine(v) <= nine(c.Between[1])
	case c.Is != nil:
		return slices.ContainsFunc(c.Is, func(want string) bool { return cells.is(i, want) })
	default:
		return !slices.ContainsFunc(c.IsNot, func(not string) bool { return cells.is(i, not) })
	}
}

// nine rounds to nine decimals, as definitions.md asks before a limit is held against a number.
func nine(v float64) float64 {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'f', 9, 64), 64)
	if err != nil {
		return v
	}
	return rounded
}

func (c Cells) is(i int, value string) bool {
	switch {
	case c.Column.numeric():
		want, err := strconv.ParseFloat(value, 64)
		return err == nil && nine(c.Number[i]) == nine(want)
	case c.Column.Kind == FlagColumn:
		return (c.Number[i] == 1) == (value == "true")
	}
	return c.Text[i] == value
}

// Missing says whether the condition asks for a cell that is not recorded.
func (d StudyData) Missing(i int, c Condition) bool {
	return c.Measure == "" && c.Filled == nil && !d.Columns[c.Column].Known[i]
}

// Words says what a condition asks for, to stand in a report. Values of columns that identify are not told.
func (c Condition) Words() string {
	if c.Measure != "" {
		if *c.Member {
			return "judged by measure " + c.Measure
		}
		return "not judged by measure " + c.Measure
	}
	column, _ := StudyColumn(c.Column)
	values := func(list []string) string {
		if column.Privacy == Identifier {
			return fmt.Sprintf("one of %d values that the settings name", len(list))
		}
		return strings.Join(list, " or ")
	}
	unit := column.Unit
	if unit == "1" || strings.HasPrefix(unit, "{") {
		unit = ""
	}
	number := func(text string) string { return c.Column + " " + strings.TrimSpace(text+" "+unit) }
	switch {
	case c.Filled != nil && *c.Filled:
		return c.Column + " recorded"
	case c.Filled != nil:
		return c.Column + " not recorded"
	case c.AtLeast != nil:
		return number(fmt.Sprintf("at least %g", *c.AtLeast))
	case c.AtMost != nil:
		return number(fmt.Sprintf("at most %g", *c.AtMost))
	case c.Between != nil:
		return number(fmt.Sprintf("%g to %g", c.Between[0], c.Between[1]))
	case c.Is != nil:
		return c.Column + " is " + values(c.Is)
	}
	return c.Column + " is not " + values(c.IsNot)
}
