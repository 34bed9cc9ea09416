package main

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"tripwake/pipeline/store"
	"tripwake/queries"
	"tripwake/queries/measures"
)

func (a *app) measure() *cobra.Command {
	var format, by string
	var ask queries.Request
	cmd := &cobra.Command{
		Use:   "measure [ID…]",
		Short: "Print measures, each with its interval and what was left out",
		Long: "Prints the measures named, or all: " + strings.Join(measures.IDs(), ", ") + ".\n\n" +
			"--by groups them: month, one of " + strings.Join(measures.Groups(), ", ") + ", or both (month,vehicle).",
		Args: func(_ *cobra.Command, ids []string) error {
			for _, id := range ids {
				if _, err := measures.Find(id); err != nil {
					return usage(err)
				}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, ids []string) error {
			ask.Measures = ids
			if err := checkMeasure(format, by, &ask); err != nil {
				return usage(err)
			}
			return a.withReader(cmd.Context(), func(r *queries.Reader) error {
				rows, err := measures.Measure(cmd.Context(), r, ask)
				if err != nil {
					return err
				}
				return measures.Write(a.out, format, rows)
			})
		},
	}
	addFormat(cmd, &format)
	cmd.Flags().StringVar(&by, "by", "", "month, a group, or month and a group with a comma between")
	cmd.Flags().StringVar(&ask.From, "from", "", "first month, YYYY-MM")
	cmd.Flags().StringVar(&ask.To, "to", "", "last month, YYYY-MM")
	return cmd
}

func checkMeasure(format, by string, ask *queries.Request) (err error) {
	if err := checkFormat(format); err != nil {
		return err
	}
	if err := month(ask.From); err != nil {
		return fmt.Errorf("--from: %w", err)
	}
	if err := month(ask.To); err != nil {
		return fmt.Errorf("--to: %w", err)
	}
	if ask.From != "" && ask.To != "" && ask.From > ask.To {
		return fmt.Errorf("--from %s: expected a month that is not after --to %s", ask.From, ask.To)
	}
	ask.ByMonth, ask.By, err = measures.ParseBy(by)
	return err
}

// withReader opens the store for questions and closes it after use.
func (a *app) withReader(ctx context.Context, use func(*queries.Reader) error) (err error) {
	st, err := store.OpenReadOnly(ctx, a.settings.store, a.settings.engine)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, st.Close()) }()
	reader, err := queries.Open(ctx, st, a.settings.queries)
	if err != nil {
		return err
	}
	return use(reader)
}
