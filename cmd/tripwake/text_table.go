package main

import (
	"fmt"
	"io"
	"strings"
	"text/tabwriter"

	"tripwake/queries/measures"
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
		shown[i] = measures.Visible(cell)
	}
	fmt.Fprintln(t.w, strings.TrimRight(strings.Join(shown, "\t"), "\t")) // an error stays with the writer until end
}

func (t textTable) end() error { return t.w.Flush() }
