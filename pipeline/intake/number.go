package intake

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
)

// The engine reads a file with several threads and tells no row its place, and numbering rows afterwards takes all of them through
// one thread or through another table. So the number is written before each record, in a copy: that takes a twentieth of what the
// reading takes.

// EndRecords is how many records at least are at each end of a source's ends.
const EndRecords = 512

// Number writes a copy of the source into the scratch folder under the number given and tells its path: its records, each record's
// number being the first of its cells. The header comes first, which is record 1. The source is Simple.
func (s Source) Number(folder string, number int) (string, error) {
	return s.numbered(filepath.Join(folder, fmt.Sprintf("numbered-%d.csv", number)), span{place{}, math.MaxInt64})
}

// NumberEnds does the same for the records at both ends alone, which tell from when to when a log is. It reads no others.
func (s Source) NumberEnds(folder string, number int) (string, error) {
	path := filepath.Join(folder, fmt.Sprintf("ends-%d.csv", number))
	if s.tail.bytes <= s.head.bytes {
		return s.numbered(path, span{place{}, math.MaxInt64})
	}
	return s.numbered(path, span{place{}, s.head.bytes}, span{s.tail, math.MaxInt64})
}

// span is whole records of a file, up to a byte.
type span struct {
	from place
	to   int64
}

func (s Source) numbered(path string, spans ...span) (string, error) {
	f, err := os.Open(s.Plain)
	if err != nil {
		return "", fmt.Errorf("cannot be read: %w", err)
	}
	defer f.Close()
	var out gather
	if out.file, err = os.OpenFile(path, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600); err != nil {
		return "", fmt.Errorf("scratch copy of %s: %w", s.Name, err)
	}
	for _, p := range spans {
		n := numbering{walker: walker{delimiter: byte(s.Delimiter), number: p.from.records}, fresh: true, out: &out}
		err = errors.Join(err, eachLine(io.NewSectionReader(f, p.from.bytes, p.to-p.from.bytes), nil, n.line))
	}
	if err = errors.Join(err, out.close()); err != nil {
		os.Remove(path) // a full disk is the likeliest cause
		return "", fmt.Errorf("scratch copy of %s: %w", s.Name, err)
	}
	return path, nil
}

// numbering goes through a text record by record.
type numbering struct {
	walker walker
	fresh  bool // a record begins
	out    *gather
}

func (n *numbering) line(part []byte, whole bool) {
	if len(part) == 0 && !whole {
		return
	}
	before := n.walker.number
	n.out.take(part, whole, before+1, n.walker.delimiter, n.fresh)
	if n.fresh && whole && bytes.IndexByte(part, '"') < 0 {
		n.walker.length = len(part)
		n.walker.end(bare)
	} else {
		n.walker.line(part, whole)
	}
	n.fresh = n.walker.number > before
}

// gather writes to a file in large pieces and keeps the first error to the end.
type gather struct {
	file *os.File
	kept []byte
	err  error
}

func (g *gather) take(part []byte, whole bool, number int64, delimiter byte, fresh bool) {
	if fresh {
		g.kept = append(strconv.AppendInt(g.kept, number, 10), delimiter)
	}
	g.kept = append(g.kept, part...)
	if whole {
		g.kept = append(g.kept, '\n')
	}
	if len(g.kept) >= blockSize {
		g.flush()
	}
}

func (g *gather) flush() {
	if g.err == nil {
		_, g.err = g.file.Write(g.kept)
	}
	g.kept = g.kept[:0]
}

func (g *gather) close() error {
	g.flush()
	return errors.Join(g.err, g.file.Close())
}
