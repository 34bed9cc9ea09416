package pipeline_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline"
	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
	"tripwake/pipeline/store/storetest"
)

// newStore opens a store that is closed with the test.
func newStore(t *testing.T) *store.Store {
	t.Helper()
	return storetest.Open(t, store.Options{})
}

// folder makes a folder of files, given as name and text in turn.
func folder(t *testing.T, nameAndText ...string) string {
	t.Helper()
	dir := t.TempDir()
	for i := 0; i < len(nameAndText); i += 2 {
		path := filepath.Join(dir, nameAndText[i])
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(nameAndText[i+1]), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

func options() pipeline.Options {
	return pipeline.Options{Zone: time.UTC, Now: time.Unix(1, 0), Program: "test"}
}

// load loads a folder made of the files given, holds the ledger's balance, and gives the entries of this load.
func load(t *testing.T, st *store.Store, nameAndText ...string) []store.Entry {
	t.Helper()
	return loadPaths(t, st, folder(t, nameAndText...))
}

func loadPaths(t *testing.T, st *store.Store, paths ...string) []store.Entry {
	t.Helper()
	out, err := pipeline.Load(t.Context(), st, paths, options())
	if err != nil {
		t.Fatal(err)
	}
	entries, err := st.Ledger(t.Context(), out.LoadID)
	if err != nil {
		t.Fatal(err)
	}
	balance(t, st, entries)
	all, err := st.Ledger(t.Context(), 0)
	if err != nil {
		t.Fatal(err)
	}
	balance(t, st, all)
	quarters(t, st)
	stored := map[string]int64{}
	for _, e := range all {
		stored[e.Table] += e.Stored
	}
	for _, table := range records.Tables() {
		if n := one(t, st, "select count(*) from kept."+table.Name); n != fmt.Sprint(stored[table.Name]) {
			t.Errorf("%s: the ledger says %d stored, the table has %s", table.Name, stored[table.Name], n)
		}
	}
	return entries
}

// balance: read = stored + repeated + refused, and the reasons add up to the refused rows, the cells to the refused cells.
func balance(t *testing.T, st *store.Store, entries []store.Entry) {
	t.Helper()
	for _, e := range entries {
		if e.Read != e.Stored+e.Repeated+e.Refused || min(e.Stored, e.Repeated, e.Refused) < 0 {
			t.Errorf("out of balance: %+v", e)
		}
		if n := sum(e.Reasons); n != e.Refused {
			t.Errorf("%d reasons for %d refused rows: %+v", n, e.Refused, e)
		}
		if n := sum(e.Cells); n != e.CellsRefused {
			t.Errorf("%d cells by column for %d refused cells: %+v", n, e.CellsRefused, e)
		}
	}
}

// quarters holds what the store tells of the samples' quarters of an hour against the samples.
func quarters(t *testing.T, st *store.Store) {
	t.Helper()
	const counted = `select file_id, trip, device_id, transport_id, time_bucket(interval 15 minutes, recorded_at, timestamp '2000-01-01') as quarter, count(*) as records,
		sum(held)::bigint as readings, min(recorded_at) as first_at, max(recorded_at) as last_at from kept.sampled_readings group by all`
	if wrong := rows(t, st, "(from kept.sampled_quarters except all ("+counted+")) union all (("+counted+") except all from kept.sampled_quarters)"); wrong != "" {
		t.Errorf("quarters that are not those of the samples:\n%s", wrong)
	}
}

func sum(counts map[string]int64) (n int64) {
	for _, c := range counts {
		n += c
	}
	return n
}

// counts renders entries briefly: file, then read, stored, repeated, refused, superseded.
func counts(entries []store.Entry) string {
	var lines []string
	for _, e := range entries {
		lines = append(lines, fmt.Sprintf("%s %d=%d+%d+%d s%d", e.File, e.Read, e.Stored, e.Repeated, e.Refused, e.Superseded))
	}
	return strings.Join(lines, "; ")
}

func wantCounts(t *testing.T, entries []store.Entry, want string) {
	t.Helper()
	if got := counts(entries); got != want {
		t.Errorf("ledger\n got %s\nwant %s", got, want)
	}
}

// rows answers a question as text: cells parted by a bar, rows by a line feed.
func rows(t *testing.T, st *store.Store, question string) string {
	t.Helper()
	return strings.Join(storetest.Rows(t, st, question), "\n")
}

func one(t *testing.T, st *store.Store, question string) string { return rows(t, st, question) }

// content is all that the store keeps: every row of every table, in order.
func content(t *testing.T, st *store.Store) string {
	t.Helper()
	quarters(t, st)
	var all []string
	tables := []string{"ledger.loads", "ledger.files", "ledger.refused_rows", "ledger.refused_cells", "link.spans"}
	for _, table := range records.Tables() {
		tables = append(tables, "kept."+table.Name)
	}
	for _, table := range tables {
		all = append(all, table, rows(t, st, "select * from "+table+" order by all"))
	}
	return strings.Join(all, "\n")
}

// contentAndRepeats is that, and which stored row each repeated one equals, which is remembered record by record or reading by reading.
func contentAndRepeats(t *testing.T, st *store.Store) string {
	t.Helper()
	repeats := "select file_id, record_no, first_row, flags from ledger.repeats union all " + store.RepeatsOfReadingsSQL(store.StoredReadingsSQL())
	return content(t, st) + "\nrepeats\n" + rows(t, st, "select * from ("+repeats+") order by all")
}
