package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"text/tabwriter"

	"tripwake/pipeline"
	"tripwake/pipeline/layout"
	"tripwake/pipeline/store"
)

// shownOfSource is how many rows of each source a trial shows.
const shownOfSource = 10

// tryPaths gives the function that loads into a store of its own, beside the one named, shows its first rows and lets it go. The
// store named is neither made nor opened. The rows go to standard output with the ledger, or, where that is for a program,
// to the messages.
func (a *app) tryPaths(format string) func(context.Context, string, []string, layout.Layout) ([]store.Entry, error) {
	return func(ctx context.Context, path string, paths []string, by layout.Layout) (entries []store.Entry, err error) {
		folder := path + ".trial" // always the same, so that what a killed trial left, patients' records, goes with the next
		if err := errors.Join(os.RemoveAll(folder), os.Mkdir(folder, 0o700)); err != nil {
			return nil, fmt.Errorf("folder for the trial: %w", err)
		}
		defer func() { err = errors.Join(err, os.RemoveAll(folder)) }()
		st, err := store.Open(ctx, filepath.Join(folder, "trial.duckdb"), a.settings.engine)
		if err != nil {
			return nil, err
		}
		defer func() { err = errors.Join(err, st.Close()) }()
		outcome, err := a.loadInto(ctx, st, paths, by)
		if err != nil {
			return nil, err
		}
		to := a.out
		if format != "table" {
			to = a.messages
		}
		if err := showSamples(ctx, st, outcome, to); err != nil {
			return nil, err
		}
		if entries, err = st.Ledger(ctx, outcome.LoadID); err != nil {
			return nil, err
		}
		if err := a.tell(ctx, st, outcome, entries); err != nil {
			return nil, err
		}
		a.say("this was a trial: nothing was stored")
		return entries, nil
	}
}

// showSamples prints the first rows of each source as they would be stored; times are UTC.
func showSamples(ctx context.Context, st *store.Store, outcome pipeline.Outcome, to *os.File) error {
	for _, source := range outcome.Sources {
		sample, err := st.Sample(ctx, source.FileID, source.Table, source.Columns, shownOfSource)
		if err != nil {
			return err
		}
		fmt.Fprintf(to, "%s -> %s, first rows as they would be stored (times in UTC)\n", source.File, source.Table)
		w := tabwriter.NewWriter(to, 0, 4, 2, ' ', 0)
		fmt.Fprintln(w, "record\t"+strings.Join(source.Columns, "\t"))
		for _, row := range sample {
			fmt.Fprintln(w, sampleLine(row))
		}
		if err := w.Flush(); err != nil {
			return err
		}
		fmt.Fprintln(to)
	}
	return nil
}

func sampleLine(row store.SampleRow) string {
	cells := make([]string, len(row.Cells))
	for i, cell := range row.Cells {
		cells[i] = oneLine(cell)
	}
	return fmt.Sprintf("%d\t%s", row.Record, strings.Join(cells, "\t"))
}
