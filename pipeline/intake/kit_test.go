package intake_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
	"tripwake/pipeline/store"
	"tripwake/pipeline/store/storetest"
)

// openStore gives the engine through an empty store.
func openStore(t *testing.T) *store.Store {
	t.Helper()
	return storetest.Open(t, store.Options{})
}

// write puts a file into a folder and gives its path.
func write(t *testing.T, folder, name string, content []byte) string {
	t.Helper()
	path := filepath.Join(folder, name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(path, content, 0o600); err != nil {
		t.Fatal(err)
	}
	return path
}

// inspect finds the one export in a path and looks into it.
func inspect(t *testing.T, path string) (intake.Source, error) {
	t.Helper()
	return inspectInto(t, path, t.TempDir())
}

// inspectInto is that with a scratch folder of one's own.
func inspectInto(t *testing.T, path, folder string) (intake.Source, error) {
	t.Helper()
	found, err := intake.Find([]string{path}, layout.Layout{})
	if err != nil {
		t.Fatal(err)
	}
	if len(found.Candidates) != 1 {
		t.Fatalf("%s: %d exports found, want 1", path, len(found.Candidates))
	}
	return intake.Inspect(found.Candidates[0], folder, 0)
}

// inspected is inspect for content that must be understood.
func inspected(t *testing.T, name string, content []byte) intake.Source {
	t.Helper()
	s, err := inspect(t, write(t, t.TempDir(), name, content))
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// stage lets the engine read a source and gives its cells, and the record numbers of rejected records.
func stage(t *testing.T, st *store.Store, s intake.Source) (rows [][]string, rejected []int64) {
	t.Helper()
	for _, text := range []string{"drop table if exists bad", "drop table if exists bad_scan", s.StageSQL("rows_read", "bad")} {
		if _, err := st.DB().Exec(text); err != nil {
			t.Fatalf("%s: %v", s.Name, err)
		}
	}
	cells := ""
	for i := range s.Header {
		cells += fmt.Sprintf(", c%d", i)
	}
	found, err := st.DB().Query("select ['' " + cells + "] from rows_read order by rowid")
	if err != nil {
		t.Fatal(err)
	}
	defer found.Close()
	for found.Next() {
		var list any
		if err := found.Scan(&list); err != nil {
			t.Fatal(err)
		}
		var row []string
		for _, cell := range list.([]any)[1:] {
			row = append(row, cell.(string))
		}
		rows = append(rows, row)
	}
	return rows, numbers(t, st, "select distinct line from bad order by line")
}

func numbers(t *testing.T, st *store.Store, question string) (all []int64) {
	t.Helper()
	rows, err := st.DB().Query(question)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	for rows.Next() {
		var n int64
		if err := rows.Scan(&n); err != nil {
			t.Fatal(err)
		}
		all = append(all, n)
	}
	return all
}
