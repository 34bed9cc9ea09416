// Package extract writes the researcher's files: one row for each transport with every derived quantity, episodes, alarms,
// gas, power and what could not be judged, as Parquet, Arrow IPC and CSV, with a codebook and a manifest.
//
// In: a reader of the store, how much may be told (queries.Disclosure), and the hashes of what the extract was made from. Out: a
// folder that its owner alone can read, the same bytes for the same input. It refuses a folder that holds anything but
// an earlier extract, and it removes what it wrote where the check, which reads every finished file back, finds a text of the
// store that could name somebody.
//
// Privacy follows 45 CFR 164.514(b)(2) as a model. That is no legal finding: whether an extract may leave a hospital is
// for those to say who answer for the records.
//
// Values come in typed batches from package queries; there is no SQL here, and no arithmetic beyond counting cells.
package extract

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"sync"

	"tripwake/queries"
)

// Model is what every extract says of the rules that it follows.
const Model = "Made after the model of 45 CFR 164.514(b)(2). This is no legal finding: those who answer for the records decide whether it may be passed on."

// batchRows is how many rows are in memory at a time; each batch is a row group of the Parquet file and a record batch of
// the Arrow file.
const batchRows = 20000

// Input is what an extract is made of. The hashes are SHA-256 in hex; Inputs are those of the exports that were loaded.
// CohortHash is empty where every transport was asked for.
type Input struct {
	Reader                              *queries.Reader
	Disclosure                          queries.Disclosure
	Version                             string
	Inputs                              []string
	StoreHash, SettingsHash, CohortHash string

	alter func(table string, b queries.Batch) // tests let something through with it
}

// Summary says what was written: the folder's files in order, rows by table, and how well transports are hidden.
type Summary struct {
	Files   []string
	Rows    map[string]int
	Classes queries.Classes
}

// Write makes the extract in a folder beside dir and moves it there once the check has passed: dir holds a whole extract or
// what it held before. An earlier extract in dir is replaced.
func Write(ctx context.Context, dir string, in Input) (s Summary, err error) {
	if err := free(dir); err != nil {
		return s, err
	}
	partial := filepath.Clean(dir) + ".partial"
	if err := fresh(partial); err != nil {
		return s, err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(partial)) }()
	identifiers, err := in.Reader.Identifiers(ctx)
	if err != nil {
		return s, err
	}
	if s, err = in.writeAll(ctx, partial, newSearch(in.tables(), identifiers)); err != nil {
		return s, err
	}
	return s, replace(dir, partial)
}

func (in Input) tables() []queries.ReleasedTable { return queries.ReleasedTables(in.Disclosure) }

// writeAll writes every file and has each read back.
func (in Input) writeAll(ctx context.Context, dir string, search *search) (s Summary, err error) {
	s = Summary{Rows: map[string]int{}}
	if s.Classes, err = in.Reader.Release(ctx, in.Disclosure); err != nil {
		return s, err
	}
	books, err := in.writeTables(ctx, dir, search)
	if err != nil {
		return s, err
	}
	for _, b := range books {
		s.Rows[b.table.Name] = b.rows
	}
	if err := writeCodebook(dir, in, books, s.Classes); err != nil {
		return s, err
	}
	if s.Files, err = writeManifest(dir, in, books, s.Classes); err != nil {
		return s, err
	}
	return s, removed(search.documents(dir))
}

// writeTables writes one table after the other and reads each back while the next is written.
func (in Input) writeTables(ctx context.Context, dir string, search *search) (books []book, err error) {
	tables := in.tables()
	found := make([]error, len(tables))
	var looks sync.WaitGroup
	defer looks.Wait()
	for i, t := range tables {
		b, err := in.writeTable(ctx, dir, t)
		if err != nil {
			return nil, fmt.Errorf("table %s: %w", t.Name, err)
		}
		books = append(books, b)
		looks.Go(func() { found[i] = search.table(dir, t) })
	}
	looks.Wait()
	return books, removed(cmp.Or(found...))
}

// removed says of what the check found what becomes of the extract.
func removed(err error) error {
	if err != nil {
		return fmt.Errorf("the extract was removed: %w", err)
	}
	return nil
}
