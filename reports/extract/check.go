package extract

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"sync"

	"tripwake/queries"
)

// Check reads a finished extract back, every file of it, and fails at the first thing that must not be there:
//
//   - a text cell that is neither one of its column's codes nor a pseudonym of the right form, or that equals a text of the
//     store that could name somebody, whatever its length;
//   - a whole number of six digits or more that equals such a text, and a number so large that it could be a moment;
//   - in the codebook, the manifest and the files' own descriptions, such a text of five bytes or more that is not all
//     digits, in any letter case, unless it is a word of the program's own descriptions; and anything like a date or an hour.
//
// Words of the descriptions themselves ("cardiac", "oxygen") are never taken for identifiers: they give nothing away.
func Check(dir string, tables []queries.ReleasedTable, identifiers []queries.Identifying) error {
	s := newSearch(tables, identifiers)
	looks := make([]func() error, len(tables))
	for i, t := range tables {
		looks[i] = func() error { return s.table(dir, t) }
	}
	if err := together(looks); err != nil {
		return err
	}
	return s.documents(dir)
}

// table looks at the three files of a table.
func (s *search) table(dir string, t queries.ReleasedTable) error {
	looks := make([]func() error, len(endings))
	for i, read := range []func(string, queries.ReleasedTable, *search) error{readParquet, readArrow, readCSV} {
		looks[i] = func() error {
			name := t.Name + endings[i]
			if err := read(filepath.Join(dir, name), t, s); err != nil {
				return fmt.Errorf("%s: %w", name, err)
			}
			return nil
		}
	}
	return together(looks)
}

// documents looks at what an extract holds beside its tables.
func (s *search) documents(dir string) error {
	for _, name := range []string{"codebook.csv", "codebook.html", manifestFile} {
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			return err
		}
		if err := s.document(string(text)); err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
	}
	return nil
}

// together does work of which no part changes what another uses, as many parts at a time as there are processors, and gives
// the error of the first part that failed, in their order.
func together(parts []func() error) error {
	failed, places := make([]error, len(parts)), make(chan struct{}, runtime.GOMAXPROCS(0))
	var all sync.WaitGroup
	for i, part := range parts {
		all.Go(func() {
			places <- struct{}{}
			failed[i] = part()
			<-places
		})
	}
	all.Wait()
	for _, err := range failed {
		if err != nil {
			return err
		}
	}
	return nil
}

// Bounds of the search: see Check.
const (
	shortestSearched = 5   // bytes of a text that is searched inside documents
	smallestNumber   = 1e5 // whole numbers from here on are held against identifiers
	largestNumber    = 1e8 // numbers from here on could be seconds since 1970
)

var (
	digitsOnly = regexp.MustCompile(`^[0-9]+$`)
	momentLike = regexp.MustCompile(`\b[0-9]{4}-[0-9]{1,2}-[0-9]{1,2}\b|\b[0-9]{1,2}[./][0-9]{1,2}[./][0-9]{4}\b|\b[0-9]{1,2}/[0-9]{1,2}/[0-9]{2}\b|\b[0-9]{1,2}:[0-9]{2}(:[0-9]{2})?\b`)
	hashLike   = regexp.MustCompile(`\b[0-9a-f]{64}\b`)
)

// search knows the texts that must not be found and the words that may.
type search struct {
	places  map[string]string // identifier, lower case: the column of the store that holds it
	words   map[string]bool   // codes of all columns
	prose   string            // the program's own descriptions, lower case
	lengths []int             // of the identifiers that documents are searched for
}

func newSearch(tables []queries.ReleasedTable, identifiers []queries.Identifying) *search {
	s := &search{places: make(map[string]string, len(identifiers)), words: map[string]bool{}, prose: strings.ToLower(codebookHTML + Model + ownWords)}
	for _, t := range tables {
		s.prose += " " + strings.ToLower(t.Name+" "+t.Meaning)
		for _, c := range t.Columns {
			s.prose += " " + strings.ToLower(strings.Join([]string{c.Name, c.Meaning, c.Source, string(c.Privacy), string(c.Kind), c.Unit, strings.Join(c.Codes, " ")}, " "))
			for _, code := range c.Codes {
				s.words[code] = true
			}
		}
	}
	s.learn(identifiers)
	return s
}

// ownWords are the words of the manifest's keys and of the files' names, which no identifier search may stumble over.
const ownWords = ` transports episodes alarms gas power missing codebook manifest parquet arrow program version kind tripwake extract
	inputs_sha256 store_sha256 settings_sha256 cohort_sha256 age_limits_days weight_limits_grams year_told classes asked_for
	quasi_identifiers released left_out smallest_before in_smaller_before smallest in_smaller steps column change tables rows columns
	outputs file sha256 bytes definitions table meaning settings development codes counts source privacy false true filled empty withheld `

func (s *search) learn(identifiers []queries.Identifying) {
	lengths := map[int]bool{}
	for _, one := range identifiers {
		text := strings.ToLower(one.Text)
		s.places[text] = one.Place
		if len(text) >= shortestSearched && !lengths[len(text)] && !digitsOnly.MatchString(text) && !strings.Contains(s.prose, text) {
			lengths[len(text)] = true
			s.lengths = append(s.lengths, len(text))
		}
	}
}

// cell looks at a text cell of a column.
func (s *search) cell(c queries.ResearchColumn, text string) error {
	if s.words[text] && c.Kind == queries.CodeColumn {
		return nil
	}
	if place, ok := s.places[strings.ToLower(text)]; ok {
		return fmt.Errorf("column %s: a cell equals a text of %s", c.Name, place)
	}
	if c.Privacy == queries.Pseudonym && isPseudonym(text) {
		return nil
	}
	if err := s.document(text); err != nil {
		return fmt.Errorf("column %s: %w", c.Name, err)
	}
	return fmt.Errorf("column %s: a cell is none of the column's codes", c.Name)
}

// isPseudonym says whether a text is a T or a P and 16 hex digits.
func isPseudonym(text string) bool {
	return len(text) == 17 && (text[0] == 'T' || text[0] == 'P') && strings.Trim(text[1:], "0123456789abcdef") == ""
}

// number looks at a cell of a column of numbers.
func (s *search) number(c queries.ResearchColumn, v float64) error {
	if v >= largestNumber || v <= -largestNumber {
		return fmt.Errorf("column %s: a number is so large that it could be a moment", c.Name)
	}
	if v < smallestNumber || v != float64(int64(v)) {
		return nil
	}
	if place, ok := s.places[fmt.Sprint(int64(v))]; ok {
		return fmt.Errorf("column %s: a number equals a text of %s", c.Name, place)
	}
	return nil
}

// document looks for identifiers anywhere in a text, and for moments. Hashes are passed over.
func (s *search) document(text string) error {
	text = hashLike.ReplaceAllString(text, "")
	if found := momentLike.FindString(text); found != "" {
		return fmt.Errorf("holds %q, which could be a date or an hour", found)
	}
	text = strings.ToLower(text)
	for _, length := range s.lengths {
		for at := 0; at+length <= len(text); at++ {
			part := text[at : at+length]
			if place, ok := s.places[part]; ok && !digitsOnly.MatchString(part) && !strings.Contains(s.prose, part) {
				return fmt.Errorf("holds a text of %s", place)
			}
		}
	}
	return nil
}
