package draft

import (
	"bytes"
	"encoding/csv"
	"io"
	"path"
	"slices"
	"strings"

	"tripwake/pipeline/intake"
)

// How much of a file is looked at.
const (
	sampledBytes = 4 << 20
	sampledRows  = 2000
)

// sample is the beginning of one export: what stands before its header, the header, and the first records that fit it.
type sample struct {
	name      string
	encoding  string
	delimiter rune
	before    []string // lines before the header
	header    []string
	rows      [][]string
	odd       int  // records that do not fit the header
	whole     bool // the file was read to its end
}

// delimiters that are tried, the commonest first.
var delimiters = []rune{',', ';', '\t', '|'}

// mostBefore bounds the lines before a header, as a load does.
const mostBefore = 50

// takeSample reads the beginning of an export. An export without a header of at least two cells gives none.
func takeSample(c intake.Candidate) (sample, bool, error) {
	head, err := c.Head(sampledBytes)
	if err != nil {
		return sample{}, false, err
	}
	text := head.Text
	if !head.Whole {
		text = text[:1+bytes.LastIndexByte(text, '\n')]
	}
	best, found := sample{}, false
	for _, d := range delimiters {
		s, ok := readAs(text, d)
		if ok && (!found || s.score() > best.score()) {
			best, found = s, true
		}
	}
	best.name, best.encoding, best.whole = path.Base(c.Name), head.Encoding, head.Whole
	return best, found, nil
}

// score of a reading: cells that fall into columns.
func (s sample) score() int { return len(s.header) * (1 + len(s.rows)) }

// readAs reads a text under one delimiter: the header is the first line with as many cells as most lines have.
func readAs(text []byte, delimiter rune) (sample, bool) {
	records := recordsOf(text, delimiter)
	width := commonWidth(records)
	if width < 2 {
		return sample{}, false
	}
	s := sample{delimiter: delimiter}
	for i, r := range records[:min(len(records), mostBefore)] {
		if len(r) == width && isHeader(r) {
			s.header = trimmed(r)
			if repeats(s.header) {
				return sample{}, false
			}
			s.take(records[i+1:])
			return s, true
		}
		s.before = append(s.before, strings.Join(r, string(delimiter)))
	}
	return sample{}, false
}

func (s *sample) take(records [][]string) {
	for _, r := range records {
		switch {
		case len(r) == 1 && strings.TrimSpace(r[0]) == "":
		case len(r) != len(s.header):
			s.odd++
		default:
			s.rows = append(s.rows, trimmed(r))
		}
	}
	s.rows = s.rows[:min(len(s.rows), sampledRows)]
}

func recordsOf(text []byte, delimiter rune) (all [][]string) {
	r := csv.NewReader(bytes.NewReader(bytes.ReplaceAll(text, []byte("\r\r"), []byte("\r"))))
	r.Comma, r.LazyQuotes, r.FieldsPerRecord = delimiter, true, -1
	for len(all) < sampledRows+mostBefore+1 {
		record, err := r.Read()
		if err == io.EOF || err != nil {
			return all
		}
		all = append(all, record)
	}
	return all
}

// commonWidth is the number of cells that most records have; of two the larger.
func commonWidth(records [][]string) int {
	count := map[int]int{}
	for _, r := range records {
		count[len(r)]++
	}
	best := 0
	for width, n := range count {
		if n > count[best] || n == count[best] && width > best {
			best = width
		}
	}
	if count[best]*2 < len(records) {
		return 0
	}
	return best
}

// repeats: a header in which a name stands twice tells nobody which column is meant.
func repeats(header []string) bool {
	for i, name := range header {
		if slices.Contains(header[:i], name) {
			return true
		}
	}
	return false
}

// isHeader says that a record can be a header: its cells are filled, and hardly one is a number or a time.
func isHeader(record []string) bool {
	cells := trimmed(record)
	values := 0
	for i, cell := range cells {
		if cell == "" {
			return i == len(cells)-1 && i > 1
		}
		if isNumber(cell) || len(formsOf(cell)) > 0 {
			values++
		}
	}
	return values*4 < len(cells) || values == 0
}

func trimmed(record []string) []string {
	cells := make([]string, len(record))
	for i, cell := range record {
		cells[i] = strings.Trim(cell, " \t\u00a0\ufeff")
	}
	return cells
}
