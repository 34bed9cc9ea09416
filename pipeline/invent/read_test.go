package invent

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"tripwake/pipeline/records"
)

// export is one written file, read back without this package's writer: cells by canonical column, units as the header says.
type export struct {
	name   string
	header []string
	units  map[string]string
	rows   []map[string]string
	bytes  []byte
}

var withUnit = regexp.MustCompile(`^(\w+) [(\[](.+)[)\]]$`)

// decoded tells the encoding from the first bytes, and takes for Windows-1252 what is not UTF-8.
func decoded(t *testing.T, raw []byte) string {
	t.Helper()
	switch {
	case bytes.HasPrefix(raw, []byte{0xff, 0xfe}):
		out, err := unicode.UTF16(unicode.LittleEndian, unicode.ExpectBOM).NewDecoder().Bytes(raw)
		if err != nil {
			t.Fatal(err)
		}
		return string(out)
	case bytes.HasPrefix(raw, []byte{0xef, 0xbb, 0xbf}):
		return string(raw[3:])
	case strings.ToValidUTF8(string(raw), "") != string(raw):
		out, err := charmap.Windows1252.NewDecoder().Bytes(raw)
		if err != nil {
			t.Fatal(err)
		}
		return string(out)
	}
	return string(raw)
}

func readExport(t *testing.T, path string) export {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	body := decoded(t, raw)
	head, _, _ := strings.Cut(body, "\n")
	r := csv.NewReader(strings.NewReader(body))
	for _, delimiter := range []rune{';', '\t', ','} {
		if strings.ContainsRune(head, delimiter) {
			r.Comma = delimiter
			break
		}
	}
	all, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%s: %v", path, err)
	}
	e := export{name: filepath.Base(path), units: map[string]string{}, bytes: raw}
	for _, cell := range all[0] {
		if m := withUnit.FindStringSubmatch(cell); m != nil {
			cell, e.units[m[1]] = m[1], m[2]
		}
		e.header = append(e.header, cell)
	}
	for _, cells := range all[1:] {
		row := map[string]string{}
		for i, c := range cells {
			row[e.header[i]] = c
		}
		e.rows = append(e.rows, row)
	}
	return e
}

// tableOf is the part of the name before the first dash.
func tableOf(name string) string {
	table, _, _ := strings.Cut(strings.TrimSuffix(name, ".csv"), "-")
	return table
}

// exports reads all files of a table, the second exports apart.
func exports(t *testing.T, dir, table string) []export {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(dir, table+"*.csv"))
	if err != nil {
		t.Fatal(err)
	}
	var out []export
	for _, p := range paths {
		if !strings.Contains(p, "-again") {
			out = append(out, readExport(t, p))
		}
	}
	if len(out) == 0 {
		t.Fatalf("no export of %s in %s", table, dir)
	}
	return out
}

// moment reads a time in any of the three forms; ok is false where the cell is empty or bad.
func moment(s string, place *time.Location) (time.Time, bool) {
	for _, layout := range []string{localSpace, localT, withOffset} {
		if at, err := time.ParseInLocation(layout, s, place); err == nil {
			return at, true
		}
	}
	return time.Time{}, false
}

func number(s string) (float64, bool) {
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil && v > -9999 && v < 1e6
}

// quantity is the contract's entry for a measured quantity.
func quantity(name string) (records.Quantity, bool) {
	for _, q := range records.Quantities() {
		if q.Name == name {
			return q, true
		}
	}
	return records.Quantity{}, false
}
