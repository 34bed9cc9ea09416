package reports

import (
	"fmt"

	"tripwake/queries/measures"
)

// traitsTable describes the groups: counts with shares of the group, medians with quartiles, standardized differences.
func traitsTable(c measures.Comparison) (table, []string) {
	names := []string{"Trait"}
	for _, g := range c.Groups {
		names = append(names, fmt.Sprintf("%s, n = %s#", g.Name, g.N.Text()))
	}
	names = append(names, "All#")
	for g, group := range c.Groups {
		if g != c.Reference {
			name := "Standardized difference#"
			if len(c.Groups) > 2 {
				name = group.Name + ", standardized difference#"
			}
			names = append(names, name)
		}
	}
	t := table{Caption: "The groups", Class: "traits", Head: columns(names...), Wide: true}
	notes := []string{}
	for _, k := range c.Characteristics {
		t.trait(c, k)
		if k.Withheld && len(notes) == 0 {
			notes = append(notes, "∗ withheld: a small count, or one that would tell a small one. A standardized difference that would tell one is left away.")
		}
	}
	return t, notes
}

func (t *table) trait(c measures.Comparison, k measures.Characteristic) {
	heading := k.Title
	if unit := measures.UnitText(k.Column); unit != "" && len(k.Spreads) > 0 {
		heading += ", " + unit
	}
	first := true
	line := func(name string, cells []string, all string) {
		texts := append(append([]string{name}, cells...), all)
		for g := range c.Groups {
			if g != c.Reference {
				texts = append(texts, balanceText(k, g, first))
			}
		}
		t.add("", texts...)
		first = false
	}
	if len(k.Spreads) > 0 {
		var cells []string
		for _, s := range k.Spreads {
			cells = append(cells, s.MedianText())
		}
		line(heading, cells, "")
	} else {
		t.part(heading)
	}
	for _, l := range k.Levels {
		var cells []string
		for g, n := range l.Groups {
			cells = append(cells, n.Percent(c.Groups[g].N.N, c.ShareDigits()))
		}
		name := "\u2003" + measures.LevelWords(k.Column, l.Name)
		line(name, cells, l.All.Percent(c.N, c.ShareDigits()))
	}
}

func balanceText(k measures.Characteristic, g int, first bool) string {
	if !first || g >= len(k.Balance) || k.Balance[g] == nil {
		return ""
	}
	return measures.BalanceText(*k.Balance[g])
}
