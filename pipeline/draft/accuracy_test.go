package draft

import (
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
	"tripwake/pipeline/records"
	"tripwake/pipeline/units"
)

const corpus = "../../testdata/exports"

// facetColumns tell sources of one export and table apart.
var facetColumns = []string{"assessments.stage", "cylinders.gas", "checks.kind"}

// line is one mapped column, as truth or a draft has it, in comparable form.
type line struct {
	headers, unit, format string
	codes                 map[string]string
	seen                  map[string]int // texts of the cells
	marked                bool
}

// truth reads the right layout: lines by table, facet and column.
func truth(t *testing.T, name string) map[string]line {
	t.Helper()
	l, err := layout.Read(filepath.Join(corpus, name, "truth.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return linesOf(l.Sources)
}

func linesOf(sources []layout.Source) map[string]line {
	all := map[string]line{}
	for _, s := range sources {
		facet := ""
		for _, c := range s.Constants {
			if slices.Contains(facetColumns, s.Table+"."+c.Name) && len(sources) > 1 {
				facet = c.Text
			}
			all[strings.Join([]string{s.Table, facet, c.Name}, "/")] = line{headers: "=" + c.Text}
		}
		for i, c := range slices.Concat(s.Columns, s.Quantities) {
			formats := c.Formats
			if len(formats) == 0 {
				formats = s.TimeFormats
			}
			key := strings.Join([]string{s.Table, facet, c.Name}, "/")
			own := ownUnit(s.Table, c.Name, i >= len(s.Columns))
			all[key] = line{headers: strings.Join(c.From, "+"), unit: ucum(c.Unit, own), format: formatOf(s.Table, c.Name, strings.Join(formats, ",")), codes: c.Codes}
		}
	}
	return all
}

func ownUnit(table, column string, quantity bool) string {
	if quantity {
		for _, q := range records.Quantities() {
			if q.Name == column {
				return q.Unit
			}
		}
	}
	t, _ := records.Find(table)
	c, _ := t.Column(column)
	return c.Unit
}

// ucum is the code of a unit; a fraction of oxygen needs none, since a load tells it from percent.
func ucum(unit, own string) string {
	if u, ok := units.Find(unit); ok && unit != "" {
		if u.Code == "1" && own == "%" {
			return own
		}
		return u.Code
	}
	if unit == decide {
		return decide
	}
	return own
}

// formatOf is the format of a time column alone; what a load reads without a layout is iso.
func formatOf(table, column, format string) string {
	t, _ := records.Find(table)
	c, _ := t.Column(column)
	if c.Kind != records.Time && c.Kind != records.Date {
		return ""
	}
	switch format {
	case "", "%Y-%m-%d %H:%M", "%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M":
		return layout.ISO
	}
	return format
}

// drafted are the lines of a fresh draft.
func drafted(t *testing.T, name string) map[string]line {
	t.Helper()
	return draftedOf(samplesOf(t, name))
}

func draftedOf(samples []sample) map[string]line {
	all := map[string]line{}
	for _, g := range grouped(samples) {
		p, ok := g.propose()
		if !ok {
			continue
		}
		for _, pick := range p.picks {
			addLines(all, g.settle(pick), len(p.picks) > 1, p.tableDoubt() != "")
		}
	}
	return all
}

func samplesOf(t *testing.T, name string) (samples []sample) {
	t.Helper()
	return samplesIn(t, filepath.Join(corpus, name, "in"), "*")
}

// samplesIn takes samples of a folder's exports whose names a pattern matches.
func samplesIn(t *testing.T, folder, pattern string) (samples []sample) {
	t.Helper()
	candidates, err := intake.Exports([]string{folder})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range candidates {
		if ok, err := path.Match(strings.ToLower(pattern), strings.ToLower(path.Base(c.Name))); err != nil || !ok {
			continue
		}
		s, ok, err := takeSample(c)
		if err != nil || !ok {
			t.Fatalf("%s: %v, %v", c.Name, ok, err)
		}
		samples = append(samples, s)
	}
	return samples
}

func addLines(all map[string]line, s source, several, doubtful bool) {
	facet := ""
	for _, c := range s.constants {
		if slices.Contains(facetColumns, s.pick.table.Name+"."+c.name) && several {
			facet = c.value
		}
	}
	for _, c := range s.constants {
		all[strings.Join([]string{s.pick.table.Name, facet, c.name}, "/")] = line{headers: "=" + c.value, marked: c.doubt != "" || doubtful}
	}
	for _, m := range s.mappings {
		if m.withheld {
			continue
		}
		format := m.format
		if format == "" {
			format = s.format
		}
		own := m.target.column.Unit
		key := strings.Join([]string{s.pick.table.Name, facet, m.target.name()}, "/")
		all[key] = line{strings.Join(m.from.headers, "+"), ucum(m.unit, own), formatOf(s.pick.table.Name, m.target.name(), format), m.codes, m.from.count,
			len(m.doubts) > 0 || format == decide || doubtful}
	}
}

// agree says that two lines give the same cells; texts that a load reads without a code need none.
func agree(table, column string, want, got line) string {
	switch {
	case !strings.EqualFold(want.headers, got.headers):
		return fmt.Sprintf("from %s, expected %s", got.headers, want.headers)
	case want.unit != got.unit:
		return fmt.Sprintf("unit %s, expected %s", got.unit, want.unit)
	case want.format != got.format:
		return fmt.Sprintf("format %s, expected %s", got.format, want.format)
	}
	for text, code := range want.codes {
		if got.seen[text] == 0 {
			continue
		}
		native := strings.EqualFold(text, code) || slices.Contains(nativeFlags, strings.ToLower(text)) && code == spokenFlags.only(text)
		if got.codes[text] != code && (!native || got.codes[text] != "") {
			return fmt.Sprintf("code of %q is %q, expected %q", text, got.codes[text], code)
		}
	}
	return ""
}

// tally counts the columns of exports: all that truth has, those that a draft has right, and those that it has wrong.
type tally struct{ all, right, wrong, unmarked int }

// compare counts one export and tells each difference.
func compare(t *testing.T, name string) (n tally) {
	return compareLines(t, name, truth(t, name), drafted(t, name))
}

func compareLines(t *testing.T, name string, want, got map[string]line) (n tally) {
	for key, w := range want {
		n.all++
		g, there := got[key]
		parts := strings.Split(key, "/")
		if !there {
			t.Logf("%s: %s is not drafted", name, key)
			continue
		}
		why := agree(parts[0], parts[2], w, g)
		if why == "" {
			n.right++
			continue
		}
		n.add(g)
		t.Logf("%s: %s: %s%s", name, key, why, marked(g))
	}
	for key, g := range got {
		if _, there := want[key]; !there {
			n.add(g)
			t.Logf("%s: %s from %s is drafted and should not be%s", name, key, g.headers, marked(g))
		}
	}
	return n
}

func (n *tally) add(g line) {
	n.wrong++
	if !g.marked {
		n.unmarked++
	}
}

func marked(g line) string {
	if g.marked {
		return " (marked)"
	}
	return " (NOT MARKED)"
}

func names(t *testing.T) (all []string) {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(corpus, "*", "truth.yaml"))
	if err != nil || len(found) < 25 {
		t.Fatalf("%d exports, %v", len(found), err)
	}
	for _, f := range found {
		all = append(all, filepath.Base(filepath.Dir(f)))
	}
	return all
}

// setOf is the set of exports that one belongs to: those made before draft had words, those made later, those made last.
func setOf(name string) string {
	for _, set := range []string{"later", "fresh"} {
		if strings.HasPrefix(name, set+"-") {
			return set
		}
	}
	return "first"
}

// leastRight is the share of columns, in a hundred, that drafts must have right: of every set, and of all.
var leastRight = map[string]int{"first": 95, "later": 90, "fresh": 80, "all": 90}

// TestAccuracy holds drafts of every invented export against the layout that its maker knows: header, unit, time format and
// every code. A wrong column without a mark is worse than none; of these no more than two in a hundred may be.
func TestAccuracy(t *testing.T) {
	sums := map[string]*tally{"first": {}, "later": {}, "fresh": {}, "all": {}}
	for _, name := range names(t) {
		n := compare(t, name)
		t.Logf("%-32s %3d of %3d right, %d wrong, %d of these without a mark", name, n.right, n.all, n.wrong, n.unmarked)
		sums[setOf(name)].plus(n)
		sums["all"].plus(n)
	}
	for set, sum := range sums {
		t.Logf("%s: %+v, %.1f %% right", set, *sum, 100*float64(sum.right)/float64(sum.all))
		if sum.right*100 < leastRight[set]*sum.all {
			t.Errorf("%s: %d of %d columns right, expected %d in a hundred", set, sum.right, sum.all, leastRight[set])
		}
		if sum.unmarked*100 > 2*sum.all {
			t.Errorf("%s: %d wrong columns without a mark, expected at most two in a hundred", set, sum.unmarked)
		}
	}
}

func (n *tally) plus(o tally) {
	n.all, n.right, n.wrong, n.unmarked = n.all+o.all, n.right+o.right, n.wrong+o.wrong, n.unmarked+o.unmarked
}

// TestOthersLayouts holds drafts against a layout and exports that another hand made for another purpose, with headers in code,
// three logs in one file, and dots for colons in clocks.
func TestOthersLayouts(t *testing.T) {
	folder := filepath.Join("..", "..", "testdata", "layouts-a")
	l, err := layout.Read(filepath.Join(folder, "layout.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	byFiles := map[string][]layout.Source{}
	var patterns []string
	for _, s := range l.Sources {
		if len(byFiles[s.Files]) == 0 {
			patterns = append(patterns, s.Files)
		}
		byFiles[s.Files] = append(byFiles[s.Files], s)
	}
	var sum tally
	for _, pattern := range patterns {
		if samples := samplesIn(t, filepath.Join(folder, "in"), pattern); len(samples) > 0 {
			sum.plus(compareLines(t, pattern, linesOf(byFiles[pattern]), draftedOf(samples)))
		}
	}
	t.Logf("%+v", sum)
	if sum.all < 100 || sum.right*100 < 75*sum.all || sum.unmarked*100 > 2*sum.all {
		t.Errorf("%+v: expected three of four columns right and at most two in a hundred wrong without a mark", sum)
	}
}
