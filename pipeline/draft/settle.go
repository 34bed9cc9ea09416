package draft

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"tripwake/pipeline/layout"
	"tripwake/pipeline/records"
)

// decide is what stands where a person must write something: no layout with it can be loaded.
const decide = "decide"

// mapping is one line of a source: a column or quantity, where it comes from, and what is in doubt.
type mapping struct {
	target   target
	from     features
	score    score
	unit     string
	codes    map[string]string
	format   string // of this column alone
	nextDay  string // decide where clocks under a shared date pass midnight; else empty
	doubts   []string
	withheld bool // the line is written as a comment: a load could not read the column
}

// source is one source of the drafted layout.
type source struct {
	pick      pick
	files     string
	mappings  []mapping
	format    string // time_format; empty where none is needed, decide where the evidence is split
	formatWhy string
	constants []constant
	unfound   []string // columns that must be there and that a person must name
	missing   []string // texts for an empty cell
	comma     bool
	doubts    []string
}

type constant struct{ name, value, doubt string }

// settle turns a pairing into a source: units, codes, time formats and constants decided, or marked.
func (g *group) settle(p pick) source {
	s := source{pick: p, files: g.pattern}
	for j, t := range p.targets {
		i := slices.Index(p.pairs, j)
		if i < 0 {
			continue
		}
		m := mapping{target: t, from: p.columns[i], score: p.scores[i][j]}
		m.doubts = append(m.doubts, p.doubt(i, j)...)
		m.withheld = p.split(i, j)
		m.settleUnit()
		m.settleCodes()
		s.mappings = append(s.mappings, m)
	}
	s.unfound = p.unfound()
	s.settleTimes()
	s.orderOfMoments()
	s.constants = g.constants(p)
	s.settleDialect()
	return s
}

// unfound are the required columns, other than codes, that no header fits.
func (p *pick) unfound() (names []string) {
	for _, name := range p.missing {
		if c, ok := p.table.Column(name); ok && c.Kind != records.Code {
			names = append(names, name)
		}
	}
	return names
}

// doubt tells where another column or target comes near.
func (p *pick) doubt(i, j int) (doubts []string) {
	own := p.scores[i][j]
	total := own.total()
	for other, t := range p.targets {
		rival := p.scores[i][other].total()
		if other != j && rival > 0 && rival >= total-margin && p.worthOfTarget(other) < rival {
			doubts = append(doubts, fmt.Sprintf("alternatives: %s; evidence: %s", t.name(), p.scores[i][other]))
		}
	}
	for other := range p.columns {
		rival := p.scores[other][j].total()
		if other != i && rival > 0 && rival >= total-margin && p.worthOfColumn(other) < rival {
			doubts = append(doubts, fmt.Sprintf("alternatives: from %s; evidence: %s", quoted(p.columns[other].headers), p.scores[other][j]))
		}
	}
	switch {
	case own.rescued:
		doubts = append(doubts, "the name says little, but no other column could be this one; evidence: values")
	case own.name < 0.5:
		doubts = append(doubts, fmt.Sprintf("the name says little; evidence: %s", own))
	case total < certain:
		doubts = append(doubts, fmt.Sprintf("likely, not certain; evidence: %s", own))
	}
	return doubts
}

// split says that a header fits another column, that nothing else has taken, as well as its own, and none well: the line is
// written as a comment, for a person to choose.
func (p *pick) split(i, j int) bool {
	total := p.scores[i][j].total()
	if total >= certain || needed(p.targets[j]) {
		return false
	}
	for other := range p.targets {
		if other != j && p.scores[i][other].total() >= total && p.worthOfTarget(other) == 0 {
			return true
		}
	}
	return false
}

func (p *pick) worthOfTarget(j int) float64 {
	if i := slices.Index(p.pairs, j); i >= 0 {
		return p.scores[i][j].total()
	}
	return 0
}

func (p *pick) worthOfColumn(i int) float64 {
	if j := p.pairs[i]; j >= 0 {
		return p.scores[i][j].total()
	}
	return 0
}

func (s score) String() string {
	return fmt.Sprintf("name %.2f, cells that fit %.2f, values that tell %.2f", s.name, s.fit, s.telling)
}

