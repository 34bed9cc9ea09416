package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"time"

	"github.com/spf13/cobra"

	"tripwake/pipeline"
	"tripwake/pipeline/store"
	"tripwake/queries/measures"
)

// undo takes a load back and gives the ledger of what remains.
func (a *app) undo(ctx context.Context, load int64) (entries []store.Entry, err error) {
	if err := a.needStore(); err != nil {
		return nil, err
	}
	st, err := store.Open(ctx, a.settings.store, a.settings.engine)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	undone, err := pipeline.Undo(ctx, st, load, pipeline.Options{Zone: a.settings.zone, Now: now(), Program: version})
	if err != nil {
		return nil, err
	}
	a.say("load %d of %s undone: %d files, %d stored and %d refused rows", undone.Load, undone.LoadedAt.Format(time.DateTime), undone.Files, undone.Stored, undone.RefusedOfLoad)
	if undone.Kept > 0 {
		a.say("%d of these rows stay, since later loads hold them too; they are rows of those loads now", undone.Kept)
	}
	return st.Ledger(ctx, 0)
}

// needStore refuses to make a store where there is none to undo anything in.
func (a *app) needStore() error {
	st, err := store.OpenReadOnly(context.Background(), a.settings.store, a.settings.engine)
	if err != nil {
		return err
	}
	return st.Close()
}

// loadArguments wants paths, or a load to undo, and not both.
func loadArguments(undo *int64) cobra.PositionalArgs {
	return func(cmd *cobra.Command, args []string) error {
		if !cmd.Flags().Changed("undo") {
			return needArguments("PATH: name the folder that holds the exports")(cmd, args)
		}
		switch {
		case len(args) > 0:
			return usage(errors.New("--undo: expected no PATH beside it"))
		case *undo < 1:
			return usage(fmt.Errorf("--undo %d: expected the number of a load; `tripwake ledger --loads` lists them", *undo))
		}
		return nil
	}
}

// printLoads prints every load, undone ones among them.
func (a *app) printLoads(ctx context.Context, format string) (err error) {
	st, err := store.OpenReadOnly(ctx, a.settings.store, a.settings.engine)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	loads, err := st.Loads(ctx)
	if err != nil {
		return err
	}
	if format == "json" {
		e := json.NewEncoder(a.out)
		for _, l := range loads {
			if err := e.Encode(l); err != nil {
				return err
			}
		}
		return nil
	}
	columns := []string{"load", "loaded_at", "program", "time_zone", "files", "read", "stored", "undone_at", "undone_by"}
	if format == "csv" {
		rows := [][]string{columns}
		for _, l := range loads {
			rows = append(rows, loadCells(l, measures.Defuse))
		}
		return csv.NewWriter(a.out).WriteAll(rows)
	}
	t := newTextTable(a.out, columns...)
	for _, l := range loads {
		t.row(loadCells(l, func(text string) string { return text })...)
	}
	return t.end()
}

func loadCells(l store.LoadEntry, safe func(string) string) []string {
	undone := ""
	if l.UndoneAt != nil {
		undone = l.UndoneAt.Format(time.RFC3339)
	}
	return []string{fmt.Sprint(l.Load), l.LoadedAt.Format(time.RFC3339), safe(l.Program), safe(l.TimeZone), fmt.Sprint(l.Files),
		fmt.Sprint(l.Read), fmt.Sprint(l.Stored), undone, safe(l.UndoneBy)}
}
