package draft

import (
	"encoding/json"
	"fmt"
	"maps"
	"regexp"
	"slices"
	"strings"
	"unicode"
)

// page is the text of a layout as it grows, with the lines that must be decided.
type page struct {
	lines   []string
	decides []Decision
	open    bool // the key columns stands already
}

func (p *page) add(format string, args ...any) {
	p.lines = append(p.lines, fmt.Sprintf(format, args...))
}

// mustDecide notes that the next line to be added must be decided.
func (p *page) mustDecide(key, doubt string) {
	p.decides = append(p.decides, Decision{Line: len(p.lines) + 1, Key: key, Doubt: doubt})
}

var intro = []string{
	"# A first layout, drafted from the beginnings of the exports. Read every line before loading: names are matched by habit.",
	"# Each column ends in its score (0 to 1). What is not certain is marked \"doubt\", with what else it may be and the evidence.",
	"# Where the word decide stands nothing was guessed: write what holds there, or take the line out; a load refuses it.",
	"# Of cells, comments show short codes alone, never identifiers, names or narratives.",
}

// write puts all proposals, and what is not read, into one text.
func write(proposals []proposalOf, notRead []string) page {
	var p page
	p.lines = append(p.lines, intro...)
	for _, text := range notRead {
		p.add("# not read: %s", text)
	}
	p.add("sources:")
	for _, o := range proposals {
		for i, pick := range o.picks {
			p.source(o, o.settle(pick), i == 0)
		}
		p.unread(o)
	}
	return p
}

// source writes one source.
func (p *page) source(o proposalOf, s source, first bool) {
	if first {
		p.add("  # %s", o.about())
		if doubt := o.tableDoubt(); doubt != "" {
			p.add("  # doubt: %s", doubt)
		}
	}
	p.add("  - files: %s", text(s.files))
	p.add("    table: %s", s.pick.table.Name)
	for _, doubt := range s.doubts {
		p.add("    # doubt: %s", doubt)
	}
	p.timeFormat(s)
	if s.comma {
		p.add("    decimal: comma")
	}
	if len(s.missing) > 0 {
		p.add("    missing: [%s]", list(s.missing))
	}
	p.unfound(o, s)
	p.mappings("columns", s.mappings, false)
	p.mappings("quantities", s.mappings, true)
	if len(s.constants) > 0 {
		p.add("    constants:")
	}
	for _, c := range s.constants {
		if c.doubt != "" {
			p.add("      # doubt: %s", c.doubt)
		}
		if c.value == decide {
			p.mustDecide("constants."+c.name, c.doubt)
		}
		p.add("      %s: %s", c.name, text(c.value))
	}
}

// unfound asks for the header of columns that must be there: a load finds no header called decide, and says so.
func (p *page) unfound(o proposalOf, s source) {
	if len(s.unfound) == 0 {
		return
	}
	p.add("    columns:")
	p.open = true
	for _, name := range s.unfound {
		doubt := "no header says which column this is, and table " + s.pick.table.Name + " must have it; alternatives: " + list(o.left()) + "; evidence: none"
		p.add("      # doubt: %s", doubt)
		p.mustDecide("columns."+name, doubt)
		p.add("      %s: %s", name, decide)
	}
}

// left are the headers that nothing took.
func (o proposalOf) left() (headers []string) {
	for _, c := range o.columns {
		if !o.reads(c.headers[0]) {
			headers = append(headers, c.headers[0])
		}
	}
	return headers
}

func (p *page) timeFormat(s source) {
	switch s.format {
	case "":
	case decide:
		p.add("    # %s", s.formatWhy)
		p.mustDecide("time_format", strings.TrimPrefix(s.formatWhy, "doubt: "))
		p.add("    time_format: decide")
	default:
		p.add("    time_format: %s  # %s", text(s.format), s.formatWhy)
	}
}

func (p *page) mappings(key string, all []mapping, quantities bool) {
	all = slices.DeleteFunc(slices.Clone(all), func(m mapping) bool { return m.target.quantity != quantities })
	if len(all) == 0 {
		return
	}
	if !p.open {
		p.add("    %s:", key)
	}
	p.open = false
	for _, m := range all {
		p.mapping(key, m)
	}
}

// mapping writes the line of one column, its doubts before it.
func (p *page) mapping(key string, m mapping) {
	for _, doubt := range m.doubts {
		p.add("      # doubt: %s", doubt)
	}
	if m.unit == decide || m.format == decide || m.nextDay == decide {
		p.mustDecide(key+"."+m.target.name(), m.doubts[len(m.doubts)-1])
	}
	mark := ""
	if m.withheld {
		mark = "# "
	}
	p.add("      %s%s: %s  # %.2f", mark, m.target.name(), m.value(), m.score.total())
}

// value is what stands behind a column's name.
func (m mapping) value() string {
	from := text(m.from.headers[0])
	if len(m.from.headers) > 1 {
		from = "[" + list(m.from.headers) + "]"
	}
	var rest []string
	if m.unit != "" {
		rest = append(rest, "unit: "+text(m.unit))
	}
	if m.format != "" {
		rest = append(rest, "format: "+text(m.format))
	}
	if m.nextDay != "" {
		rest = append(rest, "next_day: "+m.nextDay)
	}
	if len(m.codes) > 0 {
		var codes []string
		for _, cell := range slices.Sorted(maps.Keys(m.codes)) {
			codes = append(codes, text(cell)+": "+text(m.codes[cell]))
		}
		rest = append(rest, "codes: {"+strings.Join(codes, ", ")+"}")
	}
	if len(rest) == 0 {
		return from
	}
	return "{from: " + from + ", " + strings.Join(rest, ", ") + "}"
}

