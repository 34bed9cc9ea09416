package intake

import (
	"encoding/csv"
	"fmt"
	"strings"

	"tripwake/pipeline/records"
)

// Heading is one cell of a header: the text as it stands, the column of the table it names (empty if none), and the unit
// it carries (empty if none).
type Heading struct {
	Text   string
	Column string
	Unit   string
}

// delimiters that are tried, the commonest first: of two that recognise as many columns the first is taken.
var delimiters = []rune{',', ';', '\t', '|'}

// readHeader finds the delimiter under which most cells of the header name columns of the table.
func readHeader(line string, table records.Table) (rune, []Heading, error) {
	var best []Heading
	var delimiter rune
	most := 0
	for _, d := range delimiters {
		headings := split(line, d, table)
		if n := recognised(headings); n > most {
			best, delimiter, most = headings, d, n
		}
	}
	if most == 0 {
		return 0, nil, fmt.Errorf("record 1: the header names no column of table %s; expected names such as %s", table.Name, strings.Join(table.Names()[:min(3, len(table.Columns))], ", "))
	}
	if twice := repeatedColumn(best); twice != "" {
		return 0, nil, fmt.Errorf("record 1: column %s stands twice in the header; remove or rename one", twice)
	}
	return delimiter, best, nil
}

func split(line string, delimiter rune, table records.Table) []Heading {
	r := csv.NewReader(strings.NewReader(line))
	r.Comma = delimiter
	r.LazyQuotes = true
	cells, err := r.Read()
	if err != nil {
		return nil
	}
	headings := make([]Heading, len(cells))
	for i, text := range cells {
		headings[i] = parseHeading(text, table)
	}
	return headings
}

// parseHeading reads `start_pressure (psi)`, `temperature [degF]`, `pip (cm[H2O])`: a name, then a unit in brackets.
func parseHeading(text string, table records.Table) Heading {
	name, unit := strings.TrimSpace(text), ""
	if at := strings.IndexAny(name, "(["); at > 0 {
		inner := strings.TrimSpace(name[at:])
		if closes(inner) {
			name, unit = strings.TrimSpace(name[:at]), strings.TrimSpace(inner[1:len(inner)-1])
		}
	}
	folded := strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(name))
	if _, ok := table.Column(folded); !ok {
		return Heading{Text: text}
	}
	return Heading{text, folded, unit}
}

func closes(bracketed string) bool {
	return len(bracketed) > 2 && (bracketed[0] == '(' && strings.HasSuffix(bracketed, ")") || bracketed[0] == '[' && strings.HasSuffix(bracketed, "]"))
}

func recognised(headings []Heading) int {
	n := 0
	for _, h := range headings {
		if h.Column != "" {
			n++
		}
	}
	return n
}

func repeatedColumn(headings []Heading) string {
	seen := map[string]bool{}
	for _, h := range headings {
		if h.Column != "" && seen[h.Column] {
			return h.Column
		}
		seen[h.Column] = true
	}
	return ""
}
