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
	"tripwake/queries/measures"
	"tripwake/reports"
)

func (a *app) purchaseReport() *cobra.Command {
	var from, to, out string
	var r rendering
	cmd := &cobra.Command{
		Use:   "purchase --out DIR",
		Short: "Write the department's report on what a purchase would have changed",
		Long: "Writes what each candidate of the setting candidates would have changed on the past transports, with its cost for each shortfall avoided. " +
			"`tripwake measure --purchase` prints the numbers.",
		Args: noArguments,
		RunE: func(cmd *cobra.Command, _ []string) error {
			m := measuring{format: "table", purchase: true, ask: queries.Request{From: from, To: to}}
			if err := m.check(); err != nil {
				return usage(err)
			}
			if err := a.check(r); err != nil {
				return err
			}
			path, err := a.writePurchase(cmd.Context(), a.settings.store, from, to, out, r)
			if err == nil {
				fmt.Fprintln(a.out, path)
			}
			return err
		},
	}
	cmd.Flags().StringVar(&from, "from", "", "first month, YYYY-MM; default: the first that has a transport")
	cmd.Flags().StringVar(&to, "to", "", "last month, YYYY-MM; default: the last that has a transport")
	cmd.Flags().StringVar(&out, "out", ".", "folder for the report")
	r.addFlags(cmd)
	return cmd
}

// writePurchase makes the report in memory and writes it as a whole, so that no half report is left behind.
func (a *app) writePurchase(ctx context.Context, path, from, to, out string, r rendering) (file string, err error) {
	st, err := store.OpenReadOnly(ctx, path, a.settings.engine)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	reader, err := queries.Open(ctx, st, a.settings.queries)
	if err != nil {
		return "", err
	}
	input := reports.PurchaseInput{Team: a.settings.team, Notice: a.settings.report.notice, Version: version, SettingsHash: a.settingsHash(), Paper: a.paper(r), Interactive: r.interactive}
	if input.Purchase, err = a.purchase(ctx, reader, from, to); err != nil {
		return "", err
	}
	if input.GeneratedAt, err = st.LastLoad(ctx); err != nil {
		return "", err
	}
	entries, err := st.Ledger(ctx, 0)
	if err != nil {
		return "", err
	}
	input.Ledger, input.Inputs = ledgerLines(entries)
	q := a.settings.queries
	input.Settings = reports.PurchaseSettings{Turnaround: q.Turnaround, BatteryShare: measures.PercentText(q.BatteryShare) + " %",
		OxygenReserve: fmt.Sprintf("%g min", q.OxygenReserve)}
	var page bytes.Buffer
	if err := reports.Purchase(&page, input); err != nil {
		return "", err
	}
	return a.writeReport(ctx, filepath.Join(out, "purchase"), page.Bytes(), input.GeneratedAt, r)
}
