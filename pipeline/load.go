// Package pipeline brings exports into the store: the stages in order.
//
// In: paths of exports and an open store. Out: typed, linked records in the store and what became of each row. The text is
// staged first; all that follows is one transaction: when it fails or is killed, the store is as before. It refuses a
// file that it cannot read wholly.
package pipeline

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/link"
	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

// Options of a load. Zone is the team's; times without an offset are local to it. Now and Program go into the ledger.
type Options struct {
	Zone     *time.Location
	Now      time.Time
	Program  string
	Progress func(step string, done, total int64) // bytes gone through, of twice the files' size; may be nil
	Key      func() ([]byte, error)               // the secret that Forget was given; asked for only where something was forgotten
}

// Outcome is what a load did: its number in the ledger, and remarks for people, a line each, such as files passed over.
type Outcome struct {
	LoadID  int64
	Remarks []string
}

// Load finds the exports in paths and brings them into the store: find, inspect and stage each; then, in one
// transaction, normalise, link, keep and account for each.
func Load(ctx context.Context, st *store.Store, paths []string, o Options) (Outcome, error) {
	found, err := intake.Find(paths)
	if err != nil {
		return Outcome{}, err
	}
	var out Outcome
	for _, name := range found.PassedOver {
		out.Remarks = append(out.Remarks, name+": not read, since its name begins with no table's name")
	}
	if len(found.Candidates) == 0 {
		return out, fmt.Errorf("%v: no export found; expected CSV files whose names begin with a table's name, such as transports.csv or alarms-2026.csv", paths)
	}
	scratch, err := scratchFolder(st.Path())
	if err != nil {
		return out, err
	}
	defer os.RemoveAll(scratch)
	l := &loading{engine: st.Engine(ctx), options: o, covered: map[string]bool{}}
	sources, err := l.stageAll(found.Candidates, scratch, &out)
	if err != nil {
		return out, fmt.Errorf("%w; nothing was stored", err)
	}
	if len(sources) == 0 {
		return out, fmt.Errorf("%v: no export found; %s", paths, strings.Join(out.Remarks, "; "))
	}
	err = st.Update(ctx, func(tx store.Engine) error {
		l.engine = tx
		return l.keepAll(sources, &out)
	})
	return out, err
}

// scratchFolder makes the folder for copies of exports in plain text. It lies beside the store, which one load alone can
// have open, so that what a killed load left there, patients' records, goes with the next.
func scratchFolder(store string) (string, error) {
	folder := store + ".plain"
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
	options Options
	loadID  int64
	linked  bool
	done    int64
	total   int64

	unitsMade string          // the statement that made the conversions by row last
	forgetful bool            // something was forgotten in this store, and must not come again
	covered   map[string]bool // logs whose stored times are told in a temporary table
}

// stageAll reads every file's text before anything is written. The engine goes through rows of its own open transaction
// with one thread only, so text staged inside it would take twice as long to normalise.
func (l *loading) stageAll(candidates []intake.Candidate, scratch string, out *Outcome) ([]*staged, error) {
	for _, c := range candidates {
		l.total += 2 * c.Bytes
	}
	var all []*staged
	for i, c := range candidates {
		l.report("reading "+c.Name, 0)
		s, err := l.stage(c, scratch, i)
		if errors.Is(err, intake.ErrForeign) && !c.Asked {
			out.Remarks = append(out.Remarks, "not read: "+err.Error())
			l.report("passing over "+c.Name, 2*c.Bytes)
			continue
		}
		if err != nil {
			return nil, err
		}
		all = append(all, s)
		l.report("reading "+c.Name, c.Bytes)
	}
	return all, nil
}

// keepAll takes the staged sources in turn; the tables that own device rows come first, so before the first log the
// owners of each device's time are settled.
func (l *loading) keepAll(sources []*staged, out *Outcome) error {
	loadID, fileID, err := l.engine.BeginLoad(l.options.Now, l.options.Program, l.options.Zone.String())
	if err != nil {
		return err
	}
	l.loadID, out.LoadID = loadID, loadID
	if err := l.heedForgotten(); err != nil {
		return fmt.Errorf("%w; nothing was stored", err)
	}
	for i, s := range sources {
		l.report("storing "+s.Name, 0)
		if s.Table.Log {
			if err := l.link(); err != nil {
				return err
			}
		}
		s.fileID, s.last = fileID+int64(i), i == len(sources)-1 || sources[i+1].Table.Name != s.Table.Name
		if err := l.keepFile(s); err != nil {
			return fmt.Errorf("%s: %w; nothing was stored", s.Name, err)
		}
		out.Remarks = append(out.Remarks, s.remarks()...)
		l.report("storing "+s.Name, s.Bytes)
	}
	return l.link()
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
		if _, err := l.engine.Exec(link.RelinkSQL(t.Name, t.When)); err != nil {
			return err
		}
	}
	return nil
}
