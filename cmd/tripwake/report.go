package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"

	"github.com/spf13/cobra"

	"tripwake/pipeline/store"
	"tripwake/queries"
	"tripwake/reports"
)

func (a *app) report() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "report",
		Short: "Write a report as one HTML file, or as PDF",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) == 0 {
				return usage(errors.New("missing report: name one, such as committee"))
			}
			return usage(fmt.Errorf("report %q is not known; expected committee, purchase or research", args[0]))
		},
		RunE: func(*cobra.Command, []string) error { return nil },
		// Flags belong to the reports: that no report was named is told before a flag that this command does not know.
		FParseErrWhitelist: cobra.FParseErrWhitelist{UnknownFlags: true},
	}
	cmd.AddCommand(a.committee(), a.purchaseReport(), a.research())
	return cmd
}

func (a *app) committee() *cobra.Command {
	var monthAsked, out string
	var names, full bool
	var r rendering
	cmd := &cobra.Command{
		Use:   "committee --month YYYY-MM --out DIR",
		Short: "Write the quality committee's report of one month",
		Args:  noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := month(monthAsked); err != nil {
				return usage(fmt.Errorf("--month: %w", err))
			}
			if err := a.check(r); err != nil {
				return err
			}
			path, err := a.writeCommittee(cmd.Context(), a.settings.store, monthAsked, out, names, full, r)
			if err == nil {
				fmt.Fprintln(a.out, path)
			}
			return err
		},
	}
	cmd.Flags().StringVar(&monthAsked, "month", "", "month under report, YYYY-MM; default: the last that has a transport")
	cmd.Flags().StringVar(&out, "out", ".", "folder for the report")
	cmd.Flags().BoolVar(&names, "name-transports", false, "name transports as the records do, not by pseudonym")
	cmd.Flags().BoolVar(&full, "full", false, "print everything; else paper gets the month, what stands out, the cases and the notes, and a screen all")
	r.addFlags(cmd)
	return cmd
}

// drawingGarbage lets the memory grow to five times what is in use before it is swept: a report makes many short-lived drawings and
// is gone soon after. It saves a sixth of the time.
const drawingGarbage = 400

// writeCommittee makes the report in memory and writes it as a whole, so that no half report is left behind.
func (a *app) writeCommittee(ctx context.Context, path, monthAsked, out string, names, full bool, r rendering) (file string, err error) {
	defer debug.SetGCPercent(debug.SetGCPercent(drawingGarbage))
	st, err := store.OpenReadOnly(ctx, path, a.settings.engine)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	input, err := a.committeeInput(ctx, st, monthAsked)
	if err != nil {
		return "", err
	}
	input.NameTransports, input.Full, input.Paper, input.Interactive = names, full, a.paper(r), r.interactive
	if input.Key, err = pseudonymKey(a.keyFile(path)); err != nil {
		return "", err
	}
	var page bytes.Buffer
	if err := reports.Committee(ctx, &page, input); err != nil {
		return "", err
	}
	return a.writeReport(ctx, filepath.Join(out, "committee-"+input.Month), page.Bytes(), input.GeneratedAt, r)
}

// committeeInput gathers what the report is made of. Its clock is that of the last load: the same store and settings give
// the same bytes.
func (a *app) committeeInput(ctx context.Context, st *store.Store, monthAsked string) (reports.Input, error) {
	reader, err := queries.Open(ctx, st, a.settings.queries)
	if err != nil {
		return reports.Input{}, err
	}
	input := reports.Input{Reader: reader, Month: monthAsked, Limits: a.settings.limits, RiskBaseline: a.settings.risk, Team: a.settings.team,
		Notice: a.settings.report.notice, Parts: a.settings.report.parts,
		KeyMeasures: a.settings.report.key, CasePages: a.settings.report.casePages, Version: version, SettingsHash: a.settingsHash()}
	if input.Month == "" {
		if _, input.Month, err = reader.Period(ctx); err != nil {
			return input, err
		}
		if input.Month == "" {
			return input, errors.New("the store has no transport with a month; load transports first, or name a month with --month")
		}
	}
	if input.GeneratedAt, err = st.LastLoad(ctx); err != nil {
		return input, err
	}
	entries, err := st.Ledger(ctx, 0)
	if err != nil {
		return input, err
	}
	input.Ledger, input.Inputs = ledgerLines(entries)
	layouts, err := st.Layouts(ctx)
	for _, l := range layouts {
		input.Inputs = append(input.Inputs, reports.InputFile{Name: l.Name, SHA256: l.SHA256})
	}
	return input, err
}

// ledgerLines adds the files' entries up by table and lists each file once.
func ledgerLines(entries []store.Entry) (lines []reports.LedgerLine, files []reports.InputFile) {
	at := map[string]int{}
	for _, e := range entries {
		if file := (reports.InputFile{Name: e.File, SHA256: e.SHA256}); !slices.Contains(files, file) {
			files = append(files, file) // one file may feed several tables
		}
		i, ok := at[e.Table]
		if !ok {
			i = len(lines)
			at[e.Table] = i
			lines = append(lines, reports.LedgerLine{Table: e.Table, Reasons: map[string]int64{}})
		}
		l := &lines[i]
		l.Read, l.Stored, l.Repeated = l.Read+e.Read, l.Stored+e.Stored, l.Repeated+e.Repeated
		l.Refused, l.CellsRefused, l.Superseded = l.Refused+e.Refused, l.CellsRefused+e.CellsRefused, l.Superseded+e.Superseded
		for reason, n := range e.Reasons {
			l.Reasons[reason] += n
		}
	}
	return lines, files
}

// settingsHash covers the settings that change what a report says, not where files lie or how much memory is used.
func (a *app) settingsHash() string {
	h := sha256.New()
	e := json.NewEncoder(h)
	for _, o := range a.settings.origins {
		switch o.Key {
		case "store", "key_file", "memory", "threads", "browser", "paper":
			continue
		}
		_ = e.Encode([]string{o.Key, o.Value}) // a hash takes every write
	}
	return hex.EncodeToString(h.Sum(nil))
}

// writeOwn writes a file as a whole, which only its owner can read, and its folder: what stood there before, also if others
// could read it, stays until the new one is there.
func writeOwn(path string, content []byte) (err error) {
	folder := filepath.Dir(path)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	draft, err := os.CreateTemp(folder, ".tripwake-*") // made for its owner alone
	if err != nil {
		return fmt.Errorf("%s: %w", path, err)
	}
	_, err = draft.Write(content)
	if err = errors.Join(err, draft.Close()); err == nil {
		err = os.Rename(draft.Name(), path)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", path, errors.Join(err, os.Remove(draft.Name())))
	}
	return nil
}
