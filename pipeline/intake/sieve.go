package intake

import (
	"bufio"
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// sift takes the records out of the plain text in which something stands after a quoted cell, as in "a"b,c: the engine's reader
// cuts some of them in two, delivers the second half as a row, and loses their text. They leave an empty line, so that the
// numbers of the others stay, and go with their own number and text to a file beside, which StageSQL adds to the rejects.
func (s *Source) sift(to scratch) error {
	beside := filepath.Join(to.folder, fmt.Sprintf("broken-%d.csv", to.number))
	out, err := os.OpenFile(beside, os.O_CREATE|os.O_TRUNC|os.O_WRONLY, 0o600)
	if err != nil {
		return fmt.Errorf("scratch copy of %s: %w", s.Name, err)
	}
	f, err := os.Open(s.Plain)
	if err != nil {
		return errors.Join(fmt.Errorf("cannot be read: %w", err), out.Close())
	}
	defer f.Close()
	kept, write := io.Pipe()
	go func() {
		sieve := sieve{walker: walker{delimiter: byte(s.Delimiter)}, kept: bufio.NewWriter(write), broken: bufio.NewWriter(out)}
		write.CloseWithError(sieve.run(f))
	}()
	s.broken = beside
	err = s.rewrite(kept, to, "sifted")
	return errors.Join(err, kept.Close(), out.Close())
}

// sieve goes through a text record by record.
type sieve struct {
	walker walker
	record bytes.Buffer // what has come of this record; intake bounds its length
	kept   *bufio.Writer
	broken *bufio.Writer // number and text in hexadecimal digits, which no dialect can hurt
}

func (s *sieve) run(r io.Reader) error {
	err := eachLine(r, nil, s.line)
	if s.record.Len() > 0 {
		s.end(s.walker.broken, false)
	}
	return errors.Join(err, s.broken.Flush(), s.kept.Flush())
}

func (s *sieve) line(part []byte, whole bool) {
	before := s.walker.count.Broken
	number := s.walker.number
	s.record.Write(part)
	s.walker.line(part, whole)
	switch {
	case s.walker.number > number:
		s.end(s.walker.count.Broken > before, true)
	case whole:
		s.record.WriteByte('\n')
	}
}

// end takes a record that has ended: to what is kept, or beside. The first is the header. Writers keep their error to the end.
func (s *sieve) end(broken, lineEnd bool) {
	number := s.walker.number
	if !lineEnd {
		number++
	}
	text := s.record.Bytes()
	if broken && number > 1 {
		body := bytes.TrimSuffix(text, carriageReturn)
		_, _ = fmt.Fprintf(s.broken, "%d,%x\n", number, body)
		text = text[len(body):]
	}
	_, _ = s.kept.Write(text)
	if lineEnd {
		_ = s.kept.WriteByte('\n')
	}
	s.record.Reset()
}

// brokenSQL adds the records that were taken out to the rejects.
func (s Source) brokenSQL(rejects string) string {
	if s.broken == "" {
		return ""
	}
	return fmt.Sprintf(`; insert into %s (line, csv_line) select n, decode(unhex(t)) from read_csv(%s, auto_detect = false, header = false,
		delim = ',', max_line_size = %d, columns = {'n': 'bigint', 't': 'varchar'})`, rejects, pathSQL(s.broken), lineLimit(2*s.Longest))
}
