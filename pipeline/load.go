// Package pipeline brings exports into the store: the stages in order.
//
// In: paths of exports and an open store. Out: typed, linked records in the store and what became of each row. What cannot go
// straight from its files into the store is staged first; all that follows is one transaction: when it fails or is killed, the store is
// as before, and where a file turns out to need another way it begins anew. It refuses a file that it cannot read wholly.
package pipeline

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path"
	"slices"
	"strings"
	"time"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
	"tripwake/pipeline/link"
	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

// Options of a load. Zone is the team's; times without an offset are local to it. Layout says what files that bear no
// canonical names hold; without one it is empty. Now and Program go into the ledger.
type Options struct {
	Zone     *time.Location
	Layout   layout.Layout
	Now      time.Time
	Program  string
	Progress func(step string, done, total int64) // bytes gone through, of three times the files' size; may be nil
	Say      func(line string)                    // what will be read as what, before it is; may be nil
	Key      func() ([]byte, error)               // the secret that Forget was given; asked for only where something was forgotten
}

// Outcome is what a load did: its number in the ledger, remarks for people, a line each, such as files passed over, and the first
// file of each source of the layout, or of each table where there is none.
type Outcome struct {
	LoadID  int64
	Remarks []string
	Sources []Loaded

	ByLayout bool // some files were read by a layout
}

// Loaded is one file in the ledger, with the columns of the table that it gives.
type Loaded struct {
	FileID      int64
	File, Table string
	Columns     []string
}

// Load finds the exports in paths and brings them into the store: find, inspect and stage each; then, in one
// transaction, normalise, link, keep and account for each.
func Load(ctx context.Context, st *store.Store, paths []string, o Options) (Outcome, error) {
	found, err := intake.Find(paths, o.Layout)
	if err != nil {
		return Outcome{}, err
	}
	out := Outcome{Remarks: passedOver(found, o.Layout)}
	if len(found.Candidates) == 0 {
		return out, fmt.Errorf("%s: no export found; %s", strings.Join(paths, ", "), strings.Join(append(unreadable(found), expectedNames(o.Layout)), "; "))
	}
	scratch, err := scratchFolder(st.Path())
	if err != nil {
		return out, err
	}
	defer os.RemoveAll(scratch)
	l := newLoading(st.Engine(ctx), scratch, o)
	sources, err := l.inspectAll(found.Candidates, &out)
	if err != nil {
		return out, fmt.Errorf("%w; nothing was stored", err)
	}
	if len(sources) == 0 {
		return out, fmt.Errorf("%s: no export found; %s", strings.Join(paths, ", "), strings.Join(out.Remarks, "; "))
	}
	return out, l.stageAndKeep(ctx, st, sources, &out)
}

// stageAndKeep stages the sources and keeps them in one transaction, anew where some of them turn out to need another way.
func (l *loading) stageAndKeep(ctx context.Context, st *store.Store, sources []*staged, out *Outcome) error {
	if err := l.heedForgotten(); err != nil {
		return fmt.Errorf("%w; nothing was stored", err)
	}
	for {
		if err := l.stageAll(sources); err != nil {
			return fmt.Errorf("%w; nothing was stored", err)
		}
		before := *l
		l.attempt = attempt{covered: maps.Clone(before.covered)}
		err := st.Update(ctx, func(tx store.Engine) error {
			l.engine = tx
			return l.keepAll(sources, out)
		})
		var anew *notDirect
		if !errors.As(err, &anew) || ctx.Err() != nil {
			return err
		}
		*l = before
		if err := l.startAnew(anew); err != nil {
			return err
		}
	}
}

// passedOver remarks on files that were not read, and on sources of the layout that read none.
func passedOver(found intake.Found, by layout.Layout) []string {
	remarks := unreadable(found)
	for _, name := range found.PassedOver {
		switch {
		case by.Name == "" && path.Base(name) == RefusedLayout:
			remarks = append(remarks, name+": not read; to read exports by it, name it with --layout")
		case by.Name == "":
			remarks = append(remarks, name+": not read, since its name begins with no table's name")
		case path.Base(name) != by.Name:
			remarks = append(remarks, fmt.Sprintf("%s: not read, since no source of %s names it and its name begins with no table's name", name, by.Name))
		}
	}
	for _, s := range found.Idle {
		remarks = append(remarks, fmt.Sprintf("%s line %d: no file is named like %q", s.File, s.Line, s.Files))
	}
	return remarks
}

