// Package intake finds the exports and makes them readable to the engine.
//
// In: paths of files, folders and zip archives. Out: sources, each a file whose table, encoding, delimiter and header are known,
// with the number of its records counted, and the statement by which the engine stages it as text, record by record. Lines
// around the records are cut, and records with broken quotes set aside, from a copy of the bytes.
// It refuses a file that belongs to no table, a header without a known column, a file that is not text, a record that is too
// long, and what is packed to harm. A folder's
// other files are passed over and named.
package intake

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"tripwake/pipeline/layout"
	"tripwake/pipeline/records"
)

// Candidate is a file whose name says which table it holds, or that a source of a layout reads (Layout, else nil); a file that
// several sources read is a candidate for each. Name is its path below the folder that was asked for; Asked
// says that the file itself was asked for. Of a member of a zip archive, Path is the archive, Member the member's name in
// it, and Name ends in both. Dialect is what is known of its bytes beforehand.
type Candidate struct {
	Path    string
	Member  string
	Name    string
	Table   records.Table
	Bytes   int64
	Asked   bool
	Dialect Dialect
	Layout  *layout.Source
}

// Dialect is what a layout says of a file's bytes. What is zero is told from the bytes.
type Dialect struct {
	Delimiter rune   // a single byte
	Encoding  string // utf-8, utf-16le, utf-16be or windows-1252
	Escape    string // Doubled or Backslash
	Skip      int    // lines before the header
	Footer    int    // lines after the last record
}

// How a quote is written inside a quoted cell.
const (
	Doubled   = "doubled"
	Backslash = "backslash"
)

// ErrForeign marks the error of a file that turns out to be no export of its table: it is empty, or its header names no
// column. In a folder such a file is passed over; one that was asked for by name is an error.
var ErrForeign = errors.New("is no export")

// foreign is an error that is ErrForeign in words of its own.
type foreign struct{ text string }

func (f foreign) Error() string { return f.text }
func (f foreign) Unwrap() error { return ErrForeign }

// Found is what the paths hold: files to read, in the order in which they are read, and names passed over.
type Found struct {
	Candidates []Candidate
	PassedOver []string
	NoFiles    []string        // names of exports that are no plain files: links that lead nowhere, pipes
	Idle       []layout.Source // sources of the layout that read none of the files

	layout layout.Layout
}

// Find lists the exports in files and folders: those that the sources of a layout read, and those whose names begin with a
// table's. A named file that belongs to no table is an error; in a folder it is passed over. A file reached by two paths is
// read once.
func Find(paths []string, by layout.Layout) (Found, error) {
	found := Found{layout: by}
	seen := map[string]bool{}
	for _, path := range paths {
		info, err := os.Stat(path)
		if err != nil {
			return found, fmt.Errorf("%s: no such file or folder; give the folder that holds the exports", path)
		}
		if err := found.add(path, info, seen); err != nil {
			return found, err
		}
	}
	found.Idle = found.idle()
	slices.SortStableFunc(found.Candidates, func(a, b Candidate) int {
		return readingOrder(a.Table.Name) - readingOrder(b.Table.Name)
	})
	return found, nil
}

func (f *Found) add(path string, info fs.FileInfo, seen map[string]bool) error {
	if !info.IsDir() && isArchive(info.Name()) {
		return f.askArchive(path, info.Name(), seen)
	}
	if !info.IsDir() {
		uses := f.uses(info.Name())
		if len(uses) == 0 {
			return fmt.Errorf("%s: the name begins with no table's name; expected one of %s, such as alarms-2026.csv", path, tableNames())
		}
		f.take(Candidate{Path: path, Name: info.Name(), Bytes: info.Size(), Asked: true}, seen, uses...)
		return nil
	}
	return f.walk(path, seen)
}

// walk takes the exports below a folder, which may be reached by a link; hidden files and folders are no exports.
func (f *Found) walk(folder string, seen map[string]bool) error {
	root, err := filepath.EvalSymlinks(folder)
	if err != nil {
		return fmt.Errorf("%s: cannot be read: %w", folder, err)
	}
	return filepath.WalkDir(root, func(file string, d fs.DirEntry, err error) error {
		if err != nil {
			return fmt.Errorf("%s: cannot be read: %w", file, err)
		}
		switch hidden := strings.HasPrefix(d.Name(), ".") && file != root; {
		case hidden && d.IsDir():
			return fs.SkipDir
		case hidden || d.IsDir():
			return nil
		}
		name, err := filepath.Rel(root, file)
		if err != nil {
			return err
		}
		if isArchive(d.Name()) {
			_, err := f.addArchive(file, filepath.ToSlash(name), seen)
			return err
		}
		uses := f.uses(filepath.ToSlash(name))
		info, statErr := os.Stat(file)
		switch {
		case len(uses) == 0:
			f.PassedOver = append(f.PassedOver, filepath.ToSlash(name))
			return nil
		case statErr != nil || !info.Mode().IsRegular():
			f.NoFiles = append(f.NoFiles, filepath.ToSlash(name))
			return nil
		}
		f.take(Candidate{Path: file, Name: filepath.ToSlash(name), Bytes: info.Size()}, seen, uses...)
		return nil
	})
}

// take lists a file once for each of its uses; one without a use is listed as it is.
func (f *Found) take(c Candidate, seen map[string]bool, uses ...use) {
	real, err := filepath.EvalSymlinks(c.Path)
	if err != nil {
		real = c.Path
	}
	real += "\x00" + c.Member
	if seen[real] {
		return
	}
	seen[real] = true
	c.Name = strings.ToValidUTF8(c.Name, "\ufffd") // the store keeps text; on disk a name may be any bytes
	if len(uses) == 0 {
		f.Candidates = append(f.Candidates, c)
	}
	for _, u := range uses {
		f.Candidates = append(f.Candidates, u.of(c))
	}
}

// TableOf tells from a file's name which table it holds: the name begins with the table's and is that of a text export.
func TableOf(name string) (records.Table, bool) {
	lower := strings.TrimSuffix(strings.ToLower(name), ".gz")
	switch filepath.Ext(lower) {
	case ".csv", ".tsv", ".txt":
	default:
		return records.Table{}, false
	}
	for _, t := range records.Tables() {
		if strings.HasPrefix(lower, t.Name) {
			return t, true
		}
	}
	return records.Table{}, false
}

// readingOrder puts the tables that device logs are linked to before the logs, so that a log is linked as it is stored.
func readingOrder(table string) int {
	order := slices.IndexFunc(records.Tables(), func(t records.Table) bool { return t.Name == table })
	if t, _ := records.Find(table); t.Log {
		order += len(records.Tables())
	}
	return order
}

func tableNames() string {
	var names []string
	for _, t := range records.Tables() {
		names = append(names, t.Name)
	}
	return strings.Join(names, ", ")
}
