package main

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"tripwake/pipeline/store"
	"tripwake/queries"
	"tripwake/reports/extract"
)

func (a *app) extract() *cobra.Command {
	var out string
	var cohort bool
	cmd := &cobra.Command{
		Use:   "extract --out DIR",
		Short: "Write the researcher's files, without identifiers",
		Long: "Writes transports, episodes, alarms, gas, power and what could not be judged as Parquet, Arrow IPC and CSV, with a\n" +
			"codebook and a manifest. Keys, sites, devices, dates and free text stay behind; what others may know of a patient is\n" +
			"told in bands, and less exactly where few transports share it. The finished files are read back, and removed where\n" +
			"one holds anything of the store that could name somebody. " + extract.Model,
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if out == "" {
				return usage(errors.New("--out: name a folder that is empty, not there, or holds an earlier extract"))
			}
			return a.writeExtract(cmd.Context(), a.settings.store, out, cohort)
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "folder for the files")
	cmd.Flags().BoolVar(&cohort, "cohort-only", false, "only the cohort of the settings (cohort, cohort_from, cohort_to), not every transport")
	return cmd
}

func (a *app) writeExtract(ctx context.Context, path, out string, cohort bool) (err error) {
	st, err := store.OpenReadOnly(ctx, path, a.settings.engine)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	input, err := a.extractInput(ctx, st, path)
	if err != nil {
		return err
	}
	if cohort {
		input.CohortHash = a.cohortHash()
		if input.Disclosure.Members, err = input.Reader.CohortMembers(ctx, a.settings.study); err != nil {
			return err
		}
	}
	summary, err := extract.Write(ctx, out, input)
	if err != nil {
		return err
	}
	a.tellExtract(out, summary)
	return nil
}

// extractInput gathers what the extract is made of and hashes what it comes from.
func (a *app) extractInput(ctx context.Context, st *store.Store, path string) (in extract.Input, err error) {
	in = extract.Input{Disclosure: a.settings.disclosure, Version: version, SettingsHash: a.settingsHash()}
	if in.Disclosure.Key, err = pseudonymKey(a.keyFile(path)); err != nil {
		return in, err
	}
	if in.StoreHash, _, err = extract.HashFile(path); err != nil {
		return in, err
	}
	entries, err := st.Ledger(ctx, 0)
	if err != nil {
		return in, err
	}
	for _, e := range entries {
		in.Inputs = append(in.Inputs, e.SHA256)
	}
	in.Reader, err = queries.Open(ctx, st, a.settings.queries)
	return in, err
}

// cohortHash covers the settings that say who is in the cohort; their words may name a place, so the extract holds the hash.
func (a *app) cohortHash() string {
	h := sha256.New()
	for _, o := range a.settings.origins {
		switch o.Key {
		case "cohort", "cohort_from", "cohort_to":
			fmt.Fprintf(h, "%s %s\n", o.Key, o.Value)
		}
	}
	return hex.EncodeToString(h.Sum(nil))
}

// tellExtract lists the files on standard output and says on standard error how well transports are hidden.
func (a *app) tellExtract(out string, s extract.Summary) {
	for _, name := range s.Files {
		fmt.Fprintln(a.out, out+"/"+name)
	}
	c := s.Classes
	a.say("%d of %d transports are in the extract; what others may know of one is shared by at least %d (asked for: %d)",
		c.Released, c.Asked, c.Smallest, c.K)
	a.say("before anything was told less exactly, %d shared it with too few, the fewest being %d; %d were left out since nothing would hide them",
		c.InSmallBefore, c.SmallestBefore, c.LeftOut)
	for _, step := range c.Steps {
		if step.Cells > 0 {
			a.say("  %s %s: %d transports", step.Column, step.Change, step.Cells)
		}
	}
	a.say("%s", extract.Model)
}
