package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"slices"
	"strconv"
	"time"

	"github.com/schollz/progressbar/v3"
	"github.com/spf13/cobra"
	"golang.org/x/term"

	"tripwake/pipeline"
	"tripwake/pipeline/layout"
	"tripwake/pipeline/store"
	"tripwake/queries/measures"
)

func (a *app) load() *cobra.Command {
	var format, layoutFile string
	var strict, dry bool
	var undo int64
	cmd := &cobra.Command{
		Use:   "load PATH…",
		Short: "Load CSV exports into the store and print what became of each row",
		Long:  loadHelp + layoutHelp() + undoHelp,
		Args:  loadArguments(&undo),
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
			by, err := readLayout(layoutFile)
			if err != nil {
				return err
			}
			load := a.loadPaths
			if dry {
				load = a.tryPaths(format)
			}
			entries, err := load(cmd.Context(), a.settings.store, paths, by)
			if err != nil {
				return err
			}
			a.warnOfZone(by)
			if err := a.printLedger(format, entries); err != nil {
				return err
			}
			return refusedCode(strict, entries)
		},
	}
	addFormat(cmd, &format)
	cmd.Flags().StringVar(&layoutFile, "layout", "", "YAML file that says which exports feed which table, and how")
	cmd.Flags().BoolVar(&dry, "dry-run", false, "show the first rows as they would be stored, and what would be refused; store nothing")
	cmd.Flags().BoolVar(&strict, "strict", false, "end with exit code 3 where rows were refused")
	cmd.Flags().Int64Var(&undo, "undo", 0, "number of an earlier load to take back, instead of loading")
	return cmd
}

// loadHelp is what load does, for help.
const loadHelp = "Loads the CSV files named, and those in the folders named, whose names begin with a table's name (transports.csv,\n" +
	"alarms-2026.csv), and those that a layout names. Prints the ledger of this load: read = stored + repeated + refused for\n" +
	"each file and table. With --layout it says before which header is read as which column."

// undoHelp is what load --undo does, for help.
const undoHelp = "\n\n--undo ID takes an earlier load back instead (`tripwake ledger --loads` lists them): the store then answers as if it had\n" +
	"never been; rows that later loads hold too stay, as theirs. Prints the ledger of what remains."

// layoutHelp lists the keys of a layout.
func layoutHelp() string {
	text := "\n\nThe keys of a layout:"
	level := ""
	for _, k := range layout.Keys() {
		if k.Level != level {
			level = k.Level
			text += "\n  of a " + level
		}
		text += fmt.Sprintf("\n    %-13s %s: %s", k.Name, k.Meaning, k.Takes)
	}
	return text
}

// readLayout reads the layout named; none is an empty one. A layout that is wrong is wrong use.
func readLayout(path string) (layout.Layout, error) {
	if path == "" {
		return layout.Layout{}, nil
	}
	by, err := layout.Read(path)
	return by, usage(err)
}

// warnOfZone says what local times are taken for where nobody has said so.
func (a *app) warnOfZone(by layout.Layout) {
	if len(by.Sources) > 0 && !slices.ContainsFunc(by.Sources, func(s layout.Source) bool { return s.Zone == nil }) {
		return
	}
	for _, s := range a.settings.origins {
		if s.Key == "time_zone" && s.From == "default" {
			a.say("time_zone is not set: times without an offset were taken for UTC; set the team's zone with --time-zone or in %s", settingsFile)
		}
	}
}

// loadPaths loads exports into the store at path and tells people what was refused.
func (a *app) loadPaths(ctx context.Context, path string, paths []string, by layout.Layout) (entries []store.Entry, err error) {
	if err := a.finishForgetting(ctx, path); err != nil {
		return nil, err
	}
	st, err := store.Open(ctx, path, a.settings.engine)
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	outcome, err := a.loadInto(ctx, st, paths, by)
	if err != nil {
		return nil, err
	}
	if entries, err = st.Ledger(ctx, outcome.LoadID); err != nil {
		return nil, err
	}
	return entries, a.tell(ctx, st, outcome, entries)
}

// loadInto loads exports into an open store, with a bar on a terminal and, by a layout, a word before.
func (a *app) loadInto(ctx context.Context, st *store.Store, paths []string, by layout.Layout) (pipeline.Outcome, error) {
	bar := a.progress()
	defer bar.end()
	key := func() ([]byte, error) { return existingKey(a.keyFile(st.Path())) }
	return pipeline.Load(ctx, st, paths, pipeline.Options{Zone: a.settings.zone, Layout: by, Now: now(), Program: version, Progress: bar.show,
		Say: func(line string) { a.say("%s", line) }, Key: key})
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
	last := ""
	for _, r := range refusals[:min(len(refusals), shownInAll)] {
		if line := refusalLine(r); line != last { // a record may hold several readings, refused alike
			a.say("%s", line)
			last = line
		}
	}
	for _, e := range entries {
		if e.Read > 0 && e.Refused == e.Read {
			a.say("%s: every row was refused (%s); look at what the file is read as", e.File, countsText(e.Reasons))
		}
	}
	a.tellSums(entries, outcome.ByLayout)
	return a.tellClocks(ctx, st, outcome.LoadID)
}

// tellSums says how much was refused in all and what to do about it.
func (a *app) tellSums(entries []store.Entry, layouts bool) {
	var rows, cells int64
	columns := map[string]int64{}
	for _, e := range entries {
		rows, cells = rows+mendable(e), cells+e.CellsRefused
		for column, n := range e.Cells {
			columns[e.Table+"."+column] += n
		}
	}
	if cells > 0 {
		a.say("%d cells refused (%s); their rows were stored without them", cells, countsText(columns))
	}
	by := ""
	if layouts {
		by = " --layout DIR/" + pipeline.RefusedLayout
	}
	if rows > 0 {
		a.say("%d rows refused; to mend them: tripwake ledger --refused DIR, mend them there, tripwake load DIR%s", rows, by)
	}
}

// mendable counts the refused rows but those that are refused since their transport was forgotten: nothing is wrong with them.
func mendable(e store.Entry) int64 { return e.Refused - e.Reasons[store.Forgotten] }

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
		refused += mendable(e)
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
