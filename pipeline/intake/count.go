package intake

import (
	"bytes"
	"errors"
	"fmt"
	"io"
)

// count is what one pass over the bytes of a plain file tells, without looking at cells: how many records follow the
// header, which are blank, how long the longest is, and whether records end in more than one way. The engine must deliver as
// many, or the load is given up: that is how a row that the engine's reader would drop in silence is noticed.
type count struct {
	Records int64   // records after the header that are not blank
	Bytes   int64   // of the whole text
	Blank   []int64 // numbers of blank records; the header is 1, blank records count
	Longest int     // bytes of the longest record
	Spread  bool    // some record goes over several lines
	Mixed   bool    // some records end with a line feed, others with a carriage return too, or with that alone

	head, tail place // where the first records end, and the last begin: see EndRecords

	LongestAt  int64 // number of the longest record
	Misread    bool  // somewhere stands what the engine alone would read as a number: see misread
	Broken     int64 // records in which something stands after a quoted cell
	brokenHead bool  // the header is one
	slashes    bool  // a quote after a backslash closed a cell after which more text stands
	doubled    bool  // a quote was escaped by another, with no backslash before them
}

// backslashed says that quotes are escaped by backslashes: read as doubled ones they break cells, and none is doubled.
func (c count) backslashed() bool { return c.slashes && !c.doubled }

// countRecords walks the records of a file whose cells are parted by the delimiter.
func countRecords(r io.Reader, delimiter rune) (count, error) {
	w := walker{delimiter: byte(delimiter)}
	err := eachLine(r, w.run, w.line)
	if w.length > 0 {
		w.end(unended)
	}
	if err == nil && w.quoted {
		err = fmt.Errorf("record %d: a quote is opened and never closed; close it or remove it", w.number)
	}
	if err == nil && w.count.brokenHead && !w.count.backslashed() {
		err = errors.New("record 1: something stands after a quoted cell of the header; mend the quotes")
	}
	w.count.Bytes = w.passed
	w.count.Mixed = w.ends[bare] && w.ends[paired] || w.ends[single]
	return w.count, err
}

// place is before a record of a file: how many records and bytes come before it.
type place struct{ records, bytes int64 }

// walker goes from record to record as the engine's reader does: a record ends at a line feed, at a carriage return or at
// both together, unless it stands in a quoted cell. A quote opens a cell only at the cell's first place, before which one blank
// may stand, so that the inches of `3.5" tube` are text.
type walker struct {
	delimiter byte
	count     count
	number    int64 // of the record before
	passed    int64 // bytes before this record
	mark      place // the last place in whole EndRecords
	length    int   // bytes of this record so far
	quoted    bool  // inside a quoted cell
	closed    bool  // a quoted cell was closed just before, but for blanks
	slashed   bool  // by a quote that stands after a backslash
	broken    bool  // something stands after a quoted cell of this record
	last      byte  // the last byte of this record that is no blank, 0 where there is none
	blanks    int   // how many blanks follow that
	ends      [4]bool
}

// The ways in which a record ends: a line feed, one after a carriage return, a carriage return, the end of the file; and in how
// many bytes.
const (
	bare = iota
	paired
	single
	unended
)

var endBytes = [...]int64{bare: 1, paired: 2, single: 1, unended: 0}

// run takes whole lines at once where each is a record: no quote is in them, and no carriage return but before line feeds.
func (w *walker) run(lines []byte) bool {
	returns := bytes.Count(lines, carriageReturn)
	if w.quoted || w.length > 0 || bytes.IndexByte(lines, '"') >= 0 || returns > 0 && returns != bytes.Count(lines, []byte("\r\n")) {
		return false
	}
	body := lines
	if w.number == 0 {
		body = lines[bytes.IndexByte(lines, '\n')+1:]
	}
	for len(lines) > 0 {
		at, way := bytes.IndexByte(lines, '\n'), bare
		if w.length = at; at > 0 && lines[at-1] == '\r' {
			w.length, way = at-1, paired
		}
		w.end(way)
		lines = lines[at+1:]
	}
	w.count.Misread = w.count.Misread || misread(body)
	return true
}

// line takes what stands up to a line feed, or a part of it.
func (w *walker) line(part []byte, whole bool) {
	body := part
	if whole {
		body = bytes.TrimSuffix(part, carriageReturn)
	}
	w.walk(body)
	switch {
	case !whole:
	case w.quoted:
		w.count.Spread = true
		w.pass(lineFeed)
		w.length += len(part) - len(body)
	case len(body) < len(part):
		w.end(paired)
	default:
		w.end(bare)
	}
}

var carriageReturn, lineFeed = []byte{'\r'}, []byte{'\n'}

