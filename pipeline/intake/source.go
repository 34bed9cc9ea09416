package intake

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strings"

	"tripwake/pipeline/layout"
	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

// Source is an export that is understood: what it holds, and how the engine must read it.
type Source struct {
	Name      string // path below the folder that was asked for
	Plain     string // file of the same text in UTF-8, which the engine reads
	Table     records.Table
	SHA256    string // of the file as it came
	Bytes     int64
	Encoding  string
	Delimiter rune
	Header    []Heading
	Records   int64   // records after the header that are not blank
	Blank     []int64 // numbers of blank records; the header is record 1
	Longest   int     // bytes of the longest record
	Unpacked  int64   // bytes of the plain text, where Bytes are those of the file as it came
	Before    int     // lines before the header that are no records
	After     int     // lines after the last record that are none
	Escaped   bool    // quotes were escaped by backslashes, and are doubled in Plain

	Layout     *layout.Source // nil: the header bears canonical names
	Columns    []Bound        // of a layout, in its order
	Quantities []Bound        // of a layout
	Filtered   string         // staged column of the layout's filter

	Spread bool // some record goes over several lines, in quotes
	Simple bool // no record is blank, ends otherwise than the others or breaks its quotes, and no underscore parts digits

	head, tail place  // of the plain text
	copied     bool   // Plain is a copy in the scratch folder
	broken     string // file of the records that were taken out of Plain, empty where none were
}

// Inspect reads a candidate's bytes and tells all that the engine is told. Text in another encoding or dialect than the
// engine reads is copied in plain form into the scratch folder under the number given.
func Inspect(c Candidate, folder string, number int) (Source, error) {
	s := Source{Name: c.Name, Table: c.Table, Bytes: c.Bytes}
	to := scratch{folder, number}
	var err error
	if s.Encoding, err = tellEncoding(c); err != nil {
		return s, err
	}
	if err := s.plainText(c, to); err != nil {
		return s, err
	}
	if err := s.trim(c, to); err != nil {
		return s, fmt.Errorf("%s: %w", c.Name, err)
	}
	if err := s.bind(c.Layout); err != nil {
		return s, fmt.Errorf("%s: %w", c.Name, err)
	}
	counted, err := s.measure(c, to)
	if err != nil {
		return s, fmt.Errorf("%s: %w", c.Name, err)
	}
	if counted.Longest > longestRecord {
		return s, fmt.Errorf("%s: record %d: has %d bytes, at most %d are read; look for a quote that is opened and closed much later",
			c.Name, counted.LongestAt, counted.Longest, longestRecord)
	}
	s.Records, s.Blank, s.Longest, s.Unpacked = counted.Records, counted.Blank, counted.Longest, counted.Bytes
	s.Spread, s.head, s.tail = counted.Spread, counted.head, counted.tail
	s.Simple = len(counted.Blank) == 0 && counted.Broken == 0 && !counted.Mixed && !counted.Misread
	if counted.Mixed {
		err = s.transformed(lineFeeds{}, to, "unified")
	}
	if err == nil && counted.Broken > 0 {
		err = s.sift(to)
	}
	return s, err
}

// longestRecord bounds a record: the engine holds a few of the longest in memory.
const longestRecord = 16 << 20

// trim finds the header and takes what stands before it and after the records away.
func (s *Source) trim(c Candidate, to scratch) error {
	f, err := os.Open(s.Plain)
	if err != nil {
		return fmt.Errorf("cannot be read: %w", err)
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return fmt.Errorf("cannot be read: %w", err)
	}
	found, err := findFrame(f, info.Size(), names{s.Table, c.Layout}, c.Dialect)
	if err != nil {
		return err
	}
	s.Delimiter, s.Header, s.Before, s.After = found.delimiter, found.header, found.before, found.after
	if found.from == 0 && found.to == info.Size() {
		return nil
	}
	return s.rewrite(io.NewSectionReader(f, found.from, found.to-found.from), to, "trimmed")
}

