package intake

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"os"
	"strings"

	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

// Source is an export that is understood: what it holds, and how the engine must read it.
type Source struct {
	Name      string // path below the folder that was asked for
	Plain     string // file of the same text in UTF-8, which the engine reads
	Table     records.Table
	SHA256    string // of the file as it came
	Bytes     int64
	Encoding  string
	Delimiter rune
	Header    []Heading
	Records   int64   // records after the header that are not blank
	Blank     []int64 // numbers of blank records; the header is record 1
	Longest   int     // bytes of the longest record
	copied    bool    // Plain is a copy in the scratch folder
}

// Inspect reads a candidate's bytes and tells all that the engine is told. Text in another encoding is copied as UTF-8
// into the scratch folder under the number given.
func Inspect(c Candidate, scratch string, number int) (Source, error) {
	s := Source{Name: c.Name, Table: c.Table, Bytes: c.Bytes}
	var err error
	if s.Encoding, err = tellEncoding(c.Path); err != nil {
		return s, err
	}
	if s.Plain, s.copied, err = plainText(c.Path, s.Encoding, scratch, number); err != nil {
		return s, err
	}
	var counted count
	if counted, err = s.measure(c.Path); err != nil {
		return s, fmt.Errorf("%s: %w", c.Name, err)
	}
	s.Records, s.Blank, s.Longest = counted.Records, counted.Blank, counted.Longest
	if counted.Mixed {
		s.Plain, err = unified(s.Plain, scratch, number)
	}
	return s, err
}

// measure reads the header of the plain text, counts its records, and hashes the file as it came; where both are one file
// its bytes are read once.
func (s *Source) measure(original string) (count, error) {
	f, err := os.Open(s.Plain)
	if err != nil {
		return count{}, err
	}
	defer f.Close()
	if err := s.readHeader(f); err != nil {
		return count{}, err
	}
	if _, err := f.Seek(0, io.SeekStart); err != nil {
		return count{}, err
	}
	hash := sha256.New()
	var r io.Reader = f
	if s.copied {
		if err := hashFile(hash, original); err != nil {
			return count{}, err
		}
	} else {
		r = io.TeeReader(f, hash)
	}
	counted, err := countRecords(r, s.Delimiter)
	s.SHA256 = hex.EncodeToString(hash.Sum(nil))
	return counted, err
}

func hashFile(to io.Writer, path string) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	_, err = io.Copy(to, f)
	return err
}

// longestHeader bounds the bytes in which a header is looked for.
const longestHeader = 1 << 20

func (s *Source) readHeader(f io.Reader) error {
	head, err := io.ReadAll(io.LimitReader(f, longestHeader))
	if err != nil {
		return fmt.Errorf("cannot be read: %w", err)
	}
	if len(head) == 0 {
		return foreign{fmt.Sprintf("is empty; expected a header that names columns of table %s", s.Table.Name)}
	}
	s.Delimiter, s.Header, err = readHeader(head, s.Table)
	return err
}

// Unread lists the header's cells that name no column of the table: their cells are not read.
func (s Source) Unread() []string {
	var texts []string
	for _, h := range s.Header {
		if h.Column == "" {
			texts = append(texts, h.Text)
		}
	}
	return texts
}

// StageSQL is the statement by which the engine reads the file into a temporary table: one varchar column c0, c1, … for
// each cell of the header, rows in the order of the file. Records with too few or too many cells, or with broken quotes,
// go to the temporary table named rejects, with their number as `line` and their text as `csv_line`. Empty cells stay
// empty text.
func (s Source) StageSQL(table, rejects string) string {
	columns := make([]string, len(s.Header))
	for i := range s.Header {
		columns[i] = fmt.Sprintf("'c%d': 'varchar'", i)
	}
	return fmt.Sprintf(`create or replace temp table %s as select * from read_csv(%s, auto_detect = false, header = true,
		delim = %s, quote = '"', escape = '"', nullstr = %s, store_rejects = true, rejects_table = %s, rejects_scan = %s,
		max_line_size = %d, columns = {%s})`, table, store.Literal(s.Plain), store.Literal(string(s.Delimiter)), store.Literal(impossible),
		store.Literal(rejects), store.Literal(rejects+"_scan"), max(s.Longest*2+16, 1<<21), strings.Join(columns, ", "))
}

// impossible is text that no export holds: what the engine takes for NULL.
const impossible = "\x01\x02\x01"

// Column gives the staged column that holds a column of the table, and the unit its header carries.
func (s Source) Column(name string) (staged, unit string, ok bool) {
	for i, h := range s.Header {
		if h.Column == name {
			return fmt.Sprintf("c%d", i), h.Unit, true
		}
	}
	return "", "", false
}
