package intake

import "golang.org/x/text/transform"

// doubling turns quotes that a backslash escapes inside quoted cells into doubled ones, which is what the engine and the
// count of records are told to expect: \" becomes "", \\ becomes \. A backslash before anything else, or outside quotes, is
// text.
type doubling struct {
	delimiter byte
	quoted    bool
	inside    bool // a cell has begun: a quote is text
}

func (d *doubling) Reset() { d.quoted, d.inside = false, false }

func (d *doubling) Transform(dst, src []byte, atEOF bool) (written, read int, err error) {
	for read < len(src) {
		if written+2 > len(dst) {
			return written, read, transform.ErrShortDst
		}
		b := src[read]
		if d.quoted && b == '\\' {
			if read+1 == len(src) && !atEOF {
				return written, read, transform.ErrShortSrc
			}
			if read+1 < len(src) && (src[read+1] == '"' || src[read+1] == '\\') {
				written += copy(dst[written:], escapedAs(src[read+1]))
				read += 2
				continue
			}
		}
		d.step(b)
		dst[written] = b
		written, read = written+1, read+1
	}
	return written, read, nil
}

func escapedAs(b byte) string {
	if b == '"' {
		return `""`
	}
	return `\`
}

// step follows whether the next byte stands in a quoted cell; a blank before a quote opens a cell no less.
func (d *doubling) step(b byte) {
	switch {
	case d.quoted:
		d.quoted = b != '"'
	case b == '"' && !d.inside:
		d.quoted, d.inside = true, true
	case b == d.delimiter || b == '\n' || b == '\r':
		d.inside = false
	case b != ' ':
		d.inside = true
	}
}
