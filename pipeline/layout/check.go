package layout

import (
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"tripwake/pipeline/records"
	"tripwake/pipeline/units"
)

// parse reads the sources of a layout and holds each against the tables.
func parse(text []byte) ([]Source, error) {
	file, err := root(text)
	if err != nil {
		return nil, err
	}
	var nodes []at
	keys := []key[[]at]{{name: "sources", read: func(into *[]at, a at) (err error) {
		*into, err = a.items("a list of sources")
		return err
	}}}
	if err := readKeys(file, keys, &nodes, "the key sources with a list of sources"); err != nil {
		return nil, err
	}
	if len(nodes) == 0 {
		return nil, file.errorf("expected the key sources with a list of sources")
	}
	var sources []Source
	for i, n := range nodes {
		n.path = fmt.Sprintf("sources[%d]", i+1)
		s := Source{Line: n.Line}
		if err := readKeys(n, sourceKeys(), &s, "a source: files, table, columns"); err != nil {
			return nil, err
		}
		if err := s.check(n.path); err != nil {
			return nil, err
		}
		sources = append(sources, s)
	}
	return sources, nil
}

// check holds a source against the contract of its table.
func (s *Source) check(path string) error {
	e := place{path, s.Line}
	switch {
	case s.Files == "":
		return e.errorf("has no key files; expected a pattern of file names such as dispatch-*.csv")
	case s.Table == "":
		return e.errorf("has no key table; expected one of %s", strings.Join(tableNames(), ", "))
	case len(s.Columns) == 0:
		return e.errorf("has no key columns; expected COLUMN: HEADER, one a line")
	}
	table, _ := records.Find(s.Table)
	for _, step := range []func(place, records.Table) error{s.checkColumns, s.checkQuantities, s.checkConstants, s.checkRequired} {
		if err := step(e, table); err != nil {
			return err
		}
	}
	return nil
}

// place is where a check found something wrong.
type place struct {
	path string
	line int
}

func (p place) errorf(format string, args ...any) error {
	return fmt.Errorf("line %d, %s: %s", p.line, p.path, oneLine(fmt.Sprintf(format, args...)))
}

func (p place) below(line int, keys ...string) place {
	return place{strings.Join(append([]string{p.path}, keys...), "."), line}
}

func (s *Source) checkColumns(e place, table records.Table) error {
	for i := range s.Columns {
		c := &s.Columns[i]
		here := e.below(c.Line, "columns", c.Name)
		column, ok := table.Column(c.Name)
		if !ok {
			return here.errorf("%q is no column of table %s; %s", c.Name, table.Name, suggestion(c.Name, table.Names()))
		}
		if len(c.From) > 1 && column.Kind != records.Time && column.Kind != records.Text {
			return here.errorf("joins %d columns, which only a time or a text can be made of", len(c.From))
		}
		for _, step := range []func(place, *Column, records.Column) error{checkUnit, checkCodes, s.checkFormats, s.checkNextDay} {
			if err := step(here, c, column); err != nil {
				return err
			}
		}
	}
	return nil
}

func checkUnit(e place, c *Column, column records.Column) error {
	switch {
	case c.Unit == "":
		return nil
	case column.Unit == "":
		return e.errorf("column %s has no unit; remove the key unit", c.Name)
	case column.Unit == records.ByQuantity || column.Unit == records.ByCondition:
		if _, ok := units.Find(c.Unit); !ok {
			return e.errorf("unit %q is not known; %s", c.Unit, suggestion(c.Unit, unitNames("")))
		}
		return nil
	}
	return checkConversion(e, c.Unit, column.Unit)
}

func checkConversion(e place, from, to string) error {
	if _, ok := units.Find(from); !ok {
		return e.errorf("unit %q is not known; %s", from, suggestion(from, unitNames(to)))
	}
	if _, err := units.Between(from, to); err != nil {
		return e.errorf("%s", err)
	}
	return nil
}

