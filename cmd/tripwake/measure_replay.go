package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"tripwake/queries"
	"tripwake/queries/measures"
	"tripwake/reports"
)

// replaying is what --replay and the flags beside it ask for.
type replaying struct {
	quantity, side, limits, delays string
	grid                           queries.Grid
	waits                          []time.Duration
}

// replayHelp says what --replay does and what its rows are.
func replayHelp() string {
	return "--replay QUANTITY prints what other alarm limits of a quantity would have given on the readings of the months --from to --to: " +
		"one of " + strings.Join(measures.ReplayQuantities(), ", ") + " (volumes per kg). --side high or low says which side of the limit alarms, --limits LOWEST:HIGHEST:STEP which " +
		"limits, --delays how long an excursion must last (0s,15s). An onset is an excursion beyond the limit that lasts at least the delay; a reading holds until the next, 60 s at most " +
		"unless set otherwise. Keys of --format json: quantity, side, limit, unit, delay (s), onsets, transports (with one), population (transports with readings), hours (for which readings held), " +
		"per_hour. " + measures.ReplayCaution + "\n\n" +
		"--cases prints the transports of --month that the committee must read, with their reasons, the gravest first. Keys of --format json: transport, month, reasons."
}

// check reads the flags beside --replay.
func (r *replaying) check(from, to string) (err error) {
	if _, ok := measures.ReplayUnit(r.quantity); !ok {
		return fmt.Errorf("--replay %q: expected one of %s", r.quantity, strings.Join(measures.ReplayQuantities(), ", "))
	}
	if r.side != "high" && r.side != "low" {
		return fmt.Errorf("--side %q: expected high or low, the side of the limit that alarms", r.side)
	}
	if r.grid, err = gridFrom(r.limits); err != nil {
		return err
	}
	r.grid.Quantity, r.grid.High, r.grid.From, r.grid.To = r.quantity, r.side == "high", from, to
	r.waits, err = delaysFrom(r.delays)
	return err
}

// mostLimits is how many limits one replay may have: each delay takes a pass for each of them.
const mostLimits = 200

// gridFrom reads LOWEST:HIGHEST:STEP.
func gridFrom(text string) (queries.Grid, error) {
	wrong := fmt.Errorf("--limits %q: expected LOWEST:HIGHEST:STEP such as 85:95:1, with at most %d limits", text, mostLimits)
	var v [3]float64
	parts := strings.Split(text, ":")
	if len(parts) != len(v) {
		return queries.Grid{}, wrong
	}
	for i, part := range parts {
		n, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		if err != nil || math.IsNaN(n) || math.IsInf(n, 0) {
			return queries.Grid{}, wrong
		}
		v[i] = n
	}
	if v[2] <= 0 || v[1] < v[0] || (v[1]-v[0])/v[2] > mostLimits-1+1e-9 {
		return queries.Grid{}, wrong
	}
	return queries.Grid{Lowest: v[0], Step: v[2], Steps: int(math.Floor((v[1]-v[0])/v[2]+1e-9)) + 1}, nil
}

// delaysFrom reads lengths of time with commas between; none is no delay.
func delaysFrom(text string) ([]time.Duration, error) {
	if text == "" {
		return []time.Duration{0}, nil
	}
	var delays []time.Duration
	for part := range strings.SplitSeq(text, ",") {
		d, err := time.ParseDuration(strings.TrimSpace(part))
		if err != nil || d < 0 || d > 24*time.Hour || slices.Contains(delays, d) {
			return nil, fmt.Errorf("--delays %q: expected different lengths of time from 0s such as 0s,15s", text)
		}
		delays = append(delays, d)
	}
	return delays, nil
}

func (a *app) printReplay(ctx context.Context, r *queries.Reader, m measuring) error {
	rows, err := measures.ReplayRows(ctx, r, m.replay.grid, m.replay.waits)
	if err != nil {
		return err
	}
	a.say("%s", measures.ReplayCaution)
	return measures.WriteReplay(a.out, m.format, rows)
}

func (a *app) printCases(ctx context.Context, r *queries.Reader, m measuring) (err error) {
	if m.month, err = monthOr(ctx, r, m.month); err != nil {
		return err
	}
	name, err := a.namer(m.names)
	if err != nil {
		return err
	}
	cases, err := r.Cases(ctx, m.month)
	if err != nil {
		return err
	}
	return measures.WriteCases(a.out, m.format, measures.CaseRows(cases, name))
}

// monthOr is the month asked for, or else the last that has a transport.
func monthOr(ctx context.Context, r *queries.Reader, asked string) (string, error) {
	if asked != "" {
		return asked, nil
	}
	_, last, err := r.Period(ctx)
	if err == nil && last == "" {
		err = errors.New("the store has no transport with a month; load transports first, or name a month with --month")
	}
	return last, err
}

// namer calls transports as the reports do, or by their own names.
func (a *app) namer(own bool) (func(transportID string) string, error) {
	if own {
		return func(transportID string) string { return transportID }, nil
	}
	key, err := pseudonymKey(a.keyFile(a.settings.store))
	if err != nil {
		return nil, err
	}
	return func(transportID string) string { return reports.Pseudonym(key, transportID) }, nil
}
