package store_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

func open(t *testing.T, path string) *store.Store {
	t.Helper()
	st, err := store.Open(t.Context(), path, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { st.Close() })
	return st
}

func exec(t *testing.T, st *store.Store, text string) {
	t.Helper()
	if _, err := st.DB().Exec(text); err != nil {
		t.Fatal(err)
	}
}

func closed(t *testing.T, st *store.Store) {
	t.Helper()
	if err := st.Close(); err != nil {
		t.Fatal(err)
	}
}

func mode(t *testing.T, path string) os.FileMode {
	t.Helper()
	info, err := os.Stat(path)
	if err != nil {
		t.Fatal(err)
	}
	return info.Mode().Perm()
}

// DESIGN.md, Privacy: the store is readable by its owner alone; so is the log that stands beside it.
func TestTheStoreIsItsOwnersAlone(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.duckdb")
	st := open(t, path)
	exec(t, st, "create table kept.x as select 1")
	files, err := filepath.Glob(path + "*")
	if err != nil || len(files) < 1 {
		t.Fatalf("%v, %v", files, err)
	}
	for _, file := range files {
		if m := mode(t, file); m&0o077 != 0 {
			t.Errorf("%s: mode %v", file, m)
		}
	}
	closed(t, st)
	if err := os.Chmod(path, 0o644); err != nil {
		t.Fatal(err)
	}
	closed(t, open(t, path))
	if m := mode(t, path); m != 0o600 {
		t.Errorf("a store that others could read has mode %v after it was opened", m)
	}
}

func TestStoresKeepWhatTheyHold(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.duckdb")
	st := open(t, path)
	exec(t, st, "insert into kept.carried (transport_id, device_id, file_id, record_no) values ('T1', 'V1', 1, 2)")
	closed(t, st)
	again, err := store.OpenReadOnly(t.Context(), path, store.Options{Memory: "500MB", Threads: 1})
	if err != nil {
		t.Fatal(err)
	}
	defer again.Close()
	var n int
	if err := again.DB().QueryRow("select count(*) from kept.carried where transport_id = 'T1'").Scan(&n); err != nil || n != 1 {
		t.Errorf("%d rows, %v", n, err)
	}
	if _, err := again.DB().Exec("delete from kept.carried"); err == nil {
		t.Error("a store that was opened for questions was changed")
	}
	if _, err := again.DB().Exec("create temp table x as select 1"); err != nil {
		t.Errorf("questions need temporary tables: %v", err)
	}
}

// Names that mean something to the engine, its driver or SQL are names of files here.
func TestHostilePaths(t *testing.T) {
	for _, name := range []string{"50% full.duckdb", "a%2Fb.duckdb", "a%zz.duckdb", "a?b=c.duckdb", "a#b.duckdb", "a'b; drop.duckdb", `a"b.duckdb`, " a .duckdb", "ü.duckdb", "a;b&c.duckdb", "a[1]*.duckdb", "plain"} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			path := filepath.Join(dir, name)
			st := open(t, path)
			exec(t, st, "insert into kept.carried (transport_id, device_id, file_id, record_no) values ('T1', 'V1', 1, 2)")
			closed(t, st)
			entries, err := os.ReadDir(dir)
			if err != nil || len(entries) != 1 || entries[0].Name() != name {
				t.Errorf("%v, %v: want the one file %q", entries, err, name)
			}
			again, err := store.OpenReadOnly(t.Context(), path, store.Options{})
			if err != nil {
				t.Fatal(err)
			}
			closed(t, again)
		})
	}
}

// A path that the engine would write its log elsewhere for is refused before anything is written.
func TestFolderWithAQuestionMark(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "q?d")
	if err := os.Mkdir(dir, 0o700); err != nil {
		t.Fatal(err)
	}
	if _, err := store.Open(t.Context(), filepath.Join(dir, "a.db"), store.Options{}); err == nil || !strings.Contains(err.Error(), "question mark in its name; name another with --store") {
		t.Errorf("%v", err)
	}
	if entries, err := os.ReadDir(dir); err != nil || len(entries) > 0 {
		t.Errorf("%v %v are left", entries, err)
	}
}