func (w *walker) walk(part []byte) {
	for {
		at := w.next(part)
		if at < 0 {
			w.pass(part)
			return
		}
		w.pass(part[:at])
		if part[at] == '\r' {
			w.end(single)
		} else {
			w.quote()
		}
		part = part[at+1:]
	}
}

// next is the place of the next byte that matters here: a quote, or outside quotes a carriage return too.
func (w *walker) next(part []byte) int {
	quote := bytes.IndexByte(part, '"')
	if w.quoted {
		return quote
	}
	before := part
	if quote >= 0 {
		before = part[:quote]
	}
	if end := bytes.IndexByte(before, '\r'); end >= 0 {
		return end
	}
	return quote
}

// quote opens or closes a quoted cell; a quote right after a closing one is an escaped quote, and the cell goes on.
func (w *walker) quote() {
	switch {
	case w.quoted:
		w.quoted, w.closed, w.slashed = false, true, w.last == '\\' && w.blanks == 0
	case w.closed || (w.last == 0 || w.last == w.delimiter) && w.blanks <= 1:
		w.count.doubled = w.count.doubled || w.closed && w.blanks == 0 && !w.slashed
		w.broken = w.broken || w.closed && w.blanks > 0
		w.quoted, w.closed = true, false
	}
	w.length++
	w.last, w.blanks = '"', 0
}

func (w *walker) pass(part []byte) {
	w.length += len(part)
	w.count.Misread = w.count.Misread || w.number > 0 && misread(part)
	w.count.Spread = w.count.Spread || w.quoted && bytes.IndexByte(part, '\r') >= 0
	text := bytes.TrimRight(part, " ")
	if len(text) > 0 {
		if w.closed && bytes.TrimLeft(text, " ")[0] != w.delimiter {
			w.broken, w.count.slashes = true, w.count.slashes || w.slashed
		}
		w.last, w.blanks, w.closed = text[len(text)-1], 0, false
	}
	w.blanks += len(part) - len(text)
}

// misread says that the text holds what the engine takes into a number and nobody else does: digits parted by an underscore, or a
// plus before a minus.
func misread(text []byte) bool { return bytes.Contains(text, []byte("+-")) || partsDigits(text) }

// partsDigits says that an underscore stands between two digits.
func partsDigits(text []byte) bool {
	for {
		at := bytes.IndexByte(text, '_')
		if at < 0 {
			return false
		}
		if at > 0 && at+1 < len(text) && isDigit(text[at-1]) && isDigit(text[at+1]) {
			return true
		}
		text = text[at+1:]
	}
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

func (w *walker) end(way int) {
	w.number++
	w.passed += int64(w.length) + endBytes[way]
	w.ends[way] = true
	if w.number%EndRecords == 0 {
		w.count.tail, w.mark = w.mark, place{w.number, w.passed}
	}
	if w.number == 1+EndRecords {
		w.count.head = place{w.number, w.passed}
	}
	switch {
	case w.length == 0:
		w.count.Blank = append(w.count.Blank, w.number)
	case w.number > 1:
		w.count.Records++
	}
	if w.broken {
		w.count.Broken++
		w.count.brokenHead = w.count.brokenHead || w.number == 1
	}
	if w.length > w.count.Longest {
		w.count.Longest, w.count.LongestAt = w.length, w.number
	}
	w.length, w.last, w.blanks, w.closed, w.broken = 0, 0, 0, false, false
}

// eachLine gives each line without its line feed, unless run, which may be nil, takes whole lines at once; a line longer than a block comes in parts, the last of them whole, and
// what stands after the last line feed is not whole. Text holds no zero byte.
func eachLine(r io.Reader, run func(lines []byte) bool, line func(part []byte, whole bool)) error {
	block := make([]byte, blockSize)
	rest := 0
	for {
		n, err := io.ReadFull(r, block[rest:])
		n += rest
		if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
			return fmt.Errorf("cannot be read: %w", err)
		}
		if bytes.IndexByte(block[rest:n], 0) >= 0 {
			return errZeros
		}
		start := 0
		if end := bytes.LastIndexByte(block[:n], '\n') + 1; end > 0 && run != nil && run(block[:end]) {
			start = end
		}
		for {
			at := bytes.IndexByte(block[start:n], '\n')
			if at < 0 {
				break
			}
			line(block[start:start+at], true)
			start += at + 1
		}
		if err != nil {
			line(block[start:n], false)
			return nil
		}
		if start == 0 {
			start = len(bytes.TrimSuffix(block[:n], carriageReturn)) // a line feed may follow in the next block
			line(block[:start], false)
		}
		rest = copy(block, block[start:n])
	}
}
