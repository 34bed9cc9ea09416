package store

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// A sealed store is shut by the engine itself, whatever is asked of it: no file but the store, no setting, no extension.
func TestSealed(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "a.duckdb")
	s, err := Open(t.Context(), path, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	other := filepath.Join(folder, "b.csv")
	if err := os.WriteFile(other, []byte("a\n1\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	s, err = OpenReadOnly(t.Context(), path, Options{Sealed: true})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	for _, text := range []string{
		"select * from read_csv('" + other + "')", "from '" + other + "'", "select * from read_text('" + other + "')", "select * from glob('/etc/*')",
		"copy (select 1) to '" + other + ".x'", "attach '" + other + ".duckdb' as x", "install httpfs", "load httpfs",
		"set enable_external_access = true", "set lock_configuration = false", "set threads = 1", "set profile_output = 'x'", "reset memory_limit",
		"insert into ledger.layout values (9)", "create table kept.x (a int)", "drop table ledger.layout", "export database '" + folder + "/x'",
	} {
		if _, err := s.DB().Exec(text); err == nil {
			t.Errorf("%s: was done", text)
		}
	}
	if _, err := s.DB().Exec("create temp table x as select count(*) from ledger.layout"); err != nil {
		t.Errorf("a temporary table: %v", err)
	}
	left, err := filepath.Glob(folder + "/*")
	if err != nil || len(left) != 2 {
		t.Errorf("left %v, %v", left, err)
	}
}

func TestTableNames(t *testing.T) {
	s, err := Open(t.Context(), filepath.Join(t.TempDir(), "a.duckdb"), Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	names, err := s.TableNames(t.Context(), "with w as (select * from inner_one) select * from w, kept.transports as t where exists (from other)")
	for i, name := range names {
		names[i], _, _ = strings.Cut(name, " AS ")
	}
	slices.Sort(names)
	if err != nil || !slices.Equal(names, []string{"inner_one", "kept.transports", "other"}) {
		t.Errorf("%v, %v", names, err)
	}
	if _, err := s.TableNames(t.Context(), "selct"); err == nil {
		t.Error("a text that is no statement has table names")
	}
}
