package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strconv"
	"time"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"
	"golang.org/x/term"

	"tripwake/pipeline"
	"tripwake/pipeline/store"
	"tripwake/queries/measures"
)

func (a *app) load() *cobra.Command {
	var format string
	var strict bool
	var undo int64
	cmd := &cobra.Command{
		Use:   "load PATH…",
		Short: "Load CSV exports into the store and print what became of each row",
		Long: "Loads the CSV files named, and those in the folders named, whose names begin with a table's name (transports.csv,\n" +
			"alarms-2026.csv). Prints the ledger of this load: read = stored + repeated + refused for each file and table.\n\n" +
			"--undo ID takes an earlier load back instead (`tripwake ledger --loads` lists them): the store then answers as if it had\n" +
			"never been; rows that later loads hold too stay, as theirs. Prints the ledger of what remains.",
		Args: loadArguments(&undo),
		RunE: func(cmd *cobra.Command, paths []string) error {
			if err := checkFormat(format); err != nil {
				return err
			}
			if undo > 0 {
				entries, err := a.undo(cmd.Context(), undo)
				if err != nil {
					return err
				}
				return a.printLedger(format, entries)
			}
			entries, err := a.loadPaths(cmd.Context(), a.settings.store, paths)
			if err != nil {
				return err
			}
			a.warnOfZone()
			if err := a.printLedger(format, entries); err != nil {
				return err
			}
			return refusedCode(strict, entries)
		},
	}
	addFormat(cmd, &format)
	cmd.Flags().BoolVar(&strict, "strict", false, "end with exit code 3 where rows were refused")
	cmd.Flags().Int64Var(&undo, "undo", 0, "number of an earlier load to take back, instead of loading")
	return cmd
}

// warnOfZone says what local times are taken for where nobody has said so.
func (a *app) warnOfZone() {
	for _, s := range a.settings.origins {
		if s.Key == "time_zone" && s.From == "default" {
			a.say("time_zone is not set: times without an offset were taken for UTC; set the team's zone with --time-zone or in %s", settingsFile)
		}
	}
}

// loadPaths loads exports into the store at path and tells people what was refused.
func (a *app) loadPaths(ctx context.Context, path string, paths []string) (entries []store.Entry, err error) {
	st, err := store.Open(ctx, path, a.settings.engine)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	bar := a.progress()
	outcome, err := pipeline.Load(ctx, st, paths, pipeline.Options{Zone: a.settings.zone, Now: now(), Program: version, Progress: bar.show})
	bar.end()
	if err != nil {
		return nil, err
	}
	if entries, err = st.Ledger(ctx, outcome.LoadID); err != nil {
		return nil, err
	}
	return entries, a.tell(ctx, st, outcome, entries)
}

// Refused rows are told one by one up to so many of each file, and so many in all.
const (
	shownOfFile = 2
	shownInAll  = 10
)

// tell gives one line for each thing that people should know of a load.
func (a *app) tell(ctx context.Context, st *store.Store, outcome pipeline.Outcome, entries []store.Entry) error {
	for _, remark := range outcome.Remarks {
		a.say("%s", remark)
	}
	refusals, err := st.Refusals(ctx, outcome.LoadID, shownOfFile)
	if err != nil {
		return err
	}
	for _, r := range refusals[:min(len(refusals), shownInAll)] {
		a.say("%s", refusalLine(r))
	}
	a.tellSums(entries)
	return nil
}

// tellSums says how much was refused in all and what to do about it.
func (a *app) tellSums(entries []store.Entry) {
	var rows, cells int64
	columns := map[string]int64{}
	for _, e := range entries {
		rows, cells = rows+e.Refused, cells+e.CellsRefused
		for column, n := range e.Cells {
			columns[e.Table+"."+column] += n
		}
	}
	if cells > 0 {
		a.say("%d cells refused (%s); their rows were stored without them", cells, countsText(columns))
	}
	if rows > 0 {
		a.say("%d rows refused; to mend them: tripwake ledger --refused DIR, mend them there, tripwake load DIR", rows)
	}
}

func refusalLine(r store.Refusal) string {
	where := fmt.Sprintf("%s: record %d", r.File, r.Record)
	if r.Column != "" {
		where += ", column " + r.Column
	}
	return fmt.Sprintf("%s: refused (%s); expected %s", where, r.Reason, r.Expected)
}

func refusedCode(strict bool, entries []store.Entry) error {
	var refused int64
	for _, e := range entries {
		refused += e.Refused
	}
	if strict && refused > 0 {
		return exitError{exitRefused, fmt.Errorf("%d rows were refused", refused)}
	}
	return nil
}

// now is the clock of everything that is written; SOURCE_DATE_EPOCH (seconds) holds it still for reproducible output.
func now() time.Time {
	if seconds, err := strconv.ParseInt(os.Getenv("SOURCE_DATE_EPOCH"), 10, 64); err == nil {
		return time.Unix(seconds, 0).UTC()
	}
	return time.Now().UTC().Truncate(time.Second)
}

// progress is a bar on a terminal and nothing elsewhere.
type progress struct{ bar *progressbar.ProgressBar }

func (a *app) progress() *progress {
	if !term.IsTerminal(int(a.messages.Fd())) {
		return &progress{}
	}
	return &progress{progressbar.NewOptions64(1, progressbar.OptionSetWriter(a.messages), progressbar.OptionClearOnFinish(),
		progressbar.OptionShowBytes(true), progressbar.OptionSetWidth(30), progressbar.OptionThrottle(100*time.Millisecond))}
}

func (p *progress) show(step string, done, total int64) {
	if p.bar == nil {
		return
	}
	p.bar.ChangeMax64(max(total, 1))
	p.bar.Describe(measures.Visible(step))
	_ = p.bar.Set64(done) // a bar that cannot be drawn must not stop a load
}

func (p *progress) end() {
	if p.bar != nil {
		_ = p.bar.Finish()
	}
}
