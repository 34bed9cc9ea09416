package draft

import (
	"path"
	"regexp"
	"slices"
	"strings"
)

// group is all samples with one header and delimiter: one export, in one or more files.
type group struct {
	samples []sample
	columns []features // every column of the file, in order
	pattern string     // of the files' names
}

// grouped puts samples with the same header together, in the order in which they came.
func grouped(samples []sample) []*group {
	var all []*group
	byHeader := map[string]*group{}
	for _, s := range samples {
		key := string(s.delimiter) + strings.Join(s.header, "\x00")
		if byHeader[key] == nil {
			byHeader[key] = &group{}
			all = append(all, byHeader[key])
		}
		byHeader[key].samples = append(byHeader[key].samples, s)
	}
	for _, g := range all {
		g.look()
	}
	name(all)
	return all
}

func (g *group) look() {
	blanks := g.blanks()
	for i, header := range g.samples[0].header {
		g.columns = append(g.columns, look(header, g.cells(i), blanks))
	}
}

// cells of one column, of all samples in turn.
func (g *group) cells(column int) []string {
	var all []string
	for _, s := range g.samples {
		for _, r := range s.rows {
			all = append(all, r[column])
		}
	}
	return all
}

func (g *group) names() []string {
	var all []string
	for _, s := range g.samples {
		all = append(all, s.name)
	}
	return all
}

// said is all text around the records that may name a device or a gas: file names and the lines before the header.
func (g *group) said() []string {
	var all []string
	for _, s := range g.samples {
		stem, _, _ := strings.Cut(s.name, ".")
		all = append(append(all, stem), s.before...)
	}
	return all
}

// moments joins clocks with their dates: each column that tells a time of day alone is read together with the column that
// tells its date, and the two stand no more by themselves. Other columns stay as they are.
func (g *group) moments() []features {
	dates := g.all(dateOnly)
	taken := map[int]bool{}
	var joined []features
	for i, f := range g.columns {
		date := nearestDate(g.columns, dates, i)
		if p, ok := f.part(); !ok || p != clockOnly || date < 0 || !isClock(f) {
			continue
		}
		taken[i], taken[date] = true, true
		joined = append(joined, g.join(date, i))
	}
	for i, f := range g.columns {
		if !taken[i] {
			joined = append(joined, f)
		}
	}
	return joined
}

func (g *group) all(p part) (found []int) {
	for i, f := range g.columns {
		if is, ok := f.part(); ok && is == p {
			found = append(found, i)
		}
	}
	return found
}

// isClock wants a sign between hours and minutes, a nought before them, or a name that says time: 1830 may be a pressure.
func isClock(f features) bool {
	early := slices.ContainsFunc(f.texts, func(text string) bool { return len(text) >= 4 && text[0] == '0' && isNumber(text) })
	return strings.ContainsAny(f.texts[0], ":h") || slices.Contains(f.concepts, "time") || early
}

// nearestDate is the date that shares the most words with the clock's name; of equal ones the nearest before it.
func nearestDate(columns []features, dates []int, clock int) int {
	best, most := -1, -1
	for _, d := range dates {
		shared := 0
		for _, c := range columns[d].concepts {
			if c != "date" && c != "time" && slices.Contains(columns[clock].concepts, c) {
				shared++
			}
		}
		if shared > most || shared == most && d < clock {
			best, most = d, shared
		}
	}
	return best
}

func (g *group) join(date, clock int) features {
	days, clocks := g.cells(date), g.cells(clock)
	both := make([]string, len(days))
	for i := range days {
		if g.columns[date].count[days[i]] > 0 && g.columns[clock].count[clocks[i]] > 0 {
			both[i] = days[i] + " " + clocks[i]
		}
	}
	f := look(g.columns[clock].headers[0], both, nil)
	f.missing = slices.Concat(g.columns[date].missing, g.columns[clock].missing)
	f.headers = []string{g.columns[date].headers[0], g.columns[clock].headers[0]}
	if len(slices.DeleteFunc(slices.Clone(f.concepts), func(c string) bool { return slices.Contains(small, c) })) == 0 {
		f.concepts = meaning(strings.Join(f.headers, " "))
	}
	return f
}

var changing = regexp.MustCompile(`(?i)\bc?o2\b|\d+|\b(january|february|march|april|may|june|july|august|september|october|november|december|jan|feb|mar|apr|jun|jul|aug|sep|oct|nov|dec|q[1-4]|spring|summer|autumn|winter|mai|juni|juli)\b`)

// name proposes a pattern for the files of each group: what their names share, with a star for what differs, or for numbers
// and months in a single name; where that would take files of another group in, the shared beginning is all there is.
func name(groups []*group) {
	for _, g := range groups {
		g.pattern = patternOf(g.names())
		if takesOthers(g, groups) {
			g.pattern = patternOfExact(g.names())
		}
	}
}

func patternOf(names []string) string {
	if len(names) == 1 {
		stem, ending, _ := strings.Cut(names[0], ".")
		stem = changing.ReplaceAllStringFunc(strings.ReplaceAll(stem, "_", "\x00 "), starred)
		stem = strings.ReplaceAll(stem, "\x00 ", "_")
		return escaped(collapsed(stem) + "." + ending)
	}
	return escaped(collapsed(sharedStart(names) + "*" + sharedEnd(names)))
}

// starred keeps the names of gases.
func starred(part string) string {
	if strings.HasSuffix(strings.ToLower(part), "o2") {
		return part
	}
	return "*"
}

// patternOfExact is the one name, or what the names share.
func patternOfExact(names []string) string {
	if len(names) == 1 {
		return escaped(names[0])
	}
	return escaped(sharedStart(names) + "*" + sharedEnd(names))
}

func escaped(pattern string) string {
	return strings.NewReplacer("[", "?", "]", "?", `\`, "?", ":", "?").Replace(pattern)
}

var stars = regexp.MustCompile(`\*+([-_ ]?\*+)*`)

func collapsed(text string) string { return stars.ReplaceAllString(text, "*") }

func sharedStart(names []string) string {
	start := names[0]
	for _, n := range names {
		for !strings.HasPrefix(n, start) {
			start = start[:len(start)-1]
		}
	}
	return strings.TrimRight(start, "0123456789")
}

func sharedEnd(names []string) string {
	end := path.Ext(names[0])
	for _, n := range names {
		if !strings.HasSuffix(n, end) {
			return ""
		}
	}
	return end
}

func takesOthers(g *group, groups []*group) bool {
	for _, other := range groups {
		if other == g {
			continue
		}
		for _, n := range other.names() {
			if ok, err := path.Match(g.pattern, n); ok || err != nil {
				return true
			}
		}
	}
	return false
}