// unitNames lists the codes and aliases that convert to a unit, or all where it is empty.
func unitNames(to string) []string {
	target, _ := units.Find(to)
	var names []string
	for _, u := range units.All() {
		if to == "" || u.Dimension == target.Dimension {
			names = append(append(names, u.Code), u.Aliases...)
		}
	}
	return names
}

// checkCodes holds the codes against the column's and brings them to their spelling there. A text column has no codes of its
// own: there they replace one text by another.
func checkCodes(e place, c *Column, column records.Column) error {
	if len(c.Codes) == 0 {
		return nil
	}
	known := column.Codes
	switch column.Kind {
	case records.Flag:
		known = []string{"true", "false"}
	case records.Text:
		return nil
	case records.Code:
	default:
		return e.errorf("column %s has no codes; remove the key codes", c.Name)
	}
	for _, text := range c.Texts() {
		code := strings.ToLower(c.Codes[text])
		if code != "" && !slices.Contains(known, code) {
			return e.errorf("%q is no code of %s, given for %q; %s", c.Codes[text], c.Name, text, suggestion(code, known))
		}
		c.Codes[text] = code
	}
	return nil
}

func (s *Source) checkFormats(e place, c *Column, column records.Column) error {
	formats := c.Formats
	switch {
	case column.Kind != records.Time && column.Kind != records.Date && len(formats) > 0:
		return e.errorf("column %s is no time; remove the key format", c.Name)
	case column.Kind != records.Time:
		return nil
	case len(formats) == 0:
		formats = s.TimeFormats
	}
	if len(formats) > 0 && !slices.ContainsFunc(formats, HasHour) {
		return e.errorf("column %s is a time, but the format %q gives no time of day; expected one such as %%m/%%d/%%Y %%H:%%M", c.Name, formats[0])
	}
	return nil
}

// checkNextDay wants a time before the column, in the order of its table, that shares the cell of the date.
func (s *Source) checkNextDay(e place, c *Column, column records.Column) error {
	if c.NextDay == 0 {
		return nil
	}
	table, _ := records.Find(s.Table)
	at := slices.Index(table.Sequence, c.Name)
	if at < 0 {
		return e.errorf("column %s has no place in the order of times of table %s; remove the key next_day", c.Name, table.Name)
	}
	shared := slices.ContainsFunc(s.Columns, func(other Column) bool {
		before := slices.Index(table.Sequence, other.Name)
		return before >= 0 && before < at && slices.ContainsFunc(c.From, func(h string) bool { return slices.Contains(other.From, h) })
	})
	if len(c.From) < 2 || !shared {
		return e.errorf("shares the header of its date with no time before it; expected both joined with it, such as %s: [Date, Departed], %s: {from: [Date, Arrived], next_day: 12h}",
			table.Sequence[max(0, at-1)], c.Name)
	}
	if formats := append(slices.Clone(c.Formats), s.TimeFormats...); slices.ContainsFunc(formats, HasOffset) {
		return e.errorf("is written with its offset or in one number, which tells its day; remove the key next_day")
	}
	return nil
}

func (s *Source) checkQuantities(e place, table records.Table) error {
	if len(s.Quantities) == 0 {
		return nil
	}
	if table.Name != "readings" {
		return e.errorf("quantities are for table readings, not %s; expected columns", table.Name)
	}
	for i := range s.Quantities {
		c := &s.Quantities[i]
		here := e.below(c.Line, "quantities", c.Name)
		q, ok := quantity(c.Name)
		switch {
		case !ok:
			return here.errorf("%q is no quantity; %s", c.Name, suggestion(c.Name, quantityNames()))
		case len(c.From) > 1:
			return here.errorf("joins %d columns, which only a time or a text can be made of", len(c.From))
		case len(c.Codes) > 0 || len(c.Formats) > 0 || c.NextDay > 0:
			return here.errorf("is a number; expected from and unit alone")
		case c.Unit == "":
			continue
		}
		if err := checkConversion(here, c.Unit, q.Unit); err != nil {
			return err
		}
	}
	for _, name := range []string{"quantity", "value", "unit"} {
		if s.gives(name) {
			return e.errorf("gives both quantities and the column %s; a file has either a column for each quantity or a row", name)
		}
	}
	return nil
}

