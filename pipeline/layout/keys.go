package layout

import (
	"fmt"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"tripwake/pipeline/records"
)

// Key is one key of a layout for people: where it may stand (of Levels), what it takes, and what it means.
type Key struct{ Level, Name, Takes, Meaning string }

// Levels are the places of keys, from the outside in: the file, a source, a column or quantity given as a mapping, a filter.
var Levels = []string{InFile, InSource, InColumn, InWhere}

// The places of Levels.
const (
	InFile   = "file"
	InSource = "source"
	InColumn = "column"
	InWhere  = "where"
)

// Keys lists every key that a layout may hold: what help, README and drafts say about keys is made from it.
func Keys() []Key {
	all := []Key{{InFile, "sources", "a list of sources", "what the exports are; a file may feed several sources"}}
	for _, k := range sourceKeys() {
		all = append(all, Key{InSource, k.name, k.takes, k.meaning})
	}
	for _, k := range columnKeys() {
		all = append(all, Key{InColumn, k.name, k.takes, k.meaning})
	}
	for _, k := range whereKeys() {
		all = append(all, Key{InWhere, k.name, k.takes, k.meaning})
	}
	return all
}

// key is one key of a mapping that is read into a T.
type key[T any] struct {
	name, takes, meaning string
	read                 func(*T, at) error
}

// readKeys reads a mapping into what it describes; a key that is not in the table is refused.
func readKeys[T any](a at, keys []key[T], into *T, expected string) error {
	entries, err := a.entries(expected)
	if err != nil {
		return err
	}
	for _, e := range entries {
		i := slices.IndexFunc(keys, func(k key[T]) bool { return k.name == e.key })
		if i < 0 {
			return e.where.errorf("%q is no key of a layout here; %s", e.key, suggestion(e.key, keyNames(keys)))
		}
		if err := keys[i].read(into, e.value); err != nil {
			return err
		}
	}
	return nil
}

func keyNames[T any](keys []key[T]) []string {
	var names []string
	for _, k := range keys {
		names = append(names, k.name)
	}
	return names
}

// sourceKeys is the table of a source's keys. Columns are read before the table is known: what they need of it is held
// against it afterwards.
func sourceKeys() []key[Source] {
	return []key[Source]{
		{"files", "a pattern such as dispatch-*.csv", "which files, by base name; * is any text, ? one character", readFiles},
		{"table", "a table's name", "the table that the rows go to", readTable},
		{"time_zone", "an IANA name such as America/Chicago", "zone of times without an offset; without it the team's", readZone},
		{"time_format", "strptime tokens such as \"%m/%d/%Y %H:%M\", one of " + strings.Join(TimeWords, ", ") + ", or a list of these",
			"how times are written; without it as 2026-03-31 14:05", func(s *Source, a at) (err error) { s.TimeFormats, err = readFormats(a); return err }},
		{"columns", "COLUMN: HEADER, COLUMN: [DATE, TIME] or COLUMN: {from, unit, codes, format}",
			"which header is which column of the table; two headers are joined with a blank", func(s *Source, a at) (err error) { s.Columns, err = readColumns(a); return err }},
		{"quantities", "QUANTITY: HEADER or QUANTITY: {from, unit}", "for readings with one column for each quantity: which header is which quantity",
			func(s *Source, a at) (err error) { s.Quantities, err = readColumns(a); return err }},
		{"constants", "COLUMN: VALUE", "a value that every row has", readConstants},
		{"missing", "a text or a list of texts", "texts that stand for an empty cell, such as --- or N/A", func(s *Source, a at) (err error) {
			s.Missing, err = a.texts("texts that stand for an empty cell")
			return err
		}},
		{"where", "{column: HEADER, is: [TEXT, …]} or {column: HEADER, is_not: [TEXT, …]}", "which rows are read; the others are counted and said", readWhere},
		{"bounds", "refused or value", "what a bound such as <3 or >60 is: no value, or the value it bears; without it refused", func(s *Source, a at) error {
			what, err := a.oneOf([]string{"refused", "value"})
			s.Bounds = what == "value"
			return err
		}},
		{"clock_offset", "a duration such as 4m30s or -1h", "added to every time of the source, for a device whose clock is known to run wrong", readClockOffset},
		{"delimiter", "comma, semicolon, tab, bar, or the character", "what parts the cells; without it told from the header", readDelimiter},
		{"quotes", "doubled or backslash", "how a quote inside a quoted cell is written; without it doubled", func(s *Source, a at) (err error) {
			s.Dialect.Quotes, err = a.oneOf([]string{Doubled, Backslash})
			return err
		}},
		{"skip", "a number of lines", "lines before the header that are no records", func(s *Source, a at) (err error) { s.Dialect.Skip, err = readLines(a); return err }},
		{"footer", "a number of lines", "lines after the last record that are no records", func(s *Source, a at) (err error) { s.Dialect.Footer, err = readLines(a); return err }},
		{"encoding", "one of " + strings.Join(Encodings, ", "), "how characters are written; without it told from the bytes", func(s *Source, a at) (err error) {
			s.Dialect.Encoding, err = a.oneOf(Encodings)
			return err
		}},
		{"decimal", "comma or point", "the decimal sign; without it told from the numbers", func(s *Source, a at) (err error) {
			s.Dialect.Decimal, err = a.oneOf([]string{Comma, Point})
			return err
		}},
	}
}

