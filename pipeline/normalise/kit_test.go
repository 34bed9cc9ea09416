package normalise_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline"
	"tripwake/pipeline/store"
	"tripwake/pipeline/store/storetest"
)

// loaded loads one file and gives the store. The whole pipeline runs, so that what is checked is what is kept.
func loaded(t *testing.T, name, text string, zone *time.Location) *store.Store {
	t.Helper()
	dir, err := os.MkdirTemp("", "normalise") // not t.TempDir: its name would hold the test's, with units
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.RemoveAll(dir) })
	st := storetest.Open(t, store.Options{})
	path := filepath.Join(dir, name)
	if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := pipeline.Load(t.Context(), st, []string{path}, pipeline.Options{Zone: zone, Now: time.Unix(1, 0), Program: "test"}); err != nil {
		t.Fatal(err)
	}
	return st
}

// table answers a question with one text a row, cells parted by a bar; an empty cell is empty text.
func table(t *testing.T, st *store.Store, question string) []string {
	t.Helper()
	lines := storetest.Rows(t, st, question)
	for i := range lines {
		lines[i] = strings.ReplaceAll(lines[i], "<nil>", "")
	}
	return lines
}

// outcomes loads cells of one optional column of a table, each in a row of its own, and gives for each the value kept or
// the reason for which it was refused, after an exclamation mark.
func outcomes(t *testing.T, tableName, required, filling, header string, cells []string, zone *time.Location) []string {
	t.Helper()
	column, _, _ := strings.Cut(header, " ")
	text := required + ";" + header + "\n"
	for i, cell := range cells {
		text += strings.ReplaceAll(filling, "#", fmt.Sprint(i)) + `;"` + strings.ReplaceAll(cell, `"`, `""`) + "\"\n"
	}
	st := loaded(t, tableName+".csv", text, zone)
	got := table(t, st, fmt.Sprintf(`select coalesce('!' || reason, %[1]s::varchar) from kept.%[2]s k
		left join ledger.refused_cells c on c.record_no = k.record_no order by k.record_no`, column, tableName))
	if len(got) != len(cells) {
		t.Fatalf("%d rows kept, want %d", len(got), len(cells))
	}
	return got
}
