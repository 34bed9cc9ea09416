package intake

import (
	"encoding/csv"
	"strings"

	"tripwake/pipeline/records"
	"tripwake/pipeline/units"
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

// headerAt reads the first record of a text as a header, under the delimiter by which most of its cells name columns of
// the table, and gives the record's length.
func headerAt(text []byte, n names, d Dialect) (delimiter rune, best []Heading, length int) {
	tried := delimiters
	if d.Delimiter != 0 {
		tried = []rune{d.Delimiter}
	}
	most := 0
	for _, t := range tried {
		line := firstRecord(text, t)
		headings := split(line, t, n)
		if known := recognised(headings); known > most {
			delimiter, best, most, length = t, headings, known, len(line)
		}
	}
	return delimiter, best, length
}

// firstRecord is the text of the first record, without its line end.
func firstRecord(head []byte, delimiter rune) string {
	w := walker{delimiter: byte(delimiter)}
	for i := range head {
		if w.line(head[i:i+1], false); w.number > 0 {
			return string(head[:i])
		}
		if head[i] == '\n' && !w.quoted {
			return string(head[:i])
		}
	}
	return string(head)
}

func split(line string, delimiter rune, n names) []Heading {
	r := csv.NewReader(strings.NewReader(line))
	r.Comma = delimiter
	r.LazyQuotes = true
	cells, err := r.Read()
	if err != nil {
		return nil
	}
	headings := make([]Heading, len(cells))
	for i, text := range cells {
		headings[i] = n.heading(text)
	}
	return headings
}

// parseHeading reads `start_pressure (psi)`, `temperature [degF]`, `pip (cm[H2O])`: a name, then a unit in brackets.
func parseHeading(text string, table records.Table) Heading {
	name, unit := nameAndUnit(text)
	folded := strings.NewReplacer(" ", "_", "-", "_").Replace(strings.ToLower(name))
	if _, ok := table.Column(folded); !ok {
		return Heading{Text: text}
	}
	return Heading{Text: text, Column: folded, Unit: unit}
}

// nameAndUnit parts a header from the unit that stands in brackets after it.
func nameAndUnit(text string) (name, unit string) {
	name = strings.TrimSpace(text)
	at := strings.IndexAny(name, "([")
	if at <= 0 {
		return name, ""
	}
	inner := strings.TrimSpace(name[at:])
	if !closes(inner) {
		return name, ""
	}
	return strings.TrimSpace(name[:at]), unitIn(inner)
}

// unitIn takes the unit out of its brackets, unless they are its own: [lb_av] is a unit, lb_av is none.
func unitIn(bracketed string) string {
	inner := strings.TrimSpace(bracketed[1 : len(bracketed)-1])
	if _, known := units.Find(inner); !known {
		if _, known := units.Find(bracketed); known {
			return bracketed
		}
	}
	return inner
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