func readFiles(s *Source, a at) (err error) {
	if s.Files, err = a.text("a pattern of file names such as dispatch-*.csv"); err != nil {
		return err
	}
	switch {
	case strings.HasPrefix(s.Files, "/") || strings.Contains(s.Files, ":") || slices.Contains(strings.Split(s.Files, "/"), ".."):
		return a.errorf("%q leads out of the folder that is loaded; expected a pattern of file names such as dispatch-*.csv", s.Files)
	case strings.Contains(s.Files, `\`):
		return a.errorf("%q holds a backslash; expected a pattern of file names such as dispatch-*.csv", s.Files)
	}
	if _, err := path.Match(s.Files, ""); err != nil {
		return a.errorf("%q is no pattern: a bracket is not closed; expected one such as dispatch-*.csv", s.Files)
	}
	return nil
}

func readTable(s *Source, a at) (err error) {
	if s.Table, err = a.text("a table's name"); err != nil {
		return err
	}
	if _, ok := records.Find(s.Table); !ok {
		return a.errorf("%q is no table; %s", s.Table, suggestion(s.Table, tableNames()))
	}
	return nil
}

func tableNames() []string {
	var names []string
	for _, t := range records.Tables() {
		names = append(names, t.Name)
	}
	return names
}

func readZone(s *Source, a at) (err error) {
	if s.TimeZone, err = a.text("an IANA name such as America/Chicago"); err != nil {
		return err
	}
	if s.Zone, err = time.LoadLocation(s.TimeZone); err != nil || s.TimeZone == "Local" {
		return a.errorf("%q is no zone; expected an IANA name such as America/Chicago or UTC", s.TimeZone)
	}
	return nil
}

func readFormats(a at) ([]string, error) {
	items, err := a.items("a time format such as %m/%d/%Y %H:%M, or a list of such")
	if err != nil {
		return nil, err
	}
	var all []string
	for _, item := range items {
		text, err := item.text("a time format such as %m/%d/%Y %H:%M")
		if err != nil {
			return nil, err
		}
		format, err := checkedFormat(text)
		if err != nil {
			return nil, item.errorf("%s", err)
		}
		all = append(all, format)
	}
	return all, nil
}

// mostClockOffset bounds a clock's error: a device that lost its clock begins at its maker's date, decades away.
const mostClockOffset = 100 * 366 * 24 * time.Hour

func readClockOffset(s *Source, a at) error {
	text, err := a.text("a duration such as 4m30s or -1h")
	if err != nil {
		return err
	}
	s.ClockOffset, err = time.ParseDuration(text)
	if err != nil || s.ClockOffset.Abs() > mostClockOffset {
		return a.errorf("%q is no duration; expected one such as 4m30s or -1h, which is added to the times", text)
	}
	return nil
}

// delimiters by name.
var delimiters = map[string]rune{"comma": ',', "semicolon": ';', "tab": '\t', "bar": '|', ",": ',', ";": ';', "\t": '\t', "|": '|'}

func readDelimiter(s *Source, a at) error {
	var known bool
	if s.Dialect.Delimiter, known = delimiters[a.Value]; !known {
		return a.errorf("%q is no delimiter; expected comma, semicolon, tab or bar", a.Value)
	}
	return nil
}

// mostLines bounds skip and footer.
const mostLines = 10000

func readLines(a at) (int, error) {
	n, err := strconv.Atoi(a.Value)
	if err != nil || n < 0 || n > mostLines {
		return 0, a.errorf("%q is no number of lines; expected one from 0 to %d", a.Value, mostLines)
	}
	return n, nil
}

// whereKeys is the table of a filter's keys.
func whereKeys() []key[Filter] {
	return []key[Filter]{
		{"column", "a header", "the column that is looked at", func(f *Filter, a at) (err error) { f.Column, err = a.text("a header"); return err }},
		{"is", "a text or a list of texts", "keep the rows whose cell is one of these; \"\" is an empty cell", func(f *Filter, a at) (err error) { f.Is, err = a.cells(); return err }},
		{"is_not", "a text or a list of texts", "keep the rows whose cell is none of these; \"\" is an empty cell", func(f *Filter, a at) (err error) { f.IsNot, err = a.cells(); return err }},
	}
}

func readWhere(s *Source, a at) error {
	f := Filter{Line: a.Line}
	if err := readKeys(a, whereKeys(), &f, "{column: HEADER, is: [TEXT, …]} or {column: HEADER, is_not: [TEXT, …]}"); err != nil {
		return err
	}
	if f.Column == "" || (len(f.Is) == 0) == (len(f.IsNot) == 0) {
		return a.errorf("expected column, and either is or is_not")
	}
	s.Where = &f
	return nil
}

// String is the key as a line of help.
func (k Key) String() string { return fmt.Sprintf("%s: %s (%s)", k.Name, k.Meaning, k.Takes) }
