package intake

import (
	"fmt"
	"path"
	"strings"

	"tripwake/pipeline/layout"
	"tripwake/pipeline/records"
)

// use is one way to read a file: as rows of a table in canonical columns, or as a source of a layout says.
type use struct {
	table  records.Table
	source *layout.Source
}

// uses lists the ways in which a file is read; name is its path below the folder. None is a file that is passed over.
func (f *Found) uses(name string) []use {
	var all []use
	for i := range f.layout.Sources {
		if s := &f.layout.Sources[i]; s.Matches(name) {
			table, _ := records.Find(s.Table)
			all = append(all, use{table, s})
		}
	}
	if table, ok := TableOf(path.Base(name)); ok && len(all) == 0 {
		all = append(all, use{table, nil})
	}
	return all
}

// of makes a candidate one of this use.
func (u use) of(c Candidate) Candidate {
	c.Table, c.Layout = u.table, u.source
	if u.source == nil {
		return c
	}
	d := u.source.Dialect
	c.Dialect = Dialect{Delimiter: d.Delimiter, Encoding: d.Encoding, Escape: d.Quotes, Skip: d.Skip, Footer: d.Footer}
	return c
}

// idle lists the sources of the layout that read no file.
func (f *Found) idle() []layout.Source {
	var all []layout.Source
	for i := range f.layout.Sources {
		if s := &f.layout.Sources[i]; !f.reads(s) {
			all = append(all, *s)
		}
	}
	return all
}

func (f *Found) reads(s *layout.Source) bool {
	for _, c := range f.Candidates {
		if c.Layout == s {
			return true
		}
	}
	return false
}

// names tells what the cells of a header name: columns of a table, or, where there is a layout, the headers that it reads.
type names struct {
	table  records.Table
	layout *layout.Source
}

func (n names) heading(text string) Heading {
	if n.layout == nil {
		return parseHeading(text, n.table)
	}
	for _, header := range n.layout.Headers() {
		if strings.EqualFold(spaced(header), spaced(text)) {
			return Heading{Text: text, Column: header}
		}
	}
	return Heading{Text: text}
}

// whole says that a header has every column without which a row of the table is refused, or all that the layout reads.
func (n names) whole(headings []Heading) bool {
	for _, name := range n.needed() {
		if !named(headings, name) {
			return false
		}
	}
	return true
}

func (n names) needed() []string {
	if n.layout != nil {
		return n.layout.Headers()
	}
	var required []string
	for _, c := range n.table.Columns {
		if c.Required {
			required = append(required, c.Name)
		}
	}
	return required
}

func named(headings []Heading, column string) bool {
	for _, h := range headings {
		if strings.EqualFold(spaced(h.Column), spaced(column)) {
			return true
		}
	}
	return false
}

// noHeader is the error where no line names a column: the file is no export of the table, or not one that the layout is for.
func noHeader(n names, d Dialect) error {
	if n.layout != nil {
		return fmt.Errorf("record 1: names none of the columns that %s line %d reads; expected %q", n.layout.File, n.layout.Line, n.layout.Headers())
	}
	names := strings.Join(n.table.Names()[:min(3, len(n.table.Columns))], ", ")
	if d.Skip > 0 {
		return foreign{fmt.Sprintf("line %d: the header names no column of table %s; expected names such as %s", d.Skip+1, n.table.Name, names)}
	}
	return foreign{fmt.Sprintf("record 1: the header names no column of table %s, nor does another of the first %d lines; expected names such as %s",
		n.table.Name, mostLinesBefore, names)}
}
