package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"fmt"
	"math"
	"strings"
)

//go:embed limit_replay.sql
var limitReplaySQL string

// Grid asks for a replay: a quantity of quantities.csv (expired_tidal_volume and minute_volume are taken per kg of weight),
// whether high limits are meant or low ones, and the limits Lowest, Lowest + Step, … of which there are Steps.
type Grid struct {
	Quantity     string
	High         bool
	Lowest, Step float64
	Steps        int
	From, To     string // months, empty: open
}

// ReplayedLimit is what one limit would have given: onsets and transports with one. Population is the transports with
// readings, Hours the time for which their readings held.
type ReplayedLimit struct {
	Limit                          float64
	Onsets, Transports, Population int
	Hours                          float64
}

// mostSteps bounds a grid: more limits than anyone reads are a slip of the keyboard.
const mostSteps = 1000

func (g Grid) validate() error {
	switch {
	case math.IsNaN(g.Lowest) || math.IsInf(g.Lowest, 0) || math.IsInf(g.Step, 0) || !(g.Step > 0):
		return fmt.Errorf("replay of %s: expected a lowest limit and a step above 0, got %g and %g", g.Quantity, g.Lowest, g.Step)
	case g.Steps < 1 || g.Steps > mostSteps:
		return fmt.Errorf("replay of %s: expected 1 to %d limits, got %d", g.Quantity, mostSteps, g.Steps)
	}
	return validatePeriod(g.From, g.To)
}

// named are the parameters that both texts of a replay take.
func (g Grid) named() []any {
	return []any{sql.Named("quantity", g.Quantity), sql.Named("sign", g.sign()),
		sql.Named("first", firstDay(g.From)), sql.Named("last", firstDay(g.To))}
}

func (g Grid) sign() int {
	if g.High {
		return 1
	}
	return -1
}

// Replay runs the limits of a grid, without delay, over the readings in the widened window of completed transports: an
// onset is where a value comes to be beyond the limit from not being beyond it, or from more than ReadingHolds without a
// reading. One pass answers for the whole grid.
func (r *Reader) Replay(ctx context.Context, g Grid) ([]ReplayedLimit, error) {
	if err := g.validate(); err != nil {
		return nil, err
	}
	parts, err := r.readingParts(ctx, g.From, g.To, readingsAtOnce, false, g.Quantity)
	if err != nil {
		return nil, err
	}
	var all []ReplayedLimit
	for _, part := range parts {
		args := append(append(g.named(), part.named()...), sql.Named("lowest", g.Lowest), sql.Named("step", g.Step), sql.Named("steps", g.Steps))
		limits, tied, err := r.replay(ctx, r.replayed(g.Quantity, limitReplaySQL), args)
		if err == nil && tied {
			r.tied[g.Quantity] = true
			limits, _, err = r.replay(ctx, mended(limitReplaySQL), args)
		}
		if err != nil {
			return nil, err
		}
		all = addLimits(all, limits)
	}
	return all, nil
}

// addLimits adds up what parts of the transports give.
func addLimits(all, part []ReplayedLimit) []ReplayedLimit {
	if all == nil {
		return part
	}
	for i, l := range part {
		a := &all[i]
		a.Onsets, a.Transports, a.Population, a.Hours = a.Onsets+l.Onsets, a.Transports+l.Transports, a.Population+l.Population, a.Hours+l.Hours
	}
	return all
}

// replayed is the text that reads a quantity: mended where several readings at one moment were met before.
func (r *Reader) replayed(quantity, text string) string {
	if r.tied[quantity] {
		return mended(text)
	}
	return text
}

// mended reads the readings with several at one moment brought down to the later record. That takes twice as long, so it is
// done only where it was seen to be needed.
func mended(text string) string {
	return strings.ReplaceAll(text, "held_readings(", "latest_readings(")
}

func (r *Reader) replay(ctx context.Context, text string, args []any) (limits []ReplayedLimit, tied bool, err error) {
	limits, err = collect(ctx, r, text, func(rows *sql.Rows) (ReplayedLimit, error) {
		var l ReplayedLimit
		return l, rows.Scan(&l.Limit, &l.Onsets, &l.Transports, &l.Population, &l.Hours, &tied)
	}, args...)
	return limits, tied, err
}
