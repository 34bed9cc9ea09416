package draft

import (
	"maps"
	"slices"
	"strings"
)

// missingTexts stand for an empty cell in many exports.
var missingTexts = []string{"-", "--", "---", "----", "n/a", "#n/a", "null", "?", "n/k", "k.a.", "k. a.", "not recorded", "s/d", "."}

// What a text must be to stand for an empty cell though it is none of those: short, without a digit, and in so many columns.
const (
	longestBlank   = 6
	leastOfColumns = 4 // and a third of all
)

// blanks finds the texts, in small letters, that stand for an empty cell in an export: those of missingTexts, and short words
// that stand in a third of its columns, which no code does; yes and no do.
func (g *group) blanks() map[string]bool {
	found := map[string]bool{}
	for _, text := range missingTexts {
		found[text] = true
	}
	columns := map[string]int{}
	for i := range g.samples[0].header {
		here := map[string]bool{}
		for _, cell := range g.cells(i) {
			here[strings.ToLower(cell)] = true
		}
		for text := range here {
			columns[text]++
		}
	}
	for _, text := range slices.Sorted(maps.Keys(columns)) {
		wide := columns[text] >= max(leastOfColumns, len(g.samples[0].header)/3)
		if wide && text != "" && len(text) <= longestBlank && !strings.ContainsAny(text, "0123456789") && len(spokenFlags[plainly(text)]) == 0 {
			found[text] = true
		}
	}
	return found
}
