package draft

import (
	"regexp"
	"slices"
	"strings"

	"tripwake/pipeline/records"
)

// facet is one value of a code that headers carry instead of a column: "O2 start", "Temp on arrival receiving".
type facet struct {
	column, value string
	wants, bars   []string // concepts that a header must and must not have
	drops         []string // concepts that are taken off before the rest is looked at
	header        string   // of a check: the one header of this kind, whose cells are results
}

// facets of the tables that have them, in order; a header belongs to the first that fits.
var facets = map[string][]facet{
	"assessments": {
		{"stage", "receiving_arrival", []string{"arrive", "receiving"}, nil, stageWords, ""},
		{"stage", "referring_arrival", []string{"arrive", "referring"}, nil, stageWords, ""},
		{"stage", "referring_departure", []string{"depart"}, []string{"receiving"}, stageWords, ""},
	},
	"cylinders": {
		{"gas", "oxygen", []string{"oxygen"}, []string{"air"}, []string{"oxygen"}, ""},
		{"gas", "air", []string{"air"}, []string{"oxygen"}, []string{"air"}, ""},
		{"gas", "nitric_oxide", []string{"nitric"}, nil, []string{"nitric"}, ""},
	},
}

var stageWords = []string{"arrive", "depart", "referring", "receiving", "patient", "facility", "stage", "on", "at"}

// facets finds the sources that headers with a facet make, each with the transport's identifier. The identifier is looked for
// among all columns, values among those that nothing else has taken.
func (g *group) facets(table records.Table, columns []features, taken map[int]bool) []pick {
	var all []pick
	for _, f := range facetsOf(table, columns) {
		some := slices.Clone(columns)
		n := 0
		for i, c := range columns {
			some[i] = features{}
			switch {
			case sharedBy(table.Name, c):
				some[i] = c
			case f.takes(c) && !taken[i]:
				some[i] = f.without(c)
				n++
			}
		}
		p := pairWith(some, table, false, map[string]string{f.column: f.value})
		if n > 0 && p.loadable() && p.filledFacet() {
			all = append(all, p)
		}
	}
	return all
}

// shared are the columns that every facet of a table reads.
var shared = map[string][]string{"assessments": {"transport_id"}, "cylinders": {"transport_id"}, "checks": {"transport_id", "device_id", "recorded_at"}}

func sharedBy(table string, c features) bool {
	return slices.ContainsFunc(shared[table], func(column string) bool { return likeness(c.concepts, phrases[table][column]) >= certain })
}

// facetsOf are the facets that the headers of an export have: those of the table above, and for checks each kind of check that
// a header names while its cells are results.
func facetsOf(table records.Table, columns []features) []facet {
	if table.Name != "checks" {
		return facets[table.Name]
	}
	var all []facet
	kinds, _ := table.Column("kind")
	results, _ := table.Column("result")
	for _, c := range columns {
		header := strings.TrimSpace(brackets.ReplaceAllString(c.headers[0], ""))
		kind := codeOf(table.Name, kinds, header)
		if kind != "" && len(c.texts) > 0 && len(codesOf(table.Name, results, c.texts)) == len(c.texts) {
			all = append(all, facet{column: "kind", value: kind, header: c.headers[0]})
		}
	}
	return all
}

var brackets = regexp.MustCompile(`[(\[].*[)\]]`)

func (f facet) takes(c features) bool {
	if f.header != "" {
		return c.headers[0] == f.header
	}
	for _, w := range f.wants {
		if !slices.Contains(c.concepts, w) {
			return false
		}
	}
	return !slices.ContainsFunc(f.bars, func(b string) bool { return slices.Contains(c.concepts, b) })
}

func (f facet) without(c features) features {
	if f.header != "" {
		c.concepts, c.wider = meaning("result"), nil
		return c
	}
	dropped := func(concept string) bool { return slices.Contains(f.drops, concept) }
	c.concepts = slices.DeleteFunc(slices.Clone(c.concepts), dropped)
	c.wider = slices.DeleteFunc(slices.Clone(c.wider), dropped)
	return c
}

// filledFacet: an assessment has a measured value; a cylinder its pressures or masses at both ends.
func (p *pick) filledFacet() bool {
	if p.table.Name == "cylinders" {
		return p.columnOf("start_pressure") >= 0 && p.columnOf("end_pressure") >= 0 || p.columnOf("start_mass") >= 0 && p.columnOf("end_mass") >= 0
	}
	for _, j := range p.pairs {
		if j >= 0 && (p.targets[j].column.Kind == records.Number || p.targets[j].name() == "result") {
			return true
		}
	}
	return false
}
