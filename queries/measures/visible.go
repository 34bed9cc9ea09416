package measures

import (
	"strconv"
	"strings"
	"unicode"
)

// Visible writes what a terminal would obey or hide (escapes, line ends, marks that turn the direction of writing, bytes
// that are no text) as Go would write it in a literal. Names of files and cells of exports are anybody's.
func Visible(text string) string {
	if !strings.ContainsFunc(text, concealed) {
		return text
	}
	var b strings.Builder
	for _, r := range strings.ToValidUTF8(text, "\ufffd") {
		if !concealed(r) || r == '\ufffd' {
			b.WriteRune(r)
			continue
		}
		quoted := strconv.QuoteRuneToASCII(r)
		b.WriteString(quoted[1 : len(quoted)-1])
	}
	return b.String()
}

func concealed(r rune) bool {
	return r == unicode.ReplacementChar || unicode.IsControl(r) || unicode.In(r, unicode.Cf, unicode.Zl, unicode.Zp)
}
