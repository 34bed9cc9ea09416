package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"

	"tripwake/pipeline/invent"
	"tripwake/pipeline/layout"
)

// demoTeam runs the invented transports.
const demoTeam = "Invented transport team (demonstration)"

// The research report of the demo leaves two kinds of transports out, and withholds less than a team would, so that its curves are
// seen.
const (
	demoCohort = `{"exclude":[{"column":"cooling","is":true,"name":"Therapeutic hypothermia"},{"column":"urgency","is":"planned","name":"Planned transports"}],` +
		`"include":[{"column":"completed","is":true,"name":"Completed transports"}]}`
	demoSmallCell = "5"
)

func (a *app) demo() *cobra.Command {
	var out string
	cmd := &cobra.Command{
		Use:   "demo",
		Short: "Invent a year and a half of records, load them and write the reports",
		Args:  noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			return a.runDemo(cmd.Context(), out)
		},
	}
	cmd.Flags().StringVar(&out, "out", "demo", "folder for the exports, the store, its settings and the reports")
	return cmd
}

// runDemo does what a team would do with its own exports, on invented ones.
func (a *app) runDemo(ctx context.Context, out string) error {
	exports, path := filepath.Join(out, "exports"), filepath.Join(out, defaultStore)
	if err := firstFailure(a.demoSettings, a.demoBuying); err != nil {
		return err
	}
	if err := forgetStore(path); err != nil {
		return err
	}
	summary, err := invent.Write(ctx, exports, invent.Options{Every: invent.DemoEvery, TimeZone: a.settings.zone.String(), Seed: 1})
	if err != nil {
		return err
	}
	a.say("%d invented export files in %s", len(summary.Files), exports)
	if err := demoKey(a.keyFile(path)); err != nil {
		return err
	}
	if _, err := a.loadPaths(ctx, path, []string{exports}, layout.Layout{}); err != nil {
		return err
	}
	report, err := a.writeCommittee(ctx, path, "", out, false, false, rendering{})
	if err != nil {
		return err
	}
	purchase, err := a.writePurchase(ctx, path, "", "", out, rendering{})
	if err != nil {
		return err
	}
	settings, err := a.demoSettingsFile(out, a.settings.zone.String())
	if err != nil {
		return err
	}
	research, err := a.writeResearch(ctx, path, out, false, rendering{})
	if err != nil {
		return err
	}
	for _, written := range []string{exports, path, settings, report, purchase, research} {
		fmt.Fprintln(a.out, written)
	}
	return nil
}

// firstFailure carries steps out in order until one fails.
func firstFailure(steps ...func() error) error {
	for _, step := range steps {
		if err := step(); err != nil {
			return err
		}
	}
	return nil
}

// demoSettings gives the invented team its zone and name where nothing else is set.
func (a *app) demoSettings() (err error) {
	zone := a.inventedZone()
	if a.settings.zone, err = time.LoadLocation(zone); err != nil {
		return err
	}
	a.settings.queries.TimeZone = a.settings.zone
	for i, o := range a.settings.origins {
		if o.From != "default" {
			continue
		}
		switch o.Key {
		case "team":
			a.settings.team, a.settings.origins[i].Value = demoTeam, demoTeam
		case "time_zone":
			a.settings.origins[i].Value = zone
		case "cohort":
			err = errors.Join(err, takeCohort(&a.settings, demoCohort))
			a.settings.origins[i].Value = demoCohort
		case "small_cell":
			err = errors.Join(err, takeSmallCell(&a.settings, demoSmallCell))
			a.settings.origins[i].Value = demoSmallCell
		}
	}
	return errors.Join(err, a.settings.checkStudy())
}

// forgetStore lets an earlier demo's store go: the demo always starts from nothing.
func forgetStore(path string) error {
	if info, err := os.Stat(filepath.Dir(path)); err == nil && !info.IsDir() {
		return fmt.Errorf("--out %s: is a file; name a folder", filepath.Dir(path))
	}
	for _, file := range []string{path, path + ".wal"} {
		if err := os.Remove(file); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return fmt.Errorf("%s: the store of an earlier demo cannot be removed: %w", file, err)
		}
	}
	return nil
}

// demoKey writes a key that everyone can know, so that the demo gives the same pseudonyms everywhere.
func demoKey(path string) error {
	key := sha256.Sum256([]byte(demoTeam))
	return writeOwn(path, []byte(hex.EncodeToString(key[:])+"\n"))
}
