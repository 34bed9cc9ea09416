package draft

import (
	"fmt"
	"slices"
	"strings"

	"tripwake/pipeline/records"
)

// pick is the best one-to-one pairing of an export's columns with one table.
type pick struct {
	table    records.Table
	wide     bool
	constant map[string]string // what a facet gives every row, such as stage
	columns  []features
	targets  []target
	scores   [][]score
	pairs    []int // target of each column, −1 for none
	missing  []string
	sum      float64
}

// What speaks for a table beside its columns.
const (
	hintOfName    = 0.6 // a file's name says what it holds
	costOfCadence = 1.5 // readings come at even steps, changes of settings do not
	missingCost   = 1.2 // a required column that nothing gives
	requiredFirst = 0.3 // of two columns that a header fits, the required one is served first
)

// fileHints are words of file names, as concepts or plain, that speak for a table.
var fileHints = map[string]string{
	"transports": "trip dispatch task retrievals transports missions register calls einsatzliste runs transferts", "assessments": "assessment assessments vitals_sheet bga blood_gas observations crew",
	"settings": "settings set chart", "readings": "trend log vitals readings monitor minute data", "alarms": "alarm alarms alm events", "cylinders": "cylinder cylinders gas tank o2 oxygen gasverbruik",
	"power": "power pwr battery supply", "events": "incident event reports safety", "devices": "device asset register inventory equipment", "service": "service maintenance werkstatt repair workshop",
	"checks": "check checks checklist preuse", "carried": "kit carried taken", "notes": "notes decisions qi log actions minutes",
}

// pairWith pairs columns with a table.
func pairWith(columns []features, table records.Table, wide bool, constant map[string]string) pick {
	p := pick{table: table, wide: wide, constant: constant, columns: columns, targets: targetsOf(table, wide)}
	totals := make([][]float64, len(columns))
	for i, f := range columns {
		p.scores = append(p.scores, make([]score, len(p.targets)))
		totals[i] = make([]float64, len(p.targets))
		for j, t := range p.targets {
			if _, given := constant[t.name()]; given && !t.quantity {
				continue
			}
			p.scores[i][j] = rate(f, t)
			if total := p.scores[i][j].total(); total >= proposed {
				totals[i][j] = total
				if t.column.Required {
					totals[i][j] += requiredFirst
				}
			}
		}
	}
	p.pairs = assign(totals)
	p.rescue()
	p.count()
	return p
}

// rescue pairs a needed column that no name led to with the one column left over that its values fit, if there is only one:
// the only times, the only texts of codes, the only identifiers. What it does is marked.
func (p *pick) rescue() {
	for j, t := range p.targets {
		if _, given := p.constant[t.name()]; !needed(t) || given || slices.Contains(p.pairs, j) {
			continue
		}
		only := -1
		for i, f := range p.columns {
			if p.pairs[i] >= 0 || !couldBe(f, t, p.scores[i][j]) {
				continue
			}
			if only >= 0 {
				only = -2
				break
			}
			only = i
		}
		if only >= 0 {
			p.pairs[only] = j
			p.scores[only][j].rescued = true
		}
	}
}

// needed are the columns that are looked for without a name: the required ones, and the moment of a row.
func needed(t target) bool {
	return !t.quantity && (t.column.Required || t.name() == "recorded_at")
}

func couldBe(f features, t target, s score) bool {
	if f.filled < leastRows {
		return false
	}
	switch t.column.Kind {
	case records.Time, records.Date:
		return s.fit == 1
	case records.Code:
		return s.fit > 0.6 && s.telling > 0
	case records.Text:
		return t.name() != "text" && s.fit == 1 && f.words == 1 && withDigits(f) == 1 && len(f.forms) == 0 && f.numeric < 1
	}
	return false
}

// count adds up what the pairing is worth.
func (p *pick) count() {
	p.sum = 0
	quantities := 0
	for i, j := range p.pairs {
		if j >= 0 {
			p.sum += p.scores[i][j].total()
			if p.targets[j].quantity {
				quantities++
			}
		}
	}
	for _, c := range p.table.Columns {
		_, given := p.constant[c.Name]
		wide := p.wide && (c.Name == "quantity" || c.Name == "value")
		if c.Required && !given && !wide && p.columnOf(c.Name) < 0 {
			p.missing = append(p.missing, c.Name)
			p.sum -= missingCost
		}
	}
	if p.wide && quantities == 0 {
		p.missing = append(p.missing, "a quantity")
		p.sum -= 2 * missingCost
	}
}

// columnOf is the column that is paired with a column of the table; −1 for none.
func (p *pick) columnOf(name string) int {
	for i, j := range p.pairs {
		if j >= 0 && !p.targets[j].quantity && p.targets[j].name() == name {
			return i
		}
	}
	return -1
}