func (m *mapping) settleUnit() {
	d := decideUnit(m.from, m.target.column)
	m.unit = d.unit
	if d.decide {
		m.unit = decide
	}
	if d.doubt != "" {
		m.doubts = append(m.doubts, d.doubt)
	}
}

// settleCodes lists the codes of texts that a load would not read by itself, and marks texts that no code is known for.
func (m *mapping) settleCodes() {
	kind := m.target.column.Kind
	if kind != records.Code && kind != records.Flag {
		return
	}
	found := codesOf(m.target.table, m.target.column, m.from.texts)
	m.codes = map[string]string{}
	var unknown, digits, begun []string
	for _, text := range m.from.texts {
		code, known := found[text]
		known = known && (wholly(m.target.table, m.target.column, text) || m.from.count[text] >= seenTwice)
		native := strings.EqualFold(text, code) || kind == records.Flag && slices.Contains(nativeFlags, strings.ToLower(text))
		switch {
		case !known:
			unknown = append(unknown, text)
		case known && !native:
			m.codes[text] = code
			switch {
			case isNumber(text):
				digits = append(digits, text)
			case !wholly(m.target.table, m.target.column, text):
				begun = append(begun, text)
			}
		}
	}
	if len(digits) > 0 {
		m.doubts = append(m.doubts, fmt.Sprintf("what numbers mean as codes is a guess from common practice: %s", quoted(digits)))
	}
	if len(begun) > 0 {
		m.doubts = append(m.doubts, "taken by a part of the text or the beginning of a word: "+m.shown(begun))
	}
	if len(unknown) > 0 {
		m.doubts = append(m.doubts, "no code is known for "+m.shown(unknown)+"; rows or cells with such texts are refused until codes names them; alternatives: "+m.choices())
	}
}

// seenTwice is how often a text must stand in a column to be shown where it is no word of ours: what stands once may be a name.
const seenTwice = 2

// shown are texts of cells that may be shown: few, short and seen twice, as codes are; others are counted only, they may name
// patients.
func (m *mapping) shown(texts []string) string {
	hidden := 0
	var open []string
	for _, text := range texts {
		if m.from.few() && m.from.count[text] >= seenTwice {
			open = append(open, text)
		} else {
			hidden++
		}
	}
	switch {
	case hidden == 0:
		return quoted(open)
	case len(open) == 0:
		return fmt.Sprintf("%d texts that are not shown", hidden)
	}
	return fmt.Sprintf("%s and %d texts that are not shown", quoted(open), hidden)
}

func (m *mapping) codeNames() []string {
	if m.target.column.Kind == records.Flag {
		return []string{"true", "false"}
	}
	return m.target.column.Codes
}

// mostShown bounds the codes that are listed as alternatives.
const mostShown = 10

func (m *mapping) choices() string { return choices(m.target.table, m.target.name(), m.codeNames()) }

// choices lists codes, or says where many are listed.
func choices(table, column string, codes []string) string {
	if len(codes) > mostShown {
		return fmt.Sprintf("the %d codes of %s.%s", len(codes), table, column)
	}
	return strings.Join(codes, ", ")
}

// settleDialect finds the decimal comma and the texts for empty cells.
func (s *source) settleDialect() {
	commas, points := 0, 0
	for _, m := range s.mappings {
		if m.target.column.Kind == records.Number {
			commas, points = commas+m.from.commas, points+m.from.points
		}
		for _, text := range m.from.missing {
			if !slices.Contains(s.missing, text) {
				s.missing = append(s.missing, text)
			}
		}
	}
	slices.Sort(s.missing)
	s.comma = commas > 0 && points == 0
	if commas > 0 && points > 0 {
		s.doubts = append(s.doubts, fmt.Sprintf("numbers have commas (%d) and points (%d); alternatives: decimal: comma, decimal: point", commas, points))
	}
}

