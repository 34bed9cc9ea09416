package intake

import (
	"fmt"
	"strconv"
	"strings"

	"tripwake/pipeline/layout"
	"tripwake/pipeline/records"
	"tripwake/pipeline/units"
)

// Bound is a column or quantity of a layout in a file: the staged columns that hold its cells, and the unit they are in:
// that of the layout, else that of the header, else none.
type Bound struct {
	layout.Column
	Staged []string
	Unit   string
}

// bind finds the header's cells that a layout names. Without a layout there is nothing to find.
func (s *Source) bind(l *layout.Source) (err error) {
	if s.Layout = l; l == nil {
		return nil
	}
	if s.Columns, err = s.boundAll(l.Columns, s.columnUnit); err != nil {
		return err
	}
	if s.Quantities, err = s.boundAll(l.Quantities, quantityUnit); err != nil {
		return err
	}
	if l.Where != nil {
		s.Filtered, err = s.find(l.Where.Column, l.Where.Line)
	}
	return err
}

func (s *Source) boundAll(columns []layout.Column, unitOf func(string) string) ([]Bound, error) {
	var all []Bound
	for _, c := range columns {
		b := Bound{Column: c, Unit: c.Unit}
		for _, header := range c.From {
			staged, err := s.find(header, c.Line)
			if err != nil {
				return nil, err
			}
			b.Staged = append(b.Staged, staged)
		}
		if to := unitOf(c.Name); b.Unit == "" && to != "" {
			var err error
			if b.Unit, err = s.unitOfHeader(c, to); err != nil {
				return nil, err
			}
		}
		all = append(all, b)
	}
	return all, nil
}

func (s *Source) columnUnit(name string) string {
	column, _ := s.Table.Column(name)
	if column.Kind != records.Number {
		return ""
	}
	return column.Unit
}

func quantityUnit(name string) string {
	for _, q := range records.Quantities() {
		if q.Name == name {
			return q.Unit
		}
	}
	return ""
}

// unitOfHeader is the unit that stands in brackets at the end of a header. A word there that is no unit, as in `Vte (exp)`, is
// none; a unit of something else, or what looks like one that is not known, must be settled by the layout.
func (s *Source) unitOfHeader(c layout.Column, to string) (string, error) {
	_, unit := nameAndUnit(c.From[0])
	if unit == "" {
		return "", nil
	}
	_, known := units.Find(unit)
	if byRow := to == records.ByQuantity || to == records.ByCondition; known && byRow {
		return unit, nil
	}
	if _, err := units.Between(unit, to); err == nil {
		return unit, nil
	}
	if !known && !strings.ContainsAny(unit, "/%[") {
		return "", nil
	}
	return "", fmt.Errorf("%s line %d, %s: the header %q names the unit %q, which does not convert to %s; give the unit of the cells: {from: %q, unit: %q}",
		s.Layout.File, c.Line, c.Name, c.From[0], unit, to, c.From[0], to)
}

// find gives the staged column under a header: the one that is written just so, else the one that differs in case alone.
func (s *Source) find(header string, line int) (string, error) {
	for _, same := range []func(a, b string) bool{func(a, b string) bool { return a == b }, strings.EqualFold} {
		found := -1
		for i, h := range s.Header {
			if !same(spaced(h.Text), spaced(header)) {
				continue
			}
			if found >= 0 {
				return "", fmt.Errorf("record 1: %q stands twice in the header, and %s line %d reads it; rename one", h.Text, s.Layout.File, line)
			}
			found = i
		}
		if found >= 0 {
			return fmt.Sprintf("c%d", found), nil
		}
	}
	return "", fmt.Errorf("record 1: has no column %q, which %s line %d reads; %s", header, s.Layout.File, line, s.nearest(header))
}

func (s *Source) nearest(header string) string {
	var texts []string
	for _, h := range s.Header {
		texts = append(texts, h.Text)
	}
	if name, ok := layout.Nearest(header, texts); ok {
		return fmt.Sprintf("nearest is %q", name)
	}
	const few = 12
	if len(texts) > few {
		texts = append(texts[:few:few], "…")
	}
	return fmt.Sprintf("the header has %q", texts)
}

// spaced brings spellings of one header together: no blanks around it, one between words.
func spaced(text string) string { return strings.Join(strings.Fields(text), " ") }

// Places says in which cells under a header, counted from 1, the text of a column stands, by a layout's source or, where that is
// nil, by canonical names. Where a layout joins several they are in its order; where the column is not there, there are none.
func Places(header []string, table records.Table, l *layout.Source, column string) []int {
	s := Source{Table: table, Layout: l}
	for _, text := range header {
		s.Header = append(s.Header, parseHeading(text, table))
	}
	var places []int
	if l == nil {
		for i, h := range s.Header {
			if h.Column == column {
				places = append(places, i+1)
			}
		}
		return places
	}
	for _, c := range l.Columns {
		for _, from := range c.From {
			if staged, err := s.find(from, c.Line); c.Name == column && err == nil {
				at, _ := strconv.Atoi(strings.TrimPrefix(staged, "c")) // find made the number
				places = append(places, at+1)
			}
		}
	}
	return places
}