// measure counts the records of the plain text and hashes the file as it came. Where quotes turn out to be escaped by
// backslashes, or a layout says so, the text is rewritten with doubled ones.
func (s *Source) measure(c Candidate, to scratch) (count, error) {
	if c.Dialect.Escape == Backslash {
		return s.unescaped(c, to)
	}
	counted, sum, err := s.count()
	if counted.backslashed() && c.Dialect.Escape == "" {
		return s.unescaped(c, to)
	}
	if s.SHA256 = sum; err == nil && s.copied {
		err = s.hash(c)
	}
	return counted, err
}

func (s *Source) unescaped(c Candidate, to scratch) (count, error) {
	s.Escaped = true
	if err := s.transformed(&doubling{delimiter: byte(s.Delimiter)}, to, "unescaped"); err != nil {
		return count{}, err
	}
	if err := s.hash(c); err != nil {
		return count{}, err
	}
	counted, _, err := s.count()
	return counted, err
}

// count goes through the plain text once, for its records and its hash.
func (s *Source) count() (count, string, error) {
	f, err := os.Open(s.Plain)
	if err != nil {
		return count{}, "", fmt.Errorf("cannot be read: %w", err)
	}
	defer f.Close()
	hash := sha256.New()
	var r io.Reader = f
	if !s.copied {
		r = io.TeeReader(f, hash)
	}
	counted, err := countRecords(r, s.Delimiter)
	return counted, hex.EncodeToString(hash.Sum(nil)), err
}

// hash is that of the file as it came, or of an archive's member as it was before it was packed.
func (s *Source) hash(c Candidate) error {
	f, _, err := c.raw()
	if err != nil {
		return err
	}
	hash := sha256.New()
	_, err = io.Copy(hash, f)
	s.SHA256 = hex.EncodeToString(hash.Sum(nil))
	return errors.Join(err, f.Close())
}

// longestHeader bounds the bytes in which a header is looked for.
const longestHeader = 1 << 20

// Unread lists the header's cells that name no column of the table, or that the layout does not name: their cells are not read.
func (s Source) Unread() []string {
	var texts []string
	for _, h := range s.Header {
		if h.Column == "" {
			texts = append(texts, h.Text)
		}
	}
	return texts
}

// Whole says that every record of the file is one: none is blank, and none was taken out.
func (s Source) Whole() bool { return len(s.Blank) == 0 && s.broken == "" }

// StageSQL is the statement by which the engine reads the file into a temporary table: one varchar column c0, c1, … for
// each cell of the header, rows in the order of the file. Records with too few or too many cells, or with broken quotes,
// go to the temporary table named rejects, with their number as `line` and their text as `csv_line`. Empty cells stay
// empty text.
func (s Source) StageSQL(table, rejects string) string {
	return stageSQL([]Source{s}, "*", table, rejects) + s.brokenSQL(rejects)
}

// StageEachSQL is that for files in turn that have one header and delimiter and are Whole, with the column File.
func StageEachSQL(files []Source, table, rejects string) string {
	return stageSQL(files, "*, "+File, table, rejects)
}

func stageSQL(files []Source, selected, table, rejects string) string {
	text := func(string) string { return "varchar" }
	return fmt.Sprintf("create or replace temp table %s as select %s from %s", table, selected, readSQL(files, plain(files), []string{impossible}, "", text,
		fmt.Sprintf(", store_rejects = true, rejects_table = %s, rejects_scan = %s", store.Literal(rejects), store.Literal(rejects+"_scan"))))
}

func plain(files []Source) []string {
	paths := make([]string, len(files))
	for i, f := range files {
		paths[i] = f.Plain
	}
	return paths
}

// Row is the column of a record's number in NumberedSQL, and File that of its file's place among the files, from 0.
const (
	Row  = "r"
	File = "file_index"
)

