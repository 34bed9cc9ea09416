package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"tripwake/pipeline"
	"tripwake/pipeline/store"
	"tripwake/queries/measures"
)

func (a *app) ledger() *cobra.Command {
	var format, refused string
	var loadID int64
	var strict, loads, clocks bool
	cmd := &cobra.Command{
		Use:   "ledger",
		Short: "Show what became of every row that was read",
		Long: "Shows for each file and table that read = stored + repeated + refused, with the reasons. A file is its name and\n" +
			"content; loads of one file are added up. --refused DIR exports the refused rows, to be mended and loaded again.\n" +
			"--clocks shows instead how each device's log runs beside its transports, in minutes, and the line of a layout that would\n" +
			"put a clock right that runs ahead or behind by a constant offset.",
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) (err error) {
			if err := checkFormat(format); err != nil {
				return err
			}
			if loads {
				if loadID != 0 || refused != "" || strict {
					return usage(errors.New("--loads: expected no --load, --refused or --strict beside it"))
				}
				return a.printLoads(cmd.Context(), format)
			}
			st, err := store.OpenReadOnly(cmd.Context(), a.settings.store, a.settings.engine)
			if err != nil {
				return err
			}
			defer func() { err = errors.Join(err, st.Close()) }()
			if clocks {
				return a.printClocks(cmd.Context(), st, format)
			}
			if err := isThere(cmd.Context(), st, loadID); err != nil {
				return err
			}
			entries, err := st.Ledger(cmd.Context(), loadID)
			if err != nil {
				return err
			}
			if err := a.printLedger(format, entries); err != nil {
				return err
			}
			if err := a.tellForgotten(cmd.Context(), st); err != nil {
				return err
			}
			if refused != "" {
				files, err := pipeline.WriteRefused(cmd.Context(), st, loadID, refused)
				if err != nil {
					return err
				}
				for _, file := range files {
					a.say("%s", file)
				}
			}
			return refusedCode(strict, entries)
		},
	}
	addFormat(cmd, &format)
	cmd.Flags().BoolVar(&loads, "loads", false, "list the loads instead, undone ones among them")
	cmd.Flags().Int64Var(&loadID, "load", 0, "number of one load; 0: all")
	cmd.Flags().StringVar(&refused, "refused", "", "folder into which the refused rows are exported as CSV")
	cmd.Flags().BoolVar(&clocks, "clocks", false, "show how each device's log runs beside its transports")
	cmd.Flags().BoolVar(&strict, "strict", false, "end with exit code 3 where rows were refused")
	return cmd
}

// isThere refuses the number of a load that is not there, or was undone; 0 stands for all.
func isThere(ctx context.Context, st *store.Store, loadID int64) error {
	if loadID == 0 {
		return nil
	}
	loads, err := st.Loads(ctx)
	if err != nil {
		return err
	}
	at := slices.IndexFunc(loads, func(l store.LoadEntry) bool { return l.Load == loadID })
	switch {
	case at < 0:
		return fmt.Errorf("--load %d: no such load; `tripwake ledger --loads` lists all", loadID)
	case loads[at].UndoneAt != nil:
		return fmt.Errorf("--load %d: was undone, and nothing of it is left; `tripwake ledger --loads` lists all", loadID)
	}
	return nil
}

// tellForgotten says how much was forgotten, and names nothing of it.
func (a *app) tellForgotten(ctx context.Context, st *store.Store) error {
	transports, patients, pending, err := st.Forgettings(ctx)
	if err != nil || transports+patients == 0 {
		return err
	}
	a.say("forgotten on request: %d transports; %d patients", transports, patients)
	if pending {
		a.say("a forgetting was interrupted, and bytes of it may be left in the file: the next load or forget takes them out")
	}
	return nil
}

func (a *app) printLedger(format string, entries []store.Entry) error {
	switch format {
	case "json":
		e := json.NewEncoder(a.out)
		for _, entry := range entries {
			if err := e.Encode(entry); err != nil {
				return err
			}
		}
		return nil
	case "csv":
		return a.ledgerCSV(entries)
	}
	return a.ledgerTable(entries)
}

var ledgerColumns = []string{"file", "table", "read", "stored", "repeated", "refused", "cells_refused", "superseded", "reasons"}

func ledgerCells(e store.Entry) []string {
	cells := []string{e.File, e.Table}
	for _, n := range []int64{e.Read, e.Stored, e.Repeated, e.Refused, e.CellsRefused, e.Superseded} {
		cells = append(cells, fmt.Sprint(n))
	}
	return append(cells, countsText(e.Reasons))
}

func (a *app) ledgerCSV(entries []store.Entry) error {
	w := csv.NewWriter(a.out)
	rows := [][]string{ledgerColumns}
	for _, e := range entries {
		cells := ledgerCells(e)
		cells[0] = measures.Defuse(cells[0])
		rows = append(rows, cells)
	}
	return w.WriteAll(rows)
}

func (a *app) ledgerTable(entries []store.Entry) error {
	t := newTextTable(a.out, ledgerColumns...)
	for _, e := range entries {
		t.row(ledgerCells(e)...)
	}
	return t.end()
}

func countsText(counts map[string]int64) string {
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(counts)) {
		parts = append(parts, fmt.Sprintf("%s %d", name, counts[name]))
	}
	return strings.Join(parts, ", ")
}
