package draft

import (
	"fmt"
	"regexp"
	"slices"

	"tripwake/pipeline/records"
)

// constants are what a facet gives, what the text around the records says, and codes that nothing gives and that a person
// must decide.
func (g *group) constants(p pick) (all []constant) {
	for _, c := range p.table.Columns {
		value, given := p.constant[c.Name]
		switch {
		case given:
			all = append(all, constant{c.Name, value, ""})
		case p.columnOf(c.Name) >= 0 || p.wide && c.Name == "quantity":
		case c.Name == "device_id" && p.table.Log:
			if id, where := g.deviceSaid(); id != "" {
				all = append(all, constant{c.Name, id, "likely, not certain; evidence: " + where})
			}
		case c.Kind == records.Code && (c.Required || c.Name == "mode"):
			all = append(all, g.codeSaid(p.table.Name, c)...)
		}
	}
	return all
}

// codeSaid takes a code that file names or lines before the header say, if they say one alone; a required one that nothing says
// must be decided.
func (g *group) codeSaid(table string, c records.Column) []constant {
	found := map[string]bool{}
	for _, text := range g.said() {
		for _, word := range wordsOf(text) {
			if code := codeOf(table, c, word); code != "" && len(word) > 1 {
				found[code] = true
			}
		}
	}
	for code := range found {
		if len(found) == 1 {
			return []constant{{c.Name, code, "likely, not certain; evidence: a file's name or a line before the header says so"}}
		}
	}
	if !c.Required {
		return nil
	}
	return []constant{{c.Name, decide, fmt.Sprintf("nothing says which; alternatives: %s; evidence: none", choices(table, c.Name, c.Codes))}}
}

var keyAndValue = regexp.MustCompile(`^\s*([A-Za-z][A-Za-z ./#-]*?)\s*[:=;\t,]\s*([A-Za-z0-9-]+)\W*$`)

// deviceSaid finds the device that a line before the header names: "Unit: V2". Files that name several have no constant.
func (g *group) deviceSaid() (id, where string) {
	for _, s := range g.samples {
		for _, line := range s.before {
			m := keyAndValue.FindStringSubmatch(line)
			if m == nil || !slices.Contains(meaning(m[1]), "device") && !slices.Contains(meaning(m[1]), "ventilator") {
				continue
			}
			if id != "" && id != m[2] {
				return "", ""
			}
			id, where = m[2], fmt.Sprintf("a line before the header, %q", m[1])
		}
	}
	return id, where
}
