package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"tripwake/pipeline/store"
	"tripwake/queries"
	"tripwake/reports"
)

func (a *app) research() *cobra.Command {
	var out string
	var small bool
	var r rendering
	cmd := &cobra.Command{
		Use:   "research --out DIR",
		Short: "Write the report of a cohort for research, without identifiers",
		Long: "Writes who is in a cohort and why, what differs between its groups, and what a publication needs. The settings cohort, exposure, outcomes, adjust_for, " +
			"describe, exclusions_for_sensitivity, cohort_from, cohort_to and small_cell say what is asked; `tripwake settings` shows them. " +
			"`tripwake measure --compare` prints the same numbers.",
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := a.check(r); err != nil {
				return err
			}
			path, err := a.writeResearch(cmd.Context(), a.settings.store, out, small, r)
			if err == nil {
				fmt.Fprintln(a.out, path)
			}
			return err
		},
	}
	cmd.Flags().StringVar(&out, "out", ".", "folder for the report")
	cmd.Flags().BoolVar(&small, "show-small-cells", false, "withhold no count, for internal use only: the page says so")
	r.addFlags(cmd)
	return cmd
}

// writeResearch makes the report in memory and writes it as a whole. Its clock is that of the last load.
func (a *app) writeResearch(ctx context.Context, path, out string, showSmall bool, r rendering) (file string, err error) {
	st, err := store.OpenReadOnly(ctx, path, a.settings.engine)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	reader, err := queries.Open(ctx, st, a.settings.queries)
	if err != nil {
		return "", err
	}
	entries, err := st.Ledger(ctx, 0)
	if err != nil {
		return "", err
	}
	input := reports.ResearchInput{Reader: reader, Study: a.studyAsked(showSmall), Records: recordsOf(entries), Team: a.settings.team,
		Notice: a.settings.report.notice, Version: version, SettingsHash: a.settingsHash(), Paper: a.paper(r), Interactive: r.interactive}
	_, input.Inputs = ledgerLines(entries)
	if input.GeneratedAt, err = st.LastLoad(ctx); err != nil {
		return "", err
	}
	var page bytes.Buffer
	if err := reports.Research(ctx, &page, input); err != nil {
		return "", err
	}
	return a.writeReport(ctx, filepath.Join(out, "research"), page.Bytes(), input.GeneratedAt, r)
}