// settleTimes finds the time format of the source, or that the order of day and month must be decided. Columns of one source
// are written by one program: a day above 12 in one of them decides for all that it can be read by.
func (s *source) settleTimes() {
	var times []*mapping
	for i := range s.mappings {
		if m := &s.mappings[i]; (m.target.column.Kind == records.Time || m.target.column.Kind == records.Date) && len(m.from.forms) > 0 {
			times = append(times, m)
		}
	}
	if len(times) == 0 {
		return
	}
	able := formats(times[0])
	for _, m := range times[1:] {
		able = slices.DeleteFunc(able, func(f string) bool { return !slices.Contains(formats(m), f) })
	}
	switch {
	case len(able) == 0:
		s.formatEach(times)
	case len(able) == 1 && able[0] == layout.ISO:
	case len(able) == 1:
		s.format, s.formatWhy = able[0], "reads the times of every column"
		if able[0] == layout.Excel || able[0] == layout.Epoch || able[0] == layout.EpochMillis {
			s.formatWhy = "counts of days or seconds: the numbers fall into this century so alone"
		}
	default:
		s.format = decide
		s.formatWhy = "doubt: no day is above 12, so day and month cannot be told apart; alternatives: " + quoted(able) + "; evidence: both read every cell"
	}
	s.withholdDates(times)
}

func formats(m *mapping) (all []string) {
	for _, f := range m.from.forms {
		all = append(all, f.format)
	}
	return all
}

// formatEach gives each column a format of its own, where the columns have none in common.
func (s *source) formatEach(times []*mapping) {
	for _, m := range times {
		all := formats(m)
		m.format = all[0]
		if len(all) > 1 {
			m.format = decide
			m.doubts = append(m.doubts, "day and month cannot be told apart; alternatives: "+quoted(all)+"; evidence: each reads every cell")
		}
	}
}

// withholdDates: a time that gives no time of day cannot be loaded.
func (s *source) withholdDates(times []*mapping) {
	for _, m := range times {
		if p, _ := m.from.part(); m.target.column.Kind == records.Time && p == dateOnly {
			m.withheld = true
			m.doubts = append(m.doubts, "the cells give a date and no time of day, which this column must have; alternatives: [DATE, TIME] from two columns")
		}
	}
	if !slices.ContainsFunc(times, func(m *mapping) bool { return !m.withheld }) {
		s.format = ""
	}
}

// orderOfMoments marks moments that come before those that they must follow, and clocks that pass midnight under one date.
func (s *source) orderOfMoments() {
	var before *mapping
	for _, name := range s.pick.table.Sequence {
		i := slices.IndexFunc(s.mappings, func(m mapping) bool { return m.target.name() == name && len(m.from.forms) > 0 })
		if i < 0 {
			continue
		}
		m := &s.mappings[i]
		if before != nil {
			m.order(*before)
		}
		before = m
	}
}

// order marks a time that comes before the one that it must follow. Where both share a date and it would lie within some hours after
// it on the next day, whether it does must be decided.
func (m *mapping) order(before mapping) {
	wrong, midnight, both := outOfOrder(before.from, m.from)
	shared := len(m.from.headers) > 1 && slices.ContainsFunc(m.from.headers, func(h string) bool { return slices.Contains(before.from.headers, h) })
	switch {
	case shared && midnight > 0:
		m.nextDay = decide
		m.doubts = append(m.doubts, fmt.Sprintf("%d of %d rows have this before %s under the same date; alternatives: next_day: 12h (%d of these are then on the next day), "+
			"or no next_day (every time keeps the date of its row); evidence: order of times", wrong, both, before.target.name(), midnight))
	case shared && before.nextDay != "":
		m.nextDay = decide
		m.doubts = append(m.doubts, fmt.Sprintf("shares the date of %s, which may be past midnight; alternatives: next_day: 12h, or no next_day, as there; evidence: order of times", before.target.name()))
	case wrong > 0 && (wrong*20 > both || len(m.from.headers) > 1):
		m.doubts = append(m.doubts, fmt.Sprintf("%d of %d rows have this before %s; evidence: order of times", wrong, both, before.target.name()))
	}
}

// likelyNextDay is how long after the time before it a clock past midnight may lie; more is rather a slip.
const likelyNextDay = 12 * time.Hour

// outOfOrder counts the rows that have both times, those of them with the later one first, and those that a midnight puts right.
func outOfOrder(before, after features) (wrong, midnight, both int) {
	for r, text := range after.cells {
		a, ok := before.forms[0].read(before.cells[r])
		b, too := after.forms[0].read(text)
		if ok && too {
			both++
			if b.Before(a) {
				wrong++
				if b.Add(24*time.Hour).Sub(a) <= likelyNextDay {
					midnight++
				}
			}
		}
	}
	return wrong, midnight, both
}
