// Package store is the DuckDB file that keeps the records.
//
// In: statements made by the other stages of the pipeline. Out: tables of typed records in the schema `kept`, each row
// with the file and record number it came from, and the `ledger` of what was read, stored, repeated and refused.
// It refuses a file that is no store, a store of another layout, and a second process while one is writing.
// Only this package knows the engine's driver.
package store

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	"github.com/marcboeker/go-duckdb/v2"
)

// layout is the number of the store's layout; a store with another number is refused, never altered in place.
const layout = 5

// Options bounds what the engine may use. Zero values leave the engine's defaults.
type Options struct {
	Memory  string // most memory the engine may take before it spills to disk, such as "1500MB"
	Threads int    // worker threads
	Sealed  bool   // once it is open, no statement can reach another file, load an extension or change a setting of the engine
}

// Store is one open DuckDB file. It has a single connection, so temporary tables live as long as it is open.
type Store struct {
	db   *sql.DB
	path string
}

// Open opens the store at path for writing and creates it, readable by its owner alone, where there is none.
func Open(ctx context.Context, path string, o Options) (*Store, error) {
	if err := regular(path); err != nil {
		return nil, err
	}
	restrictNewFiles()
	s, err := connect(ctx, path, o, readWrite)
	if err != nil {
		return nil, err
	}
	if err := clearScratch(path); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	if err := s.ensureSchema(ctx); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	if err := ownerOnly(path); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// OpenReadOnly opens an existing store for questions. Temporary tables can be made, kept records cannot be changed.
func OpenReadOnly(ctx context.Context, path string, o Options) (*Store, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, fmt.Errorf("store %s: no such file; load exports first with `tripwake load PATH --store %s`", path, path)
	}
	if err := regular(path); err != nil {
		return nil, err
	}
	restrictNewFiles()
	s, err := connect(ctx, path, o, readOnly)
	if err != nil {
		return nil, err
	}
	if err := s.checkLayout(ctx); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// DB gives the connection pool, which holds one connection.
func (s *Store) DB() *sql.DB { return s.db }

// Path is the store's file.
func (s *Store) Path() string { return s.path }

// Close closes the store. It is safe on a store that was never opened.
func (s *Store) Close() error {
	if s == nil || s.db == nil {
		return nil
	}
	return s.db.Close()
}

// connect opens the file by an ATTACH: in the driver's own data source name a path with a question mark, a number sign or
// a percent sign would be taken for settings, or cut.
func connect(ctx context.Context, path string, o Options, mode string) (*Store, error) {
	open := fmt.Sprintf("attach if not exists %s as tripwake (%s); use tripwake", Literal(path), mode)
	if o.Sealed {
		open += "; " + seal
	}
	connector, err := duckdb.NewConnector("?"+o.query(path), func(conn driver.ExecerContext) error {
		_, err := conn.ExecContext(context.Background(), open, nil)
		return err
	})
	if err != nil {
		return nil, openError(path, err)
	}
	db := sql.OpenDB(connector)
	db.SetMaxOpenConns(1)
	if err := db.PingContext(ctx); err != nil {
		return nil, errors.Join(openError(path, err), db.Close())
	}
	return &Store{db: db, path: path}, nil
}

// seal shuts the door behind an open store.
const seal = "set timezone = 'UTC'; set enable_external_access = false; set allow_community_extensions = false; set lock_configuration = true"

// The two ways to open a store.
const (
	readWrite = "read_write"
	readOnly  = "read_only"
)

// query makes the engine's settings; extensions are never fetched, since a store must work without a network. The storage
// version stays at the engine's default: with a newer one DuckDB 1.4.1 packs text in a way that forgets, once the file is
// opened again, that a column is NULL throughout, and `is null` finds nothing.
func (o Options) query(path string) string {
	q := url.Values{
		"autoinstall_known_extensions": {"false"},
		"autoload_known_extensions":    {"false"},
	}
	if o.Memory != "" {
		q.Set("memory_limit", o.Memory)
	}
	if o.Threads > 0 {
		q.Set("threads", fmt.Sprint(o.Threads))
	}
	q.Set("temp_directory", scratchOf(path))
	return q.Encode()
}

// scratchOf is the folder for what the engine spills to disk. Each process has its own, since several may read a store at once.
func scratchOf(path string) string { return fmt.Sprintf("%s.scratch-%d", path, os.Getpid()) }

// clearScratch removes what killed processes spilled, patients' records: while this one has the store open for writing no
// other can have it open.
func clearScratch(path string) error {
	left, err := os.ReadDir(filepath.Dir(path))
	if err != nil {
		return fmt.Errorf("store %s: its folder cannot be read: %w", path, err)
	}
	for _, entry := range left {
		if !strings.HasPrefix(entry.Name(), filepath.Base(path)+".scratch-") {
			continue
		}
		if err := os.RemoveAll(filepath.Join(filepath.Dir(path), entry.Name())); err != nil {
			return fmt.Errorf("store %s: the scratch folder of an earlier run cannot be removed: %w", path, err)
		}
	}
	return nil
}

func openError(path string, err error) error {
	switch text := err.Error(); {
	case strings.Contains(text, "Could not set lock"):
		return fmt.Errorf("store %s: another tripwake is writing or reading it; wait until that has ended", path)
	case strings.Contains(text, "not a valid DuckDB database"):
		return fmt.Errorf("store %s: the file is no tripwake store; name another with --store", path)
	default:
		return fmt.Errorf("store %s: cannot be opened: %s", path, strings.ReplaceAll(text, "\n", " "))
	}
}

// Damaged says of an error that the engine found the store's file cut off or changed.
func Damaged(err error) bool {
	text := err.Error()
	return strings.Contains(text, "Corrupt database file") || strings.Contains(text, "database has been invalidated") && strings.Contains(text, "checksum")
}

// regular refuses what cannot be a store before anything is done to it. The engine puts the name of its log before the first question mark of a path, even where
// that stands in the name of a folder.
func regular(path string) error {
	if strings.Contains(filepath.Dir(path), "?") {
		return fmt.Errorf("store %s: a store cannot lie in a folder with a question mark in its name; name another with --store", path)
	}
	info, err := os.Stat(path)
	if err == nil && !info.Mode().IsRegular() {
		return fmt.Errorf("store %s: is a folder or no plain file; name a file with --store", path)
	}
	return nil
}

// ownerOnly mends the mode of a store that was copied or restored; a new one is made with it.
func ownerOnly(path string) error {
	if err := os.Chmod(path, 0o600); err != nil {
		return fmt.Errorf("store %s: cannot be made readable by its owner alone: %w", path, err)
	}
	return nil
}
