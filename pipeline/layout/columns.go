package layout

import (
	"maps"
	"slices"
	"strings"
	"time"
)

// columnKeys is the table of the keys of a column or quantity that is given as a mapping.
func columnKeys() []key[Column] {
	return []key[Column]{
		{"from", "a header, or a list of headers", "the header of the cells; several are joined with a blank", func(c *Column, a at) (err error) {
			c.From, err = readFrom(a)
			return err
		}},
		{"unit", "a UCUM code or alias such as \"[lb_av]\" or psi", "the unit of the cells; without it that of the header, else the column's own", func(c *Column, a at) (err error) {
			c.Unit, err = a.text("a unit")
			return err
		}},
		{"codes", "TEXT: CODE", "what the source's texts mean; an empty code means no value; a text that is a code of the column already needs no line", readCodes},
		{"format", "as time_format", "how this column's times are written, where it differs from the source's", func(c *Column, a at) (err error) {
			c.Formats, err = readFormats(a)
			return err
		}},
		{"next_day", "a duration such as 12h", "for a time joined with the date of a time before it in the table's order: where it would lie before that, " +
			"it is taken for the next day if it then lies at most so long after it, and the row is flagged next_day", readNextDay},
	}
}

// mostNextDay leaves out what a clock that is put back in autumn looks like: up to two hours backwards on one day.
const mostNextDay = 22 * time.Hour

// readNextDay takes less than a day: of a time of day alone nobody can tell how many midnights lie before it.
func readNextDay(c *Column, a at) (err error) {
	c.NextDay, err = time.ParseDuration(a.Value)
	if err != nil || !a.isScalar() || c.NextDay < time.Minute || c.NextDay > mostNextDay {
		return a.errorf("%q is no time from one moment to the next; expected a duration from 1m to 22h such as 12h", a.Value)
	}
	return nil
}

// readColumns reads the mapping of columns or quantities.
func readColumns(a at) ([]Column, error) {
	entries, err := a.entries("NAME: HEADER, one a line")
	if err != nil {
		return nil, err
	}
	var all []Column
	for _, e := range entries {
		c := Column{Line: e.where.Line, Name: e.key}
		if err := c.read(e.value); err != nil {
			return nil, err
		}
		all = append(all, c)
	}
	return all, nil
}

func (c *Column) read(a at) (err error) {
	if a.isMapping() {
		if err := readKeys(a, columnKeys(), c, "{from: HEADER, unit: UNIT, codes: {TEXT: CODE}}"); err != nil {
			return err
		}
		if len(c.From) == 0 {
			return a.errorf("has no key from; expected the header of the column's cells")
		}
		return nil
	}
	c.From, err = readFrom(a)
	return err
}

// mostJoined bounds the headers whose cells are joined: date, time, half of the day, offset.
const mostJoined = 4

func readFrom(a at) ([]string, error) {
	headers, err := a.texts("the header of a column, or a list such as [Date, Time]")
	if err != nil {
		return nil, err
	}
	if len(headers) > mostJoined {
		return nil, a.errorf("joins %d columns; expected %d at most", len(headers), mostJoined)
	}
	return headers, nil
}

func readCodes(c *Column, a at) error {
	entries, err := a.entries("TEXT: CODE, one a line")
	if err != nil {
		return err
	}
	c.Codes = map[string]string{}
	for _, e := range entries {
		text := strings.TrimSpace(e.key)
		if text == "" {
			return e.where.errorf("an empty cell can have no code; expected the text of a cell")
		}
		if _, twice := c.Codes[text]; twice {
			return e.where.errorf("%q stands twice; remove one", text)
		}
		if !e.value.isScalar() {
			return e.value.errorf("expected a code")
		}
		c.Codes[text] = e.value.code()
	}
	if len(c.Codes) == 0 {
		return a.errorf("expected TEXT: CODE, one a line")
	}
	return nil
}

// Texts lists the texts that have a code, sorted.
func (c Column) Texts() []string { return slices.Sorted(maps.Keys(c.Codes)) }

// Folded gives the codes by text in lower case, where no two texts that differ in case alone have different codes.
func (c Column) Folded() map[string]string {
	folded, clash := map[string]string{}, map[string]bool{}
	for text, code := range c.Codes {
		lower := strings.ToLower(text)
		if other, ok := folded[lower]; ok && other != code {
			clash[lower] = true
		}
		folded[lower] = code
	}
	for lower := range clash {
		delete(folded, lower)
	}
	return folded
}

func readConstants(s *Source, a at) error {
	entries, err := a.entries("COLUMN: VALUE, one a line")
	if err != nil {
		return err
	}
	for _, e := range entries {
		text, err := e.value.text("a value")
		if err != nil {
			return err
		}
		s.Constants = append(s.Constants, Constant{e.where.Line, e.key, strings.TrimSpace(text)})
	}
	return nil
}
