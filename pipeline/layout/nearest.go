package layout

import (
	"fmt"
	"strings"
)

// Nearest finds the name most like the text, and whether it is so like that a slip of the hand may part them. Case, blanks,
// dashes and underscores do not matter.
func Nearest(text string, names []string) (string, bool) {
	best, least := "", 1<<30
	for _, name := range names {
		if d := distance(plain(text), plain(name)); d < least {
			best, least = name, d
		}
	}
	return best, best != "" && least <= max(1, min(len(plain(text)), len(plain(best)))/3)
}

// suggestion ends an error on an unknown name: the nearest, or, where none is near, all of a few.
func suggestion(text string, names []string) string {
	if name, ok := Nearest(text, names); ok {
		return fmt.Sprintf("did you mean %s?", name)
	}
	const few = 20
	if len(names) <= few {
		return "expected one of " + strings.Join(names, ", ")
	}
	return fmt.Sprintf("expected one of %s, … (%d in all)", strings.Join(names[:few], ", "), len(names))
}

// longest bounds what is compared, since texts may be of any length.
const longest = 100

func plain(text string) string {
	text = strings.NewReplacer(" ", "", "-", "", "_", "").Replace(strings.ToLower(text))
	return text[:min(len(text), longest)]
}

// distance is the number of bytes to put in, take out, replace or swap with their neighbour that makes one text the other
// (optimal string alignment).
func distance(a, b string) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := 1; i <= len(a); i++ {
		row[0] = i
		for j := 1; j <= len(b); j++ {
			differ := 1
			if a[i-1] == b[j-1] {
				differ = 0
			}
			row[j] = min(last[j]+1, row[j-1]+1, last[j-1]+differ)
			if i > 1 && j > 1 && a[i-1] == b[j-2] && a[i-2] == b[j-1] {
				row[j] = min(row[j], before[j-2]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