// What is no store is refused in one line that names it, and is left as it was.
func TestFilesThatAreNoStore(t *testing.T) {
	dir := t.TempDir()
	text := filepath.Join(dir, "letter.txt")
	if err := os.WriteFile(text, []byte(strings.Repeat("Dear colleague, ", 4000)), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(text, 0o644); err != nil {
		t.Fatal(err)
	}
	foreign, old := filepath.Join(dir, "foreign.duckdb"), filepath.Join(dir, "old.duckdb")
	st := open(t, foreign)
	exec(t, st, "drop schema ledger cascade")
	closed(t, st)
	st = open(t, old)
	exec(t, st, "update ledger.layout set number = number + 41")
	closed(t, st)
	if err := os.Chmod(foreign, 0o644); err != nil {
		t.Fatal(err)
	}
	folder := filepath.Join(dir, "folder")
	if err := errors.Join(os.Mkdir(folder, 0o755), os.Chmod(folder, 0o755)); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ path, want, wantReading string }{
		{text, "is no tripwake store", "is no tripwake store"},
		{foreign, "no tripwake store", "no tripwake store"},
		{old, "has layout 46, this program reads layout 5", "has layout 46, this program reads layout 5"},
		{folder, "name a file", "name a file"},
		{filepath.Join(dir, "nowhere", "a.duckdb"), "nowhere", "load exports first"},
		{filepath.Join(text, "a.duckdb"), "letter.txt", "load exports first"},
	} {
		t.Run(filepath.Base(c.path), func(t *testing.T) {
			_, err := store.Open(t.Context(), c.path, store.Options{})
			checkRefusal(t, err, c.path, c.want)
			_, err = store.OpenReadOnly(t.Context(), c.path, store.Options{})
			checkRefusal(t, err, c.path, c.wantReading)
		})
	}
	for path, want := range map[string]os.FileMode{text: 0o644, foreign: 0o644, folder: 0o755} {
		if m := mode(t, path); m != want {
			t.Errorf("%s is no store, and its mode was changed to %v", path, m)
		}
	}
}

// A first load that was killed before its first transaction leaves a database without tables: there is nothing to read, and the next
// load begins anew.
func TestStoreThatWasNotBegun(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a.duckdb")
	st := open(t, path)
	for _, schema := range []string{"kept", "link", "ledger"} {
		exec(t, st, "drop schema "+schema+" cascade")
	}
	closed(t, st)
	_, err := store.OpenReadOnly(t.Context(), path, store.Options{})
	checkRefusal(t, err, path, "load exports first")
	closed(t, open(t, path))
	again, err := store.OpenReadOnly(t.Context(), path, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	closed(t, again)
}

func checkRefusal(t *testing.T, err error, path, want string) {
	t.Helper()
	if err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), path) || strings.Contains(err.Error(), "\n") {
		t.Errorf("%v: want one line that names the file and says %q", err, want)
	}
}

// A change that fails, for whatever reason, is none.
func TestUpdateIsAllOrNothing(t *testing.T) {
	st := open(t, filepath.Join(t.TempDir(), "a.duckdb"))
	count := func() (n int) {
		if err := st.DB().QueryRow("select count(*) from kept.carried").Scan(&n); err != nil {
			t.Fatal(err)
		}
		return n
	}
	const row = "insert into kept.carried (transport_id, device_id, file_id, record_no) values ('T1', 'V1', 1, 2)"
	boom := errors.New("boom")
	err := st.Update(t.Context(), func(e store.Engine) error {
		if _, err := e.Exec(row, row); err != nil {
			return err
		}
		return boom
	})
	if !errors.Is(err, boom) || count() != 0 {
		t.Errorf("%v, %d rows after a change that failed", err, count())
	}
	err = st.Update(t.Context(), func(e store.Engine) error { _, err := e.Exec(row, "select nonsense"); return err })
	if err == nil || count() != 0 {
		t.Errorf("%v, %d rows after a statement that failed", err, count())
	}
	ctx, cancel := context.WithCancel(t.Context())
	err = st.Update(ctx, func(e store.Engine) error { _, err := e.Exec(row); cancel(); return err })
	if err == nil || count() != 0 {
		t.Errorf("%v, %d rows after an interruption", err, count())
	}
	if err := st.Update(t.Context(), func(e store.Engine) error { _, err := e.Exec(row); return err }); err != nil || count() != 1 {
		t.Errorf("%v, %d rows, want 1", err, count())
	}
}

