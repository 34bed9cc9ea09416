package intake

import (
	"bytes"
	"fmt"
	"io"
	"regexp"
	"strings"
)

// What stands around the records: how many lines are looked at for the header, and how many after the last record can be
// its foot.
const (
	mostLinesBefore = 50
	mostLinesAfter  = 10
	longestFooter   = 4096 // bytes
)

// frame is the part of a text that holds the header and its records, with the lines before and after it.
type frame struct {
	delimiter     rune
	header        []Heading
	from, to      int64
	before, after int
}

// findFrame looks for the header among the first lines and for a foot after the last record. A layout may say how many
// lines each has; otherwise the header is the line that names the table's columns, and a foot is what no record can be.
func findFrame(f io.ReaderAt, size int64, n names, d Dialect) (frame, error) {
	head := make([]byte, min(size, longestHeader))
	if _, err := f.ReadAt(head, 0); err != nil && err != io.EOF {
		return frame{}, fmt.Errorf("cannot be read: %w", err)
	}
	if len(head) == 0 {
		return frame{}, foreign{fmt.Sprintf("is empty; expected a header that names columns of table %s", n.table.Name)}
	}
	found, length, err := findHeader(head, n, d)
	if err != nil {
		return frame{}, err
	}
	found.to = size
	least := found.from + int64(length)
	tail := make([]byte, min(size-least, longestFooter))
	if _, err := f.ReadAt(tail, size-int64(len(tail))); err != nil && err != io.EOF {
		return frame{}, fmt.Errorf("cannot be read: %w", err)
	}
	cut, lines := footer(tail, found, d)
	found.to, found.after = size-int64(cut), lines
	return found, nil
}

// footer gives how many bytes and lines at the end of a text are no records.
func footer(tail []byte, f frame, d Dialect) (cut, lines int) {
	end := len(tail)
	seen := 0
	for seen < max(mostLinesAfter, d.Footer) && end > 0 {
		body := end - len(lineEnd(tail[:end]))
		start := 1 + bytes.LastIndexAny(tail[:body], "\r\n")
		line := string(tail[start:body])
		seen++
		switch {
		case d.Footer > 0 && seen <= d.Footer, d.Footer == 0 && isFooter(line, f):
			cut, lines = len(tail)-start, seen
		case d.Footer > 0 || strings.TrimSpace(line) != "":
			return cut, lines
		}
		end = start
	}
	return cut, lines
}

func lineEnd(text []byte) []byte {
	switch {
	case bytes.HasSuffix(text, []byte("\r\n")):
		return text[len(text)-2:]
	case bytes.HasSuffix(text, []byte("\n")), bytes.HasSuffix(text, []byte("\r")):
		return text[len(text)-1:]
	}
	return nil
}

// The words of a foot: a count, an end, or what made the export.
var (
	footCount = regexp.MustCompile(`(?i)^((grand )?total|count|records?|rows?|lines?|number of (records|rows|lines))( (of )?(records?|rows?|lines?|number|count|exported|returned))* ?[:=]? ?\d[\d., ]*$|^\d[\d., ]* (records?|rows?|lines?)( (exported|returned|selected|affected|in all|in total|total))?$`)
	footWords = regexp.MustCompile(`(?i)^(end|eof)( of (the )?(file|report|export|data|list|log|records|table))?$|^(exported|printed|generated|created|produced|report(ed)?|export(ed)?)( (on|at|by|from|date|time))*[ :].*\d.*$`)
)

var quotedWhole = regexp.MustCompile(`^"([^"]*)"$`)

// isFooter says that a line cannot be a record of more than one column: it has one cell, or a count in the first of as many
// cells as the header, and reads as the end of a listing. A quote that is not around a cell may belong to one that runs over lines: no foot.
func isFooter(line string, f frame) bool {
	cells := strings.Split(line, string(f.delimiter))
	for i, cell := range cells {
		cells[i] = quotedWhole.ReplaceAllString(cell, "$1")
	}
	alone := len(cells) == 1
	if len(f.header) < 2 || strings.Contains(strings.Join(cells, ""), `"`) || !alone && len(cells) != len(f.header) {
		return false
	}
	for _, cell := range cells[1:] {
		if strings.TrimSpace(cell) != "" {
			return false
		}
	}
	first := strings.TrimSpace(cells[0])
	words := strings.Join(strings.Fields(strings.Trim(first, "-=*#~_()[]<>. ")), " ")
	if words == "" {
		return alone && len(first) >= 3
	}
	return footCount.MatchString(words) || alone && footWords.MatchString(words)
}

// findHeader finds the first line that names all that must be there, else the first that names at least half
// as many of its columns as any other line does, and the delimiter under which it does. It gives the header's length too.
func findHeader(head []byte, names names, d Dialect) (frame, int, error) {
	var best frame
	most, length := 0, 0
	at := 0
	for line := 0; line <= max(mostLinesBefore, d.Skip) && at < len(head); line++ {
		if d.Skip == 0 || line == d.Skip {
			delimiter, headings, bytesOf := headerAt(head[at:], names, d)
			n, whole := recognised(headings), names.whole(headings)
			if whole || n > 2*most && (line == d.Skip || plainHeader(headings, n)) {
				best, most, length = frame{delimiter: delimiter, header: headings, from: int64(at), before: line}, n, bytesOf
			}
			if whole || line == d.Skip && d.Skip > 0 {
				break
			}
		}
		at += lineLength(head[at:])
	}
	if most == 0 {
		return frame{}, 0, noHeader(names, d)
	}
	if len(best.header) > mostColumns {
		return frame{}, 0, fmt.Errorf("record 1: the header has %d cells, at most %d are read; remove columns that nothing needs", len(best.header), mostColumns)
	}
	if twice := repeatedColumn(best.header); twice != "" && names.layout == nil {
		return frame{}, 0, fmt.Errorf("record 1: column %s stands twice in the header; remove or rename one", twice)
	}
	return best, length, nil
}

// plainHeader says that a line that is not the first is a header all the same: more than one of its cells name columns, and
// at least half of those that are filled.
func plainHeader(headings []Heading, recognised int) bool {
	filled := 0
	for _, h := range headings {
		if strings.TrimSpace(h.Text) != "" {
			filled++
		}
	}
	return recognised > 1 && 2*recognised >= filled
}

// mostColumns bounds a header: as many as a spreadsheet has.
const mostColumns = 16384

// lineLength is the length of a text's first line, its end included.
func lineLength(text []byte) int {
	at := bytes.IndexAny(text, "\r\n")
	switch {
	case at < 0:
		return len(text)
	case bytes.HasPrefix(text[at:], []byte("\r\n")):
		return at + 2
	}
	return at + 1
}