func quantity(name string) (records.Quantity, bool) {
	for _, q := range records.Quantities() {
		if q.Name == name {
			return q, true
		}
	}
	return records.Quantity{}, false
}

func quantityNames() []string {
	var names []string
	for _, q := range records.Quantities() {
		names = append(names, q.Name)
	}
	return names
}

// gives says that a column of the table is mapped or constant.
func (s *Source) gives(name string) bool {
	return slices.ContainsFunc(s.Columns, func(c Column) bool { return c.Name == name }) ||
		slices.ContainsFunc(s.Constants, func(c Constant) bool { return c.Name == name })
}

func (s *Source) checkConstants(e place, table records.Table) error {
	for i := range s.Constants {
		c := &s.Constants[i]
		here := e.below(c.Line, "constants", c.Name)
		column, ok := table.Column(c.Name)
		if !ok {
			return here.errorf("%q is no column of table %s; %s", c.Name, table.Name, suggestion(c.Name, table.Names()))
		}
		if slices.ContainsFunc(s.Columns, func(m Column) bool { return m.Name == c.Name }) {
			return here.errorf("column %s is mapped too; expected either a header or a constant", c.Name)
		}
		text, err := constant(c.Text, column)
		if err != nil {
			return here.errorf("%s", err)
		}
		c.Text = text
	}
	return nil
}

// constant holds a value that every row has against its column, and gives it as a cell of a canonical export would.
func constant(text string, column records.Column) (string, error) {
	switch column.Kind {
	case records.Code:
		if code := strings.ToLower(text); slices.Contains(column.Codes, code) {
			return code, nil
		}
		return "", fmt.Errorf("%q is no code of %s; %s", text, column.Name, suggestion(text, column.Codes))
	case records.Flag:
		if flag := strings.ToLower(text); flag == "true" || flag == "false" {
			return flag, nil
		}
		return "", fmt.Errorf("%q is neither true nor false", text)
	case records.Number:
		return text, constantNumber(text, column)
	case records.Date:
		if _, err := time.Parse(time.DateOnly, text); err != nil {
			return "", fmt.Errorf("%q is no date; expected one such as 2026-03-31", text)
		}
	case records.Time:
		if !momentForm.MatchString(text) {
			return "", fmt.Errorf("%q is no time; expected one such as 2026-03-31 14:05", text)
		}
	case records.Text:
		if _, ok := units.Find(text); column.Name == "unit" && !ok {
			return "", fmt.Errorf("unit %q is not known; %s", text, suggestion(text, unitNames("")))
		}
	}
	return text, nil
}

// momentForm is a local moment of a constant; the load reads it as it reads a cell.
var momentForm = regexp.MustCompile(`^\d{4}-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])[ T]([01]\d|2[0-3]):[0-5]\d(:[0-5]\d)?(Z|[+-]\d{2}:\d{2})?$`)

func constantNumber(text string, column records.Column) error {
	value, err := strconv.ParseFloat(text, 64)
	switch {
	case err != nil || math.IsNaN(value) || math.IsInf(value, 0) || strings.ContainsAny(text, "_xXpP"):
		return fmt.Errorf("%q is no number", text)
	case column.Range != nil && (value < column.Range.Min || value > column.Range.Max):
		return fmt.Errorf("%s is out of range; expected a number from %v to %v %s", text, column.Range.Min, column.Range.Max, column.Unit)
	}
	return nil
}

// checkRequired refuses a source that could store no row.
func (s *Source) checkRequired(e place, table records.Table) error {
	for _, c := range table.Columns {
		wide := len(s.Quantities) > 0 && (c.Name == "quantity" || c.Name == "value")
		if c.Required && !wide && !s.gives(c.Name) {
			return e.errorf("gives no column %s, which table %s must have; add it to columns or constants", c.Name, table.Name)
		}
	}
	return nil
}
