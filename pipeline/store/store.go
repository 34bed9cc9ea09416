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
	"errors"
	"fmt"
	"net/url"
	"os"
	"strings"

	"github.com/marcboeker/go-duckdb/v2"
)

// layout is the number of the store's layout; a store with another number is refused, never altered in place.
const layout = 1

// Options bounds what the engine may use. Zero values leave the engine's defaults.
type Options struct {
	Memory  string // most memory the engine may take before it spills to disk, such as "1500MB"
	Threads int    // worker threads
	Scratch string // folder for spilled data; default: beside the store
}

// Store is one open DuckDB file. It has a single connection, so temporary tables live as long as it is open.
type Store struct {
	db   *sql.DB
	path string
}

// Open opens the store at path for writing and creates it, readable by its owner alone, where there is none.
func Open(ctx context.Context, path string, o Options) (*Store, error) {
	if err := ownerOnly(path); err != nil {
		return nil, err
	}
	s, err := connect(ctx, path, o, "read_write")
	if err != nil {
		return nil, err
	}
	if err := s.ensureSchema(ctx); err != nil {
		return nil, errors.Join(err, s.Close())
	}
	return s, nil
}

// OpenReadOnly opens an existing store for questions. Temporary tables can be made, kept records cannot be changed.
func OpenReadOnly(ctx context.Context, path string, o Options) (*Store, error) {
	if _, err := os.Stat(path); err != nil {
		return nil, fmt.Errorf("store %s: no such file; load exports first with `tripwake load PATH --store %s`", path, path)
	}
	s, err := connect(ctx, path, o, "read_only")
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

func connect(ctx context.Context, path string, o Options, mode string) (*Store, error) {
	connector, err := duckdb.NewConnector(path+"?"+o.query(mode), nil)
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

// query makes the engine's settings; extensions are never fetched, since a store must work without a network.
func (o Options) query(mode string) string {
	q := url.Values{
		"access_mode":                  {mode},
		"autoinstall_known_extensions": {"false"},
		"autoload_known_extensions":    {"false"},
	}
	if mode == "read_write" {
		// What the pinned engine writes by default is readable by much older ones and takes half as long again.
		q.Set("storage_compatibility_version", "latest")
	}
	if o.Memory != "" {
		q.Set("memory_limit", o.Memory)
	}
	if o.Threads > 0 {
		q.Set("threads", fmt.Sprint(o.Threads))
	}
	if o.Scratch != "" {
		q.Set("temp_directory", o.Scratch)
	}
	return q.Encode()
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

// ownerOnly makes the file before the engine does, since the engine would make it readable by the group and others.
// An empty file is a valid new database to the engine only if it is absent, so the mode is set on what exists.
func ownerOnly(path string) error {
	restrictNewFiles()
	if _, err := os.Stat(path); err != nil {
		return nil
	}
	if err := os.Chmod(path, 0o600); err != nil {
		return fmt.Errorf("store %s: cannot be made readable by its owner alone: %w", path, err)
	}
	return nil
}