// BatchSQL is the relation of the records of files that have one header, in turn, as the engine types them while it reads: c0, c1, …,
// doubles where the column is among numbers, else text; an empty cell, and one that holds a text of missing and no more, is NULL.
// Whatever does not fit, a record or a number, makes the whole reading fail.
func BatchSQL(files []Source, numbers map[string]bool, missing []string) string {
	return typedSQL(files, plain(files), "", numbers, missing)
}

// NumberedSQL is that relation over the numbered files named, in any order, with the columns Row and File.
func NumberedSQL(files []Source, paths []string, numbers map[string]bool, missing []string) string {
	return fmt.Sprintf("(select *, %s from %s)", File, typedSQL(files, paths, fmt.Sprintf("'%s': 'bigint', ", Row), numbers, missing))
}

func typedSQL(files []Source, paths []string, first string, numbers map[string]bool, missing []string) string {
	kind := func(column string) string {
		if numbers[column] {
			return "double"
		}
		return "varchar"
	}
	return readSQL(files, paths, append([]string{""}, missing...), first, kind, "")
}

// readSQL is the relation of the cells of files with one header and delimiter, c0, c1, …, each of the kind that its name has; a cell that
// is one of nulls is NULL. first are columns before those, and more is what else the engine is told.
func readSQL(files []Source, paths, nulls []string, first string, kind func(column string) string, more string) string {
	s := files[0]
	names, columns, empty, longest := make([]string, len(files)), make([]string, len(s.Header)), make([]string, len(nulls)), 0
	for i, f := range files {
		names[i], longest = pathSQL(paths[i]), max(longest, f.Longest)
	}
	if slices.ContainsFunc(files, func(f Source) bool { return f.Spread }) {
		more += ", parallel = false" // a thread that begins in the middle of a quoted cell would take its lines for records
	}
	for i := range s.Header {
		column := fmt.Sprintf("c%d", i)
		columns[i] = fmt.Sprintf("'%s': '%s'", column, kind(column))
	}
	for i, text := range nulls {
		empty[i] = store.Literal(text)
	}
	return fmt.Sprintf(`read_csv([%s], auto_detect = false, header = true, delim = %s, quote = '"', escape = '"', nullstr = [%s],
		max_line_size = %d, columns = {%s%s}%s)`, strings.Join(names, ", "), store.Literal(string(s.Delimiter)), strings.Join(empty, ", "),
		lineLimit(longest), first, strings.Join(columns, ", "), more)
}

// Nameable refuses a folder for scratch copies that the engine cannot be told: where it has to take a sign of a pattern for itself, it takes a backslash
// for the sign of another folder.
func Nameable(path string) error {
	if os.PathSeparator != '\\' && strings.ContainsAny(path, pattern) && strings.Contains(path, `\`) {
		return fmt.Errorf(`%s: a path with a backslash beside *, ? or [ cannot be used; name a store in another folder`, path)
	}
	return nil
}

// pattern are the signs of a pattern of paths.
const pattern = "*?["

// pathSQL names one file to the engine, which takes a path with certain characters for a pattern, and would read whatever else has a name
// of that form: in a class of its own each of them stands for itself.
func pathSQL(path string) string {
	if strings.ContainsAny(path, pattern) {
		path = strings.NewReplacer("*", "[*]", "?", "[?]", "[", "[[]").Replace(path)
	}
	return store.Literal(path)
}

// lineLimit is what the engine is told of the longest line.
func lineLimit(longest int) int { return max(longest*2+16, 1<<21) }

// impossible is text that no export holds: what the engine takes for NULL.
const impossible = "\x01\x02\x01"

// Column gives the staged column that holds a column of the table, and the unit its header carries.
func (s Source) Column(name string) (staged, unit string, ok bool) {
	for i, h := range s.Header {
		if h.Column == name {
			return fmt.Sprintf("c%d", i), h.Unit, true
		}
	}
	return "", "", false
}