// Every table of the contract is there, with its columns in order, after those that say where a row came from.
func TestSchemaIsTheContract(t *testing.T) {
	st := open(t, filepath.Join(t.TempDir(), "a.duckdb"))
	for _, table := range records.Tables() {
		rows, err := st.DB().Query("select * from kept." + table.Name)
		if err != nil {
			t.Fatal(err)
		}
		columns, err := rows.Columns()
		rows.Close()
		if err != nil || len(columns) < len(table.Columns)+3 {
			t.Fatalf("%s: %v, %v", table.Name, columns, err)
		}
		for i, c := range table.Columns {
			if columns[i] != c.Name {
				t.Errorf("%s: column %d is %s, want %s", table.Name, i+1, columns[i], c.Name)
			}
		}
	}
}

func TestLoadsAreNumberedAndDated(t *testing.T) {
	st := open(t, filepath.Join(t.TempDir(), "a.duckdb"))
	if at, err := st.LastLoad(t.Context()); err != nil || !at.IsZero() {
		t.Errorf("last load of an empty store: %v, %v", at, err)
	}
	when := time.Date(2026, 3, 1, 10, 0, 0, 0, time.FixedZone("", 3600))
	for want := int64(1); want <= 2; want++ {
		load, file, err := st.Engine(t.Context()).BeginLoad(store.LoadRow{At: when.Add(time.Duration(want) * time.Hour), Program: "test", Zone: "UTC"})
		if err != nil || load != want || file != want {
			t.Fatalf("load %d, file %d, %v: want %d", load, file, err, want)
		}
		if err := st.Engine(t.Context()).AddFile(store.FileRow{FileID: file, LoadID: load, Path: "a'b.csv", Table: "carried", Header: []string{"x", "y\"]"}, Read: 3, Stored: 1, Repeated: 1, Refused: 1}); err != nil {
			t.Fatal(err)
		}
	}
	if at, err := st.LastLoad(t.Context()); err != nil || !at.Equal(when.Add(2*time.Hour)) {
		t.Errorf("last load %v, %v", at, err)
	}
	for load, want := range map[int64]int64{0: 6, 1: 3, 2: 3, 3: 0} {
		entries, err := st.Ledger(t.Context(), load)
		var read int64
		for _, e := range entries {
			read += e.Read
		}
		if err != nil || read != want {
			t.Errorf("load %d: %d read, %v: want %d", load, read, err, want)
		}
	}
}

func TestQuoting(t *testing.T) {
	st := open(t, filepath.Join(t.TempDir(), "a.duckdb"))
	for _, text := range []string{"", "a", "'", "''", `"`, `a"b'c`, "a\nb", `\'`, "--", "é"} {
		var got string
		if err := st.DB().QueryRow("select " + store.Literal(text)).Scan(&got); err != nil || got != text {
			t.Errorf("%q became %q, %v", text, got, err)
		}
		if text == "" {
			continue
		}
		if err := st.DB().QueryRow("select x from (select 1 as " + store.Quote(text) + ") t(x) where (select " + store.Quote(text) + " from (select 1 as " + store.Quote(text) + ")) = 1").Scan(&got); err != nil || got != "1" {
			t.Errorf("name %q: %q, %v", text, got, err)
		}
	}
}

// What a killed process spilled to disk, patients' records, goes when the store is next opened for writing; a store that is read
// alone is left as it is.
func TestSpilledDataOfKilledProcesses(t *testing.T) {
	path := filepath.Join(t.TempDir(), "a[1].duckdb")
	closed(t, open(t, path))
	left := path + ".scratch-1"
	if err := errors.Join(os.Mkdir(left, 0o700), os.WriteFile(filepath.Join(left, "x.tmp"), nil, 0o600), os.WriteFile(path+".scratch", nil, 0o600)); err != nil {
		t.Fatal(err)
	}
	reading, err := store.OpenReadOnly(t.Context(), path, store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	closed(t, reading)
	if _, err := os.Stat(left); err != nil {
		t.Error("reading removed what another reader may need")
	}
	closed(t, open(t, path))
	if _, err := os.Stat(left); err == nil {
		t.Error("spilled data was left")
	}
	if _, err := os.Stat(path + ".scratch"); err != nil {
		t.Error("a file that is no scratch folder was removed")
	}
}
