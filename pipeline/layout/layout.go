// Package layout reads what a team writes down once about its exports: which files feed which table, which header is which
// column, in which unit, with which codes, time format and zone.
//
// In: the text of a YAML file. Out: a Layout whose tables, columns, quantities, units, codes, zones and time formats are all
// known, each with the line on which it stands. It refuses, in one line that names file, line and key, whatever is not
// known, stands twice or is missing, and says what comes nearest.
package layout

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"time"
	"unicode/utf8"
)

// Layout is a file of sources. Name is the file's base name and SHA256 that of its bytes; Text is the file as it stands.
type Layout struct {
	Name    string
	SHA256  string
	Text    string
	Sources []Source
}

// Source says how files of one kind feed one table. Files is a pattern for base names. TimeZone is an IANA name, empty for the
// team's. TimeFormats are strptime formats or words of TimeWords; empty means the forms that need no layout.
//
// File and Line say where the source stands.
type Source struct {
	File        string
	Line        int
	Files       string
	Table       string
	TimeZone    string
	Zone        *time.Location // of TimeZone; nil: the team's
	TimeFormats []string
	Columns     []Column
	Constants   []Constant
	Quantities  []Column // of readings with one column for each quantity: Name is the quantity
	ClockOffset time.Duration
	Missing     []string // texts that stand for an empty cell
	Bounds      bool     // a bound such as <3 counts as its value
	Where       *Filter  // nil: all rows
	Dialect     Dialect
}

// Dialect is what a file's text does not tell by itself. Zero values leave it to be told from the text.
type Dialect struct {
	Delimiter rune   // 0: told from the header
	Quotes    string // Doubled or Backslash; empty: doubled
	Skip      int    // lines before the header
	Footer    int    // lines after the last record
	Encoding  string // one of Encodings; empty: told from the bytes
	Decimal   string // Comma or Point; empty: told from the numbers
}

// Column is one column of the table, or one quantity, and where its cells come from: the cells of From, joined with a blank.
// Unit is a UCUM code or alias, empty where the layout gives none. Codes maps the source's texts to codes of the column; an
// empty code means no value. Formats are time formats of this column alone. NextDay is how long after the moment before it a time
// may lie that is taken for the next day since its own cell tells no date; 0 where none is.
type Column struct {
	Line    int
	Name    string
	From    []string
	Unit    string
	Codes   map[string]string
	Formats []string
	NextDay time.Duration
}

// Constant is a value that every row of the source has.
type Constant struct {
	Line int
	Name string
	Text string // a canonical code, a plain number in the column's unit, true or false, a date or time in ISO form, or text
}

// Filter keeps the rows whose cell in one column is one of Is, or, where Is is nil, none of IsNot. An empty text is an empty
// cell; blanks around a cell and case do not matter.
type Filter struct {
	Line   int
	Column string
	Is     []string
	IsNot  []string
}

// What Dialect.Quotes and Dialect.Decimal may say.
const (
	Doubled   = "doubled"
	Backslash = "backslash"
	Comma     = "comma"
	Point     = "point"
)

// Encodings lists what Dialect.Encoding may say.
var Encodings = []string{"utf-8", "utf-16le", "utf-16be", "windows-1252"}

// longestFile is how many bytes a layout may have. A larger file is none: an export perhaps, named by mistake.
const longestFile = 16 << 20

// Read reads a layout from a file.
func Read(path string) (Layout, error) {
	text, err := readAtMost(path, longestFile+1)
	if err != nil {
		return Layout{}, fmt.Errorf("layout %s: cannot be read; name a YAML file with --layout: %w", path, err)
	}
	if len(text) > longestFile {
		return Layout{}, fmt.Errorf("layout %s: is larger than %d MiB; name a YAML file with --layout", path, longestFile>>20)
	}
	return Parse(filepath.Base(path), text)
}

func readAtMost(path string, bytes int64) (text []byte, err error) {
	f, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, f.Close()) }()
	return io.ReadAll(io.LimitReader(f, bytes))
}

// Parse reads a layout from its text; name is what errors call it.
func Parse(name string, text []byte) (Layout, error) {
	sum := sha256.Sum256(text)
	l := Layout{Name: name, SHA256: hex.EncodeToString(sum[:]), Text: string(text)}
	if !utf8.Valid(text) {
		return Layout{}, fmt.Errorf("%s: is not UTF-8; save it as UTF-8", name)
	}
	sources, err := parse(text)
	if err != nil {
		return Layout{}, fmt.Errorf("%s: %w", name, err)
	}
	for i := range sources {
		sources[i].File = name
	}
	l.Sources = sources
	return l, nil
}
