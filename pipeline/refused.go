package pipeline

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"tripwake/pipeline/layout"
	"tripwake/pipeline/store"
)

// refusedColumns stand before the columns of the export: a load does not read them, and a row with too many cells keeps
// them in place.
var refusedColumns = []string{"refused_record", "refused_column", "refused_reason", "refused_expected"}

// WriteRefused exports the refused rows of one load (0: all) as CSV files into dir, one for each file and source they came from,
// in the columns of that file, so that they can be mended and loaded again. Beside files that were read by a layout it writes
// RefusedLayout, by which they are loaded. It gives the paths written.
func WriteRefused(ctx context.Context, st *store.Store, loadID int64, dir string) ([]string, error) {
	refusals, err := st.Refusals(ctx, loadID, 0)
	if err != nil {
		return nil, err
	}
	refusals = slices.DeleteFunc(refusals, func(r store.Refusal) bool { return r.Reason == store.Forgotten }) // nothing to mend
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("folder for refused rows: %w", err)
	}
	var paths []string
	var sources []layout.Source
	for len(refusals) > 0 {
		n := 1
		for n < len(refusals) && sameFile(refusals[n], refusals[0]) {
			n++
		}
		path := filepath.Join(dir, fmt.Sprintf("%s-refused-%d.csv", refusals[0].Table, len(paths)+1))
		if err := writeRefusals(path, wholeRows(refusals[:n])); err != nil {
			return paths, fmt.Errorf("%s: %w", path, err)
		}
		if sources, err = mending(sources, refusals[0], filepath.Base(path)); err != nil {
			return paths, err
		}
		paths, refusals = append(paths, path), refusals[n:]
	}
	if len(sources) == 0 {
		return paths, nil
	}
	path := filepath.Join(dir, RefusedLayout)
	return append(paths, path), writeNew(path, "# By this layout the refused rows beside it are loaded once they are mended.\n"+layout.Render(sources))
}

// RefusedLayout is the name of the layout beside exported refused rows: that which a layout beside exports commonly has.
const RefusedLayout = "layout.yaml"

func sameFile(a, b store.Refusal) bool {
	return a.File == b.File && a.Table == b.Table && a.SourceLine == b.SourceLine && a.LayoutText == b.LayoutText &&
		strings.Join(a.Header, "\x00") == strings.Join(b.Header, "\x00")
}

// mending adds the source by which an exported file is loaded again: the one that it was read by, for a file that is plain now.
func mending(sources []layout.Source, r store.Refusal, file string) ([]layout.Source, error) {
	if r.SourceLine == 0 {
		return sources, nil
	}
	l, err := layout.Parse(r.Layout, []byte(r.LayoutText))
	if err != nil {
		return nil, fmt.Errorf("the layout of %s cannot be read again: %w", r.File, err)
	}
	for _, s := range l.Sources {
		if s.Line == r.SourceLine {
			s.Files, s.Dialect = file, layout.Dialect{Delimiter: delimiterOf(r), Decimal: s.Dialect.Decimal}
			return append(sources, s), nil
		}
	}
	return nil, fmt.Errorf("the layout of %s has no source on line %d", r.File, r.SourceLine)
}

// wholeRows brings the refused readings of one record together in one row, which bears all their cells and reasons.
func wholeRows(refusals []store.Refusal) []store.Refusal {
	var rows []store.Refusal
	for _, r := range refusals {
		n := len(rows)
		if n == 0 || r.SourceLine == 0 || rows[n-1].Record != r.Record || len(r.Cells) != len(rows[n-1].Cells) {
			r.Cells = slices.Clone(r.Cells)
			rows = append(rows, r)
			continue
		}
		last := &rows[n-1]
		last.Column, last.Reason, last.Expected = listed(last.Column, r.Column), listed(last.Reason, r.Reason), listed(last.Expected, r.Expected)
		for i, cell := range r.Cells {
			if last.Cells[i] == "" {
				last.Cells[i] = cell
			}
		}
	}
	return rows
}

// listed adds a text to a list of texts in one cell, once.
func listed(list, text string) string {
	const between = "; "
	if slices.Contains(strings.Split(list, between), text) {
		return list
	}
	return list + between + text
}

func writeRefusals(path string, refusals []store.Refusal) error {
	f, err := createNew(path)
	if err != nil {
		return err
	}
	w := csv.NewWriter(f)
	w.Comma = delimiterOf(refusals[0]) // a decimal comma is one only beside another delimiter
	rows := [][]string{append(slices.Clone(refusedColumns), defused(refusals[0].Header)...)}
	for _, r := range refusals {
		row := []string{strconv.FormatInt(r.Record, 10), r.Column, r.Reason, r.Expected}
		rows = append(rows, append(row, defused(cellsOf(r))...))
	}
	return errors.Join(w.WriteAll(rows), f.Close())
}

// createNew makes a file for its owner alone; one that is there already is kept.
func createNew(path string) (*os.File, error) {
	if _, err := os.Stat(path); err == nil {
		return nil, errors.New("is there already, perhaps half mended; load it first, or name another folder")
	}
	return os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
}

func writeNew(path, text string) error {
	f, err := createNew(path)
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	_, err = f.WriteString(text)
	return errors.Join(err, f.Close())
}

func delimiterOf(r store.Refusal) rune { return []rune(r.Delimiter)[0] }

// signedNumber is what begins with a sign and is no formula.
var signedNumber = regexp.MustCompile(`^[+-][0-9.,]+([eE][+-]?[0-9]+)?$`)

// defused puts a blank before cells that a spreadsheet would run as a formula. A load takes blanks around a cell away, so
// that the cell comes back as it was.
func defused(cells []string) []string {
	safe := slices.Clone(cells)
	for i, cell := range safe {
		if cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) && !signedNumber.MatchString(cell) {
			safe[i] = " " + cell
		}
	}
	return safe
}

// cellsOf gives the cells of a refused record; one that did not fit the header was kept as a line.
func cellsOf(r store.Refusal) []string {
	if len(r.Cells) == len(r.Header) {
		return r.Cells
	}
	lines := csv.NewReader(strings.NewReader(strings.Join(r.Cells, "")))
	lines.Comma, lines.LazyQuotes, lines.FieldsPerRecord = delimiterOf(r), true, -1
	cells, err := lines.Read()
	if err != nil {
		return r.Cells
	}
	return cells
}