// unreadable remarks on what bears the name of an export and is no file.
func unreadable(found intake.Found) []string {
	var remarks []string
	for _, name := range found.NoFiles {
		remarks = append(remarks, name+": not read, since it is no plain file, or a link that leads nowhere")
	}
	return remarks
}

func expectedNames(by layout.Layout) string {
	const canonical = "CSV files whose names begin with a table's name, such as transports.csv or alarms-2026.csv"
	if by.Name == "" {
		return "expected " + canonical + "; for other names write a layout and name it with --layout"
	}
	var patterns []string
	for _, s := range by.Sources {
		patterns = append(patterns, s.Files)
	}
	return fmt.Sprintf("expected files named like %q, as %s says, or %s", patterns, by.Name, canonical)
}

// scratchFolder makes the folder for copies of exports in plain text. It lies beside the store, which one load alone can
// have open, so that what a killed load left there, patients' records, goes with the next.
func scratchFolder(store string) (string, error) {
	folder := store + ".plain"
	if err := intake.Nameable(folder); err != nil {
		return "", err
	}
	if err := os.RemoveAll(folder); err != nil {
		return "", fmt.Errorf("scratch folder: %w", err)
	}
	if err := os.Mkdir(folder, 0o700); err != nil {
		return "", fmt.Errorf("scratch folder: %w", err)
	}
	return folder, nil
}

// loading is one load under way. The engine is the connection while text is staged and the transaction after that.
type loading struct {
	engine  store.Engine
	scratch string
	options Options
	done    int64
	total   int64

	forgetful bool // something was forgotten in this store, and must not come again
	attempt
}

// attempt is what holds in one transaction, and of what was there before it.
type attempt struct {
	loadID    int64
	linked    bool
	unitsMade string          // the statement that made the conversions by row last
	covered   map[string]bool // logs whose stored times are told in a temporary table
}

func newLoading(engine store.Engine, scratch string, o Options) *loading {
	return &loading{engine: engine, scratch: scratch, options: o, attempt: attempt{covered: map[string]bool{}}}
}

// inspectAll finds the header of every file, counts its records and says what will be read as what, so that a layout that does
// not fit is noticed before the work begins.
func (l *loading) inspectAll(candidates []intake.Candidate, out *Outcome) ([]*staged, error) {
	for _, c := range candidates {
		l.total += 3 * c.Bytes
	}
	var all []*staged
	for c, found := range intake.InspectEach(candidates, l.scratch) {
		if errors.Is(found.Err, intake.ErrForeign) && !c.Asked {
			out.Remarks = append(out.Remarks, "not read: "+found.Err.Error())
			l.report("passing over "+c.Name, 3*c.Bytes)
			continue
		}
		if found.Err != nil {
			return nil, found.Err
		}
		all = append(all, &staged{Source: found.Source, place: len(all), table: fmt.Sprintf("staged_%d", len(all)), rejects: fmt.Sprintf("rejects_%d", len(all))})
		l.report("looking at "+c.Name, c.Bytes)
	}
	out.Remarks = append(out.Remarks, unreadByLayout(all)...)
	if l.options.Say != nil {
		for _, line := range outline(all, l.options.Zone) {
			l.options.Say(line)
		}
	}
	return all, nil
}

// stageAll stages every source that is not staged yet, before anything is written. The engine goes through rows of its own open
// transaction with one thread only, so text staged inside it would take twice as long to normalise.
func (l *loading) stageAll(all []*staged) error {
	for rest := all; len(rest) > 0; {
		n, err := l.stageNext(rest)
		if err != nil {
			return err
		}
		for _, s := range rest[:n] {
			l.report("reading "+s.Name, s.Bytes)
		}
		rest = rest[n:]
	}
	return nil
}