// about says what an export is and why it was taken for its table.
func (o proposalOf) about() string {
	rows, odd, first := 0, 0, o.samples[0]
	for _, s := range o.samples {
		rows, odd = rows+len(s.rows), odd+s.odd
	}
	note := fmt.Sprintf("%d records of %s (%s, %s)", rows, list(o.names()), first.encoding, delimiterName[first.delimiter])
	if len(first.before) > 0 {
		note += fmt.Sprintf(", %d lines before the header", len(first.before))
	}
	if odd > 0 {
		note += fmt.Sprintf(", %d lines that do not fit it", odd)
	}
	return fmt.Sprintf("%s; score as %s %.1f, as %s %.1f", note, o.picks[0].table.Name, o.worth(o.picks[:o.main()]), o.next[0].table.Name, o.worth(o.next))
}

// main is the number of picks that are of the first one's table.
func (o proposalOf) main() int {
	n := 0
	for n < len(o.picks) && o.picks[n].table.Name == o.picks[0].table.Name {
		n++
	}
	return n
}

var delimiterName = map[rune]string{',': "comma", ';': "semicolon", '\t': "tab", '|': "bar"}

// thinTable is the least worth of a pairing that leaves the table without a mark.
const thinTable = 3.0

func (o proposalOf) tableDoubt() string {
	own, next := o.worth(o.picks[:o.main()]), o.worth(o.next)
	beside := slices.ContainsFunc(o.picks, func(p pick) bool { return p.table.Name == o.next[0].table.Name })
	read := 0
	for _, c := range o.columns {
		if o.reads(c.headers[0]) {
			read++
		}
	}
	if own < thinTable || read*3 < len(o.columns) {
		return fmt.Sprintf("little speaks for the table; alternatives: %s; evidence: %d of %d columns are read", o.next[0].table.Name, read, len(o.columns))
	}
	if beside || !o.next[0].loadable() || next < own*0.8 {
		return ""
	}
	return fmt.Sprintf("the table is likely, not certain; alternatives: %s; evidence: scores %.1f and %.1f", o.next[0].table.Name, own, next)
}

// unread lists the headers that nothing took, each with the nearest column, if one comes near.
func (p *page) unread(o proposalOf) {
	for i, c := range o.columns {
		if o.reads(c.headers[0]) {
			continue
		}
		near := o.nearest(i)
		if near != "" {
			near = " (perhaps " + near + ")"
		}
		p.add("    # not read: %s%s", text(c.headers[0]), near)
	}
}

func (o proposalOf) reads(header string) bool {
	for _, p := range o.picks {
		for i, j := range p.pairs {
			if j >= 0 && slices.Contains(p.columns[i].headers, header) {
				return true
			}
		}
	}
	return false
}

// leastNear is the least score of a column that is named as perhaps meant.
const leastNear = 0.35

func (o proposalOf) nearest(column int) string {
	best, found := leastNear, ""
	for _, t := range o.picks[0].targets {
		if total := rate(o.columns[column], t).total(); total > best {
			best, found = total, fmt.Sprintf("%s, %.2f", t.name(), total)
		}
	}
	return found
}

var plainText = regexp.MustCompile(`^[A-Za-z_][A-Za-z0-9_ /.-]*[A-Za-z0-9_]$|^[A-Za-z]$`)

// text is a YAML scalar: plain where nothing in it could be read otherwise, else in double quotes, which YAML reads as JSON.
func text(s string) string {
	words := []string{"true", "false", "yes", "no", "on", "off", "null", "y", "n"}
	if plainText.MatchString(s) && !slices.Contains(words, strings.ToLower(s)) && !strings.Contains(s, " #") {
		return s
	}
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	_ = e.Encode(s) // a string always encodes
	return unprinted(strings.TrimSpace(b.String()))
}

// unprinted writes what cannot be printed as its number, so that no text of a file can end a line of the layout.
func unprinted(s string) string {
	var b strings.Builder
	for _, r := range s {
		if unicode.IsPrint(r) {
			b.WriteRune(r)
		} else {
			fmt.Fprintf(&b, `\U%08X`, r)
		}
	}
	return b.String()
}

func list(all []string) string {
	var quoted []string
	for _, s := range all {
		quoted = append(quoted, text(s))
	}
	return strings.Join(quoted, ", ")
}

func quoted(all []string) string { return list(all) }

// scoreRows are the scores above nothing of every column and target of the main table, best first in each column.
func (o proposalOf) scoreRows() (rows []Score) {
	p := o.picks[0]
	for i, f := range p.columns {
		for j, t := range p.targets {
			if s := p.scores[i][j]; s.total() >= leastNear {
				rows = append(rows, Score{Files: o.pattern, Table: p.table.Name, Header: strings.Join(f.headers, " + "), Column: t.name(),
					Name: s.name, Fit: s.fit, Telling: s.telling, Total: s.total(), Taken: p.pairs[i] == j})
			}
		}
	}
	slices.SortStableFunc(rows, func(a, b Score) int {
		switch {
		case a.Header != b.Header:
			return 0
		case a.Total > b.Total:
			return -1
		case a.Total < b.Total:
			return 1
		}
		return 0
	})
	return rows
}
