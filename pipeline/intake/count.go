package intake

import (
	"bytes"
	"errors"
	"fmt"
	"io"
)

// count is what one pass over the bytes of a plain file tells, without looking at cells: how many records follow the
// header, which are blank, and how long the longest is. The engine must deliver as many, or the load is given up:
// that is how a row that the engine's reader would drop in silence is noticed.
type count struct {
	Records int64   // records after the header that are not blank
	Blank   []int64 // numbers of blank records; the header is 1, blank records count
	Longest int     // bytes of the longest record
}

// countRecords walks the lines; a line end inside quotes belongs to its record.
func countRecords(r io.Reader) (count, error) {
	var c count
	var number int64
	length, inside := 0, false
	err := eachLine(r, func(line []byte, whole bool) {
		length += len(line)
		if bytes.Count(line, quote)%2 == 1 {
			inside = !inside
		}
		if inside || !whole {
			return
		}
		number++
		c.end(number, length)
		length = 0
	})
	return c, err
}

var quote = []byte{'"'}

func (c *count) end(number int64, length int) {
	switch {
	case length == 0:
		c.Blank = append(c.Blank, number)
	case number > 1:
		c.Records++
	}
	c.Longest = max(c.Longest, length)
}

// eachLine gives each line without its end; a line longer than a block comes in parts, the last of them whole.
func eachLine(r io.Reader, line func(part []byte, whole bool)) error {
	block := make([]byte, blockSize)
	rest := 0
	for {
		n, err := io.ReadFull(r, block[rest:])
		n += rest
		if err != nil && !errors.Is(err, io.EOF) && !errors.Is(err, io.ErrUnexpectedEOF) {
			return fmt.Errorf("cannot be read: %w", err)
		}
		start := 0
		for {
			at := bytes.IndexByte(block[start:n], '\n')
			if at < 0 {
				break
			}
			line(bytes.TrimSuffix(block[start:start+at], []byte{'\r'}), true)
			start += at + 1
		}
		if err != nil {
			if start < n {
				line(bytes.TrimSuffix(block[start:n], []byte{'\r'}), true)
			}
			return nil
		}
		if start == 0 {
			line(block[:n], false)
			start = n
		}
		rest = copy(block, block[start:n])
	}
}
