package main

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// offer is one thing that measure can print. beside are the flags that mean something to it; ID stands for names of
// measures among the arguments.
type offer struct {
	flag   string // which asks for it; empty: the measures themselves
	asked  bool
	beside []string
	print  func(context.Context, *queries.Reader, measuring) error
}

const namesOfMeasures = "ID"

// answers lists all that measure can print. Explanations and comparisons open the store themselves, or need none.
func (a *app) answers(m measuring) []offer {
	return []offer{
		{"", false, []string{namesOfMeasures, "--by", "--from", "--to"}, a.printMeasures},
		{"--signals", m.signals, []string{namesOfMeasures, "--month"}, a.printSignals},
		{"--explain", m.explain, []string{namesOfMeasures}, nil},
		{"--supplies", m.supplies, []string{"--from", "--to", "--name-transports"}, a.printSupplies},
		{"--purchase", m.purchase, []string{"--from", "--to"}, a.printPurchase},
		{"--cases", m.cases, []string{"--month", "--name-transports"}, a.printCases},
		{"--replay", m.replay.quantity != "", []string{"--side", "--limits", "--delays", "--from", "--to"}, a.printReplay},
		{"--compare", m.compare, []string{"--show-small-cells"}, nil},
	}
}

// beside lists the flags that were given and ask for nothing by themselves.
func (m measuring) beside() (given []string) {
	for _, f := range []struct {
		name string
		is   bool
	}{
		{namesOfMeasures, len(m.ask.Measures) > 0}, {"--by", m.by != ""}, {"--from", m.ask.From != ""}, {"--to", m.ask.To != ""},
		{"--month", m.month != ""}, {"--name-transports", m.names}, {"--show-small-cells", m.small},
		{"--side", m.replay.side != ""}, {"--limits", m.replay.limits != ""}, {"--delays", m.replay.delays != ""},
	} {
		if f.is {
			given = append(given, f.name)
		}
	}
	return given
}

// choose gives the one answer that was asked for, and refuses flags that mean nothing to it.
func (a *app) choose(m measuring) (offer, error) {
	all := a.answers(m)
	chosen := all[0]
	for _, one := range all[1:] {
		switch {
		case one.asked && chosen.asked:
			return offer{}, fmt.Errorf("%s and %s: expected one of them", chosen.flag, one.flag)
		case one.asked:
			chosen = one
		}
	}
	for _, given := range m.beside() {
		switch {
		case slices.Contains(chosen.beside, given):
		case chosen.flag == "":
			return offer{}, fmt.Errorf("%s: expected %s beside it", given, strings.Join(whoTakes(all, given), " or "))
		case given == namesOfMeasures:
			return offer{}, fmt.Errorf("%s: expected no measure beside it; it takes %s", chosen.flag, strings.Join(chosen.beside, ", "))
		default:
			return offer{}, fmt.Errorf("%s: expected no %s beside it; it takes %s", chosen.flag, given, strings.Join(chosen.beside, ", "))
		}
	}
	return chosen, nil
}

func whoTakes(all []offer, flag string) (names []string) {
	for _, one := range all {
		if slices.Contains(one.beside, flag) {
			names = append(names, one.flag)
		}
	}
	return names
}

// answer prints what was asked for.
func (a *app) answer(ctx context.Context, m measuring, chosen offer) error {
	switch {
	case m.explain:
		list, err := measures.Explain(m.ask.Measures)
		if err != nil {
			return err
		}
		return measures.WriteExplanations(a.out, m.format, list)
	case m.compare:
		return a.printComparison(ctx, m)
	}
	return a.withReader(ctx, func(r *queries.Reader) error { return chosen.print(ctx, r, m) })
}

func (a *app) printMeasures(ctx context.Context, r *queries.Reader, m measuring) error {
	rows, err := measures.Measure(ctx, r, m.ask)
	if err != nil {
		return err
	}
	return measures.Write(a.out, m.format, rows)
}
