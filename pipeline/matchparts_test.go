package pipeline

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline/store"
)

// What is compared at a time changes nothing: of a log that overlaps stored rows, with equal rows in it, as many are repeated in
// parts of three rows as in one. Worked out: 40 moments, each twice in the first file and three times in the second, are 80 stored,
// then 80 repeated and 40 stored; the reading of another quantity meets no stored row.
func TestRepeatedRowsInParts(t *testing.T) {
	whole := matchedAtOnce
	t.Cleanup(func() { matchedAtOnce = whole })
	for _, matchedAtOnce = range []int64{3, whole} {
		dir := t.TempDir()
		log := func(name string, times int, more string) string {
			var b strings.Builder
			b.WriteString("device_id,recorded_at,quantity,value\n")
			for minute := range 40 {
				for range times {
					fmt.Fprintf(&b, "V1,2026-03-10 10:%02d,spo2,95\n", minute)
				}
			}
			path := filepath.Join(dir, name)
			if err := os.WriteFile(path, []byte(b.String()+more), 0o600); err != nil {
				t.Fatal(err)
			}
			return path
		}
		st, err := store.Open(t.Context(), filepath.Join(dir, "t.duckdb"), store.Options{})
		if err != nil {
			t.Fatal(err)
		}
		want := []string{"80=80+0", "121=41+80", "121=0+121"}
		second := log("readings-2.csv", 3, "V1,2026-03-10 10:00,pip,20\n")
		for i, path := range []string{log("readings-1.csv", 2, ""), second, second} {
			if got := loadedRows(t.Context(), t, st, path); got != want[i] {
				t.Errorf("%d at once, load %d: got %s, want %s", matchedAtOnce, i+1, got, want[i])
			}
		}
		if err := st.Close(); err != nil {
			t.Error(err)
		}
	}
}

// loadedRows loads a file and gives read=stored+repeated.
func loadedRows(ctx context.Context, t *testing.T, st *store.Store, path string) string {
	t.Helper()
	out, err := Load(ctx, st, []string{path}, Options{Zone: time.UTC, Now: time.Unix(0, 0), Program: "test"})
	if err != nil {
		t.Fatal(err)
	}
	entries, err := st.Ledger(ctx, out.LoadID)
	if err != nil || len(entries) != 1 {
		t.Fatalf("got %v, %v", entries, err)
	}
	return fmt.Sprintf("%d=%d+%d", entries[0].Read, entries[0].Stored, entries[0].Repeated)
}
