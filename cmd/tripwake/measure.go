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
			if err := m.check(); err != nil {
				return usage(err)
			}
			return a.answer(cmd.Context(), m)
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
	if err := m.checkTogether(); err != nil {
		return err
	}
	if err := m.replay.check(m.ask.From, m.ask.To); err != nil {
		return err
	}
	m.ask.ByMonth, m.ask.By, err = measures.ParseBy(m.by)
	return err
}

// checkTogether refuses flags that mean nothing beside each other.
func (m *measuring) checkTogether() error {
	replayed, bounded := m.replay.quantity != "", m.by != "" || m.ask.From != "" || m.ask.To != ""
	switch {
	case m.signals && m.explain:
		return errors.New("--signals and --explain: expected one of them")
	case m.signals && bounded:
		return errors.New("--signals: expected no --by, --from or --to beside it; --month says up to where charts are read")
	case m.explain && bounded:
		return errors.New("--explain: expected no --by, --from or --to beside it")
	case m.names && !m.supplies && !m.cases:
		return errors.New("--name-transports: expected --supplies or --cases beside it; nothing else of measure names a transport")
	case replayed && (m.signals || m.explain || m.supplies || m.cases || m.by != "" || m.month != "" || len(m.ask.Measures) > 0):
		return errors.New("--replay: expected no measure, --signals, --explain, --supplies, --cases, --by or --month beside it; --from and --to bound its months")
	case m.cases && (m.signals || m.explain || m.supplies || bounded || len(m.ask.Measures) > 0):
		return errors.New("--cases: expected no measure, --signals, --explain, --supplies, --by, --from or --to beside it; --month says which month")
	case m.supplies && (m.signals || m.explain || m.by != "" || m.month != "" || len(m.ask.Measures) > 0):
		return errors.New("--supplies: expected no measure, --signals, --explain, --by or --month beside it; --from and --to bound its months")
	case m.purchase && (m.signals || m.explain || m.supplies || m.by != "" || m.month != "" || len(m.ask.Measures) > 0):
		return errors.New("--purchase: expected no measure, --signals, --explain, --supplies, --by or --month beside it; --from and --to bound its months")
	case m.month != "" && !m.signals && !m.cases:
		return errors.New("--month: expected --signals or --cases beside it; --from and --to bound the months of measures")
	case m.small && !m.compare:
		return errors.New("--show-small-cells: expected --compare beside it; nothing else of measure withholds a count")
	case m.compare && (m.signals || m.explain || m.supplies || bounded || m.month != "" || len(m.ask.Measures) > 0):
		return errors.New("--compare: expected no measure and no other flag beside it; the settings cohort_from and cohort_to bound its months")
	}
	return nil
}

// answer prints what was asked for. Explanations need no store.
func (a *app) answer(ctx context.Context, m measuring) error {
	if m.explain {
		list, err := measures.Explain(m.ask.Measures)
		if err != nil {
			return err
		}
		return measures.WriteExplanations(a.out, m.format, list)
	}
	if m.compare {
		return a.printComparison(ctx, m)
	}
	return a.withReader(ctx, func(r *queries.Reader) error {
		switch {
		case m.signals:
			return a.printSignals(ctx, r, m)
		case m.supplies:
			return a.printSupplies(ctx, r, m)
		case m.cases:
			return a.printCases(ctx, r, m)
		case m.replay.quantity != "":
			return a.printReplay(ctx, r, m)
		case m.purchase:
			return a.printPurchase(ctx, r, m)
		}
		rows, err := measures.Measure(ctx, r, m.ask)
		if err != nil {
			return err
		}
		return measures.Write(a.out, m.format, rows)
	})
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
