package main

import (
	"fmt"
	"io"
	"strconv"
	"strings"
	"text/tabwriter"
	"unicode"
)

// textTable prints rows for people, columns aligned.
type textTable struct{ w *tabwriter.Writer }

func newTextTable(out io.Writer, columns ...string) textTable {
	t := textTable{tabwriter.NewWriter(out, 0, 4, 2, ' ', 0)}
	t.row(columns...)
	return t
}

func (t textTable) row(cells ...string) {
	shown := make([]string, len(cells))
	for i, cell := range cells {
		shown[i] = visible(cell)
	}
	fmt.Fprintln(t.w, strings.TrimRight(strings.Join(shown, "\t"), "\t")) // an error stays with the writer until end
}

func (t textTable) end() error { return t.w.Flush() }

// visible writes what a terminal would obey or hide (escapes, line ends, marks that turn the direction of writing, bytes
// that are no text) as Go would write it in a literal. Names of files and cells of exports are anybody's.
func visible(text string) string {
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
