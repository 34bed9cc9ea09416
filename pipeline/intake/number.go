package intake

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
)

// The engine reads a file with several threads and tells no row its place, and numbering rows afterwards takes all of them through
// one thread or through another table. So the number is written before each record, in a copy: that takes a twentieth of what the
// reading takes.

// Numbered are two files of a source's records, with its delimiter, each record's number being the first of its cells: all of
// them, and those at both ends, which tell from when to when a log is. In both the header comes first, which is record 1.
type Numbered struct{ All, Ends string }

// EndRecords is how many records are at each end.
const EndRecords = 512

// Number writes the two files into the scratch folder under the number given. The source is Simple.
func (s Source) Number(folder string, number int) (Numbered, error) {
	n := Numbered{filepath.Join(folder, fmt.Sprintf("numbered-%d.csv", number)), filepath.Join(folder, fmt.Sprintf("ends-%d.csv", number))}
	f, err := os.Open(s.Plain)
	if err != nil {
		return n, fmt.Errorf("cannot be read: %w", err)
	}
	defer f.Close()
	w := numbering{walker: walker{delimiter: byte(s.Delimiter)}, records: s.Records, fresh: true}
	for i, path := range []string{n.All, n.Ends} {
		if w.out[i].file, err = os.OpenFile(path, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600); err != nil {
			return n, fmt.Errorf("scratch copy of %s: %w", s.Name, errors.Join(err, w.close()))
		}
	}
	if err := errors.Join(eachLine(f, nil, w.line), w.close()); err != nil {
		return n, fmt.Errorf("scratch copy of %s: %w", s.Name, err)
	}
	return n, nil
}

// numbering goes through a text record by record.
type numbering struct {
	walker  walker
	records int64
	fresh   bool      // a record begins
	out     [2]gather // for all records, and for those at the ends
}

func (n *numbering) line(part []byte, whole bool) {
	if len(part) == 0 && !whole {
		return
	}
	before := n.walker.number
	for i := range n.out {
		if i == 0 || before <= EndRecords || before > n.records-EndRecords {
			n.out[i].take(part, whole, before+1, n.walker.delimiter, n.fresh)
		}
	}
	if n.fresh && whole && bytes.IndexByte(part, '"') < 0 {
		n.walker.length = len(part)
		n.walker.end(bare)
	} else {
		n.walker.line(part, whole)
	}
	n.fresh = n.walker.number > before
}

func (n *numbering) close() (err error) {
	for i := range n.out {
		err = errors.Join(err, n.out[i].close())
	}
	return err
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
	if g.file == nil {
		return nil
	}
	g.flush()
	return errors.Join(g.err, g.file.Close())
}
