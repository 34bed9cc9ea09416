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

	"tripwake/pipeline/store"
)

// refusedColumns stand before the columns of the export: a load does not read them, and a row with too many cells keeps
// them in place.
var refusedColumns = []string{"refused_record", "refused_column", "refused_reason", "refused_expected"}

// WriteRefused exports the refused rows of one load (0: all) as CSV files into dir, one for each file they came from, in
// the columns of that file, so that they can be mended and loaded again. It gives the paths written.
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
	for len(refusals) > 0 {
		n := 1
		for n < len(refusals) && sameFile(refusals[n], refusals[0]) {
			n++
		}
		path := filepath.Join(dir, fmt.Sprintf("%s-refused-%d.csv", refusals[0].Table, len(paths)+1))
		if err := writeRefusals(path, refusals[:n]); err != nil {
			return paths, fmt.Errorf("%s: %w", path, err)
		}
		paths, refusals = append(paths, path), refusals[n:]
	}
	return paths, nil
}

func sameFile(a, b store.Refusal) bool {
	return a.File == b.File && a.Table == b.Table && strings.Join(a.Header, "\x00") == strings.Join(b.Header, "\x00")
}

func writeRefusals(path string, refusals []store.Refusal) error {
	if _, err := os.Stat(path); err == nil {
		return errors.New("is there already, perhaps half mended; load it first, or name another folder")
	}
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
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
