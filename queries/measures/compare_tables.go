package measures

import (
	"maps"
	"math"
	"slices"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// tabulation is every table of counts that a comparison prints, all over the same transports with the groups as columns.
type tabulation struct {
	*cohort
	groups []int // of each member
	tables [][]int
	levels [][]string
	hidden []stats.Withheld
}

func newTabulation(c *cohort) *tabulation {
	t := &tabulation{cohort: c}
	for _, i := range c.members {
		t.groups = append(t.groups, c.group[i])
	}
	return t
}

// add takes a table up: the level of each transport, and the names of the levels. It gives its number.
func (t *tabulation) add(levels []string, of func(i int) int) int {
	rows := make([]int, len(t.members))
	for k, i := range t.members {
		rows[k] = of(i)
	}
	t.tables, t.levels = append(t.tables, rows), append(t.levels, levels)
	return len(t.tables) - 1
}

// protect decides which counts of all tables are withheld.
func (t *tabulation) protect() (err error) {
	t.hidden, err = stats.WithholdTogether(t.groups, t.tables, t.study.SmallCell)
	return err
}

// counts gives a level's transports in each group, and in all.
func (t *tabulation) counts(table, level int) (groups []Count, all Count) {
	groups = make([]Count, len(t.study.Exposure.Groups))
	for k, row := range t.tables[table] {
		if row == level {
			groups[t.groups[k]].N++
			all.N++
		}
	}
	w := t.hidden[table]
	all.Withheld = w.All || level < len(w.Rows) && w.Rows[level]
	for g := range groups {
		groups[g].Withheld = w.All || level < len(w.Cells) && g < len(w.Cells[level]) && w.Cells[level][g]
	}
	return groups, all
}

// open says whether every count of a table may be shown.
func (t *tabulation) open(table int) bool { return !t.hidden[table].Any() }

// Characteristic is one trait of the groups: levels with counts, or for a number its median and quartiles in each group. The last
// level is "not recorded", left away where everyone's is recorded.
type Characteristic struct {
	Column   queries.ResearchColumn
	Title    string
	Levels   []Level
	Spreads  []Spread   // by group; empty for levels
	Balance  []*float64 // standardized difference of each group against the reference; nil: none, or withheld
	Withheld bool       // a count is withheld
}

// Level is one value of a trait, with how many transports of each group have it.
type Level struct {
	Name   string
	Groups []Count
	All    Count
}

// Spread is the median and the quartiles of one group; Known is false where it has no value, or too few to tell.
type Spread struct {
	Known       bool
	Median      float64
	Q1, Q3      float64
	Low, High   float64 // 95 % interval of the median, by order statistics
	HasInterval bool
}

// described is a characteristic whose table waits to be protected. spread says that it is told by quartiles.
type described struct {
	cells  queries.Cells
	table  int
	spread bool
}

// mostLevels is how many values a count may have to be told value by value: a mean over so few would tell how many have each.
const mostLevels = 12

func (t *tabulation) characteristics() (all []described) {
	for _, name := range t.study.Describe {
		cells := t.data.Columns[name]
		d := described{cells: cells, spread: isNumber(cells.Column)}
		if cells.Column.Kind == queries.CountColumn {
			if counts, few := byValue(cells, t.members); few {
				cells, d.spread = counts, false
			}
		}
		d.table = t.add(levelsOf(cells, t.members))
		all = append(all, d)
	}
	return all
}

// byValue makes a code of a count that has few values among transports.
func byValue(cells queries.Cells, members []int) (queries.Cells, bool) {
	seen := map[float64]bool{}
	for _, i := range members {
		if cells.Known[i] {
			seen[cells.Number[i]] = true
		}
	}
	if len(seen) > mostLevels {
		return cells, false
	}
	code := queries.Cells{Column: cells.Column, Known: cells.Known}
	code.Column.Kind, code.Column.Codes = queries.CodeColumn, nil
	for _, v := range slices.Sorted(maps.Keys(seen)) {
		code.Column.Codes = append(code.Column.Codes, fixed(v, 0))
	}
	for _, v := range cells.Number {
		code.Text = append(code.Text, fixed(v, 0))
	}
	return code, true
}

const notRecordedLevel = "not recorded"

// levelsOf names the levels of a column that occur among transports, and says which each has.
func levelsOf(cells queries.Cells, members []int) ([]string, func(int) int) {
	names := []string{"recorded"}
	at := func(i int) int { return 0 }
	switch cells.Column.Kind {
	case queries.FlagColumn:
		names = []string{"yes", "no"}
		at = func(i int) int { return 1 - int(cells.Number[i]) }
	case queries.CodeColumn, queries.TextColumn:
		names = occurring(cells, members)
		at = func(i int) int { return slices.Index(names, cells.Text[i]) }
	}
	last := len(names)
	return append(slices.Clone(names), notRecordedLevel), func(i int) int {
		if !cells.Known[i] {
			return last
		}
		return at(i)
	}
}

// occurring lists the values of a column among transports: codes in their own order, texts by the alphabet.
func occurring(cells queries.Cells, members []int) []string {
	seen := map[string]bool{}
	for _, i := range members {
		if cells.Known[i] {
			seen[cells.Text[i]] = true
		}
	}
	var names []string
	for _, code := range cells.Column.Codes {
		if seen[code] {
			names = append(names, code)
			delete(seen, code)
		}
	}
	var others []string
	for text := range seen {
		others = append(others, text)
	}
	slices.Sort(others)
	return append(names, others...)
}

func (t *tabulation) describe(list []described) ([]Characteristic, error) {
	var all []Characteristic
	for _, d := range list {
		c := Characteristic{Column: d.cells.Column, Title: ColumnTitle(d.cells.Column), Withheld: !t.open(d.table)}
		for level, name := range t.levels[d.table] {
			groups, sum := t.counts(d.table, level)
			if name == notRecordedLevel && sum.N == 0 || d.spread && name != notRecordedLevel {
				continue
			}
			c.Levels = append(c.Levels, Level{name, groups, sum})
		}
		var err error
		if d.spread {
			err = t.spreads(&c, d.cells)
		} else {
			t.balanceLevels(&c)
		}
		if err != nil {
			return nil, err
		}
		all = append(all, c)
	}
	return all, nil
}

func isNumber(c queries.ResearchColumn) bool {
	return c.Kind == queries.NumberColumn || c.Kind == queries.CountColumn
}

// values are those of one group, sorted.
func (t *tabulation) values(cells queries.Cells, group int) []float64 {
	var v []float64
	for _, i := range t.members {
		if t.group[i] == group && cells.Known[i] {
			v = append(v, cells.Number[i])
		}
	}
	slices.Sort(v)
	return v
}

// spread tells a group's values; of as few as are withheld it tells nothing.
func (t *tabulation) spread(v []float64) (Spread, error) {
	if len(v) == 0 || t.few(len(v)) {
		return Spread{}, nil
	}
	s := Spread{Known: true}
	for _, part := range []struct {
		p  float64
		to *float64
	}{{0.25, &s.Q1}, {0.5, &s.Median}, {0.75, &s.Q3}} {
		q, err := stats.Quantile(v, part.p)
		if err != nil {
			return s, err
		}
		*part.to = q
	}
	if e, err := stats.MedianInterval(v); err == nil { // none below 6 values
		s.Low, s.High, s.HasInterval = e.Low, e.High, true
	}
	return s, nil
}

func (t *tabulation) spreads(c *Characteristic, cells queries.Cells) error {
	reference := t.values(cells, t.reference())
	for g := range t.study.Exposure.Groups {
		v := t.values(cells, g)
		s, err := t.spread(v)
		if err != nil {
			return err
		}
		c.Spreads, c.Balance = append(c.Spreads, s), append(c.Balance, nil)
		if g == t.reference() || !s.Known || t.few(len(reference)) {
			continue
		}
		if d, err := stats.StandardizedDifference(v, reference); err == nil { // none without spread, or with one value
			c.Balance[g] = &d
		}
	}
	return nil
}

func (t *tabulation) reference() int {
	return slices.IndexFunc(t.study.Exposure.Groups, func(r queries.Rule) bool { return r.Name == t.study.Exposure.Reference })
}

// balanceLevels gives the standardized differences over recorded levels, unless a count is withheld, which they would tell.
func (t *tabulation) balanceLevels(c *Characteristic) {
	for g := range t.study.Exposure.Groups {
		c.Balance = append(c.Balance, nil)
		if g == t.reference() || c.Withheld {
			continue
		}
		var a, b []float64
		for _, l := range c.Levels {
			if l.Name != notRecordedLevel {
				a, b = append(a, float64(l.Groups[g].N)), append(b, float64(l.Groups[t.reference()].N))
			}
		}
		if d, err := stats.StandardizedDifferenceOfLevels(a, b); err == nil && !math.IsNaN(d) { // none where a group is empty
			c.Balance[g] = &d
		}
	}
}