// content is the number of columns that say what a row of the table is: codes, numbers, or moments of a trip beyond the first.
func (p *pick) content() (n int) {
	moments := 0
	for _, j := range p.pairs {
		if j < 0 {
			continue
		}
		switch c := p.targets[j].column; {
		case c.Kind == records.Code || c.Kind == records.Number || c.Kind == records.Flag:
			n++
		case c.Kind == records.Time || c.Kind == records.Date:
			moments++
		case p.table.Name == "carried" || p.table.Name == "notes" && c.Name == "text":
			n++
		}
	}
	return n + max(0, moments-1)
}

// loadable says that nothing required is missing but codes, which a person can fill in as a constant.
func (p *pick) loadable() bool {
	for _, name := range p.missing {
		if c, ok := p.table.Column(name); !ok || c.Kind != records.Code {
			return false
		}
	}
	return true
}

// What a pairing must have to be proposed though columns that must be there were not found: a person names them.
const (
	leastContent = 2
	leastSum     = 2.0
)

// worthwhile says that a pairing is worth proposing.
func (p *pick) worthwhile() bool {
	if p.loadable() {
		return p.sum >= 1 && p.content() > 0
	}
	return p.sum >= leastSum && p.content() >= leastContent
}

// candidates are all pairings of an export, the best first; equal ones in the order of the tables.
func (g *group) candidates() [][]pick {
	columns := g.moments()
	var all [][]pick
	for _, t := range records.Tables() {
		plain := pairWith(columns, t, false, nil)
		all = append(all, []pick{plain})
		if t.Name == "readings" {
			all = append(all, []pick{pairWith(columns, t, true, nil)})
		}
		if facets := g.facets(t, columns, nil); len(facets) > 0 && len(plain.missing) > 0 {
			all = append(all, facets)
		}
	}
	slices.SortStableFunc(all, func(a, b []pick) int {
		switch x, y := g.worth(a), g.worth(b); {
		case x > y:
			return -1
		case x < y:
			return 1
		}
		return 0
	})
	return all
}

// worth of a pairing with what the file's name and the steps of its times say.
func (g *group) worth(picks []pick) float64 {
	sum := 0.0
	for _, p := range picks {
		sum += p.sum
	}
	table := picks[0].table.Name
	for _, s := range g.samples {
		stem, _, _ := strings.Cut(s.name, ".")
		hints := strings.Fields(fileHints[table])
		if slices.ContainsFunc(wordsOf(stem), func(w string) bool { return slices.Contains(hints, w) || slices.Contains(hints, conceptsOf(w)[0]) }) {
			sum += hintOfName
			break
		}
	}
	switch even := g.even(picks[0]); {
	case table == "readings" && picks[0].wide && !even, table == "settings" && even:
		sum -= costOfCadence
	}
	return sum
}

// even says that the times of a pairing go on at even steps, device by device.
func (g *group) even(p pick) bool {
	at := p.columnOf("recorded_at")
	if at < 0 || len(p.columns[at].forms) == 0 {
		return false
	}
	device := p.columnOf("device_id")
	last, steps, n := map[string]int64{}, map[int64]int{}, 0
	for r, text := range p.columns[at].cells {
		key := ""
		if device >= 0 {
			key = p.columns[device].cells[r]
		}
		moment, ok := p.columns[at].forms[0].read(text)
		if before, seen := last[key]; ok && seen && moment.Unix() != before {
			steps[moment.Unix()-before]++
			n++
		}
		if ok {
			last[key] = moment.Unix()
		}
	}
	most := 0
	for _, count := range steps {
		most = max(most, count)
	}
	return n > 0 && most*10 >= n*6
}

// proposalOf an export is the best pairing, what its left-over columns make beside it, and the next best table.
type proposalOf struct {
	*group
	picks []pick
	next  []pick
}

// propose chooses the table, or the tables, of an export; ok is false where nothing fits.
func (g *group) propose() (proposalOf, bool) {
	all := g.candidates()
	p := proposalOf{group: g, picks: all[0], next: all[1]}
	if i := slices.IndexFunc(all[1:], func(n []pick) bool { return n[0].table.Name != all[0][0].table.Name }); i >= 0 {
		p.next = all[1+i]
	}
	if !p.picks[0].worthwhile() {
		return p, false
	}
	if main := p.picks[0]; main.table.Name == "transports" {
		taken := map[int]bool{}
		for i, j := range main.pairs {
			taken[i] = j >= 0
		}
		for _, name := range []string{"assessments", "cylinders"} {
			t, _ := records.Find(name)
			p.picks = append(p.picks, g.facets(t, main.columns, taken)...)
		}
	}
	return p, true
}

// lack says what an export wants to be of the table that comes nearest.
func (o proposalOf) lack() string {
	p := o.picks[0]
	needs := "columns that say what its rows are"
	if len(p.missing) > 0 {
		needs = strings.Join(p.missing, ", ")
	}
	return fmt.Sprintf("the nearest is %s, which needs %s too", p.table.Name, needs)
}