// stageNext stages the first source, or all that can be read with it in one go, and says how many.
func (l *loading) stageNext(rest []*staged) (int, error) {
	s := rest[0]
	l.report("reading "+s.Name, 0)
	if s.ready() {
		return 1, nil
	}
	for files := batchOf(rest); len(files) > 0; files = batchOf(rest) {
		stage := l.readyDirect
		if s.way == inBatch {
			stage = l.stageBatch
		}
		if done, err := stage(files); done || err != nil {
			return len(files), err
		}
	}
	for files := l.together(rest); len(files) > 1; files = l.together(rest) {
		if done, err := l.stageTogether(files); done || err != nil {
			return len(files), err
		}
	}
	if err := l.stage(s); err != nil {
		return 0, fmt.Errorf("%s: %w", s.Name, err)
	}
	return 1, nil
}

// keepAll takes the staged sources in turn; the tables that own device rows come first, so before the first log the
// owners of each device's time are settled.
func (l *loading) keepAll(sources []*staged, out *Outcome) error {
	by := l.options.Layout
	loadID, fileID, err := l.engine.BeginLoad(store.LoadRow{At: l.options.Now, Program: l.options.Program, Zone: l.options.Zone.String(),
		Layout: by.Name, LayoutSHA256: by.SHA256, LayoutText: by.Text})
	if err != nil {
		return err
	}
	l.loadID, out.LoadID = loadID, loadID
	for i, s := range sources {
		last := i == len(sources)-1 || sources[i+1].Table.Name != s.Table.Name
		s.kept = kept{fileID: fileID + int64(i), last: last, row: s.offered}
	}
	for rest := sources; len(rest) > 0; {
		n, err := l.keepNext(rest)
		if err != nil {
			return fmt.Errorf("%s: %w; nothing was stored", rest[0].Name, err)
		}
		for _, s := range rest[:n] {
			l.report("storing "+s.Name, s.Bytes)
		}
		rest = rest[n:]
	}
	for i, s := range sources {
		out.Remarks = append(out.Remarks, s.remarks()...)
		out.ByLayout = out.ByLayout || s.Layout != nil
		if first(sources[:i], s) {
			out.Sources = append(out.Sources, Loaded{s.fileID, s.Name, s.Table.Name, s.plan.Given()})
		}
	}
	return l.link()
}

// keepNext stores the rows of the first file, or of the whole batch that it begins, and says how many files that were.
func (l *loading) keepNext(rest []*staged) (int, error) {
	s := rest[0]
	l.report("storing "+s.Name, 0)
	if s.Table.Log {
		if err := l.link(); err != nil {
			return 0, err
		}
	}
	if s.direct != nil {
		return len(s.direct.files), l.keepDirect(s.direct)
	}
	if s.batch != nil && s == s.batch.files[0] {
		if done, err := l.keepBatch(s.batch); done || err != nil {
			return len(s.batch.files), err
		}
	}
	if s.lot != nil && s == s.lot[0] {
		if done, err := l.keepLot(newLot(s.lot)); done || err != nil {
			return len(s.lot), err
		}
	}
	_, err := l.keepLot(newLot([]*staged{s}))
	return 1, err
}

// first says that none of the files before was read in the same way.
func first(before []*staged, s *staged) bool {
	return !slices.ContainsFunc(before, func(b *staged) bool { return b.Layout == s.Layout && b.Table.Name == s.Table.Name })
}

func (l *loading) report(step string, bytes int64) {
	l.done += bytes
	if l.options.Progress != nil {
		l.options.Progress(step, l.done, l.total)
	}
}

// link settles the owner of each piece of each device's time and links stored rows anew where that has changed.
func (l *loading) link() error {
	if l.linked {
		return nil
	}
	l.linked = true
	if _, err := l.engine.Exec(link.RespanSQL()...); err != nil {
		return err
	}
	var changed int64
	if err := l.engine.Ask("select count(*) from changed_spans", &changed); err != nil || changed == 0 {
		return err
	}
	for _, t := range records.Logs() {
		if err := l.relink(t); err != nil {
			return err
		}
	}
	return nil
}

// relink links the stored rows of one log anew, and tells their quarters anew where that changed some.
func (l *loading) relink(t records.Table) error {
	for _, base := range store.BaseTables(t) {
		changed, err := l.engine.Exec(link.RelinkSQL(base, t.When))
		if err != nil {
			return err
		}
		if changed > 0 && store.HasQuarters(base) {
			if _, err := l.engine.Exec(slices.Concat([]string{store.FilesInSQL("changed_files", "changed_spans")}, store.QuartersSQL("from changed_files"))...); err != nil {
				return err
			}
		}
	}
	return nil
}
