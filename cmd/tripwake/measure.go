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

// measuring is what the command line of measure asks for.
type measuring struct {
	format, by, month string
	signals, explain  bool
	supplies, names   bool
	purchase          bool
	cases             bool
	replay            replaying
	compare, small    bool
	ask               queries.Request
}

func (a *app) measure() *cobra.Command {
	var m measuring
	cmd := &cobra.Command{
		Use:   "measure [ID…]",
		Short: "Print measures, each with its interval and what was left out",
		Long:  measureHelp(),
		Args: func(_ *cobra.Command, ids []string) error {
			for _, id := range ids {
				if _, err := measures.Find(id); err != nil {
					return usage(err)
				}
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, ids []string) error {
			m.ask.Measures = ids
			chosen, err := a.choose(m)
			if err != nil {
				return usage(err)
			}
			if err := m.check(); err != nil {
				return usage(err)
			}
			return a.answer(cmd.Context(), m, chosen)
		},
	}
	addFormat(cmd, &m.format)
	flags := cmd.Flags()
	flags.StringVar(&m.by, "by", "", "month, a group, or month and a group with a comma between")
	flags.StringVar(&m.ask.From, "from", "", "first month, YYYY-MM")
	flags.StringVar(&m.ask.To, "to", "", "last month, YYYY-MM")
	flags.BoolVar(&m.signals, "signals", false, "print the signals on the measures' charts, as the report of the month does")
	flags.StringVar(&m.month, "month", "", "with --signals or --cases: the month under report, YYYY-MM; default: the last that has a transport")
	flags.BoolVar(&m.explain, "explain", false, "print population, formula, exclusions, interval, chart and source instead of numbers")
	flags.BoolVar(&m.supplies, "supplies", false, "print what the report tells of gas and power beyond the measures, --from and --to as given")
	flags.BoolVar(&m.purchase, "purchase", false, "print what the purchase report tells of the need and of each candidate, --from and --to as given")
	flags.BoolVar(&m.cases, "cases", false, "print the transports of --month that the committee must read, with their reasons")
	flags.StringVar(&m.replay.quantity, "replay", "", "print what other alarm limits of this quantity would have given; see --side, --limits and --delays")
	flags.StringVar(&m.replay.side, "side", "", "with --replay: high or low, the side of the limit that alarms")
	flags.StringVar(&m.replay.limits, "limits", "", "with --replay: LOWEST:HIGHEST:STEP, such as 85:95:1")
	flags.StringVar(&m.replay.delays, "delays", "", "with --replay: how long an excursion must last, such as 0s,15s (default 0s)")
	flags.BoolVar(&m.compare, "compare", false, "print what the research report compares, by the settings of its cohort")
	flags.BoolVar(&m.small, "show-small-cells", false, "with --compare: withhold no count, for internal use only")
	flags.BoolVar(&m.names, "name-transports", false, "with --supplies or --cases: name transports as the records do, not by pseudonym")
	return cmd
}

func measureHelp() string {
	return "Prints the measures named, or all: " + strings.Join(measures.IDs(), ", ") + ".\n\n" +
		"--by groups them: month, one of " + strings.Join(measures.Groups(), ", ") + ", or both (month,vehicle).\n\n" +
		"--explain prints what a measure is: its population, formula, exclusions, interval, chart and source.\n\n" +
		"--signals prints the signals on the charts up to --month, one for each pattern, as the committee report says them. " +
		"Keys of --format json: measure; chart; rule (point beyond 3 sigma, 8 in a row on one side, long run, few crossings); " +
		"first and last (months of its first and last point); direction (up, down, none); verdict (better, worse, changed); " +
		"current (it takes in the month; else it had ended before); value, unit, centre, lower, upper (of its last point); text. " +
		"The settings baseline_from, baseline_to and rebaseline say what limits are made from.\n\n" + replayHelp() + "\n\n" + suppliesHelp + "\n\n" + purchaseHelp + "\n\n" + compareHelp
}

func (m *measuring) check() (err error) {
	if err := checkFormat(m.format); err != nil {
		return err
	}
	for _, given := range []struct{ flag, text string }{{"--from", m.ask.From}, {"--to", m.ask.To}, {"--month", m.month}} {
		if err := month(given.text); err != nil {
			return fmt.Errorf("%s: %w", given.flag, err)
		}
	}
	if m.ask.From != "" && m.ask.To != "" && m.ask.From > m.ask.To {
		return fmt.Errorf("--from %s --to %s: expected a first month that is not after the last", m.ask.From, m.ask.To)
	}
	if m.replay.quantity != "" {
		if err := m.replay.check(m.ask.From, m.ask.To); err != nil {
			return err
		}
	}
	m.ask.ByMonth, m.ask.By, err = measures.ParseBy(m.by)
	return err
}

func (a *app) printSignals(ctx context.Context, r *queries.Reader, m measuring) (err error) {
	if m.month, err = monthOr(ctx, r, m.month); err != nil {
		return err
	}
	review, err := measures.NewReview(ctx, r, m.month, a.settings.limits)
	if err != nil {
		return err
	}
	return measures.WriteSignals(a.out, m.format, measures.SignalRows(review, m.ask.Measures))
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
