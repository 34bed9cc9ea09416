// Package storetest opens stores for tests.
//
// In: a test. Out: an empty store in a folder of the test's, closed with it, and what a question to it answers as text. It fails the
// test where a store cannot be opened, closed or asked.
package storetest

import (
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline/store"
)

// Open opens an empty store, which is closed when the test ends.
func Open(t testing.TB, o store.Options) *store.Store {
	t.Helper()
	st, err := store.Open(t.Context(), filepath.Join(t.TempDir(), "a.duckdb"), o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := st.Close(); err != nil {
			t.Error(err)
		}
	})
	return st
}

// Rows answers a question with one text a row, cells parted by a bar; NULL is <nil>.
func Rows(t testing.TB, st *store.Store, question string) (lines []string) {
	t.Helper()
	rows, err := st.DB().Query(question)
	if err != nil {
		t.Fatalf("%s: %v", question, err)
	}
	defer rows.Close()
	columns, err := rows.Columns()
	if err != nil {
		t.Fatal(err)
	}
	for rows.Next() {
		cells, into := make([]any, len(columns)), make([]any, len(columns))
		for i := range cells {
			into[i] = &cells[i]
		}
		if err := rows.Scan(into...); err != nil {
			t.Fatal(err)
		}
		lines = append(lines, line(cells))
	}
	if err := rows.Err(); err != nil {
		t.Fatal(err)
	}
	return lines
}

func line(cells []any) string {
	texts := make([]string, len(cells))
	for i, c := range cells {
		if at, ok := c.(time.Time); ok {
			c = at.Format("2006-01-02 15:04:05.999999")
		}
		texts[i] = fmt.Sprint(c)
	}
	return strings.Join(texts, "|")
}
