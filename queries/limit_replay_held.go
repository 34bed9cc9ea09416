package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

var (
	//go:embed limit_replay_held.sql
	limitReplayHeldSQL string
	//go:embed limit_replay_delay.sql
	limitReplayDelaySQL string
)

// Held is what one limit with a delay would have given. Alone are the onsets that the other limit of the same side, with the
// same delay, would not have caught.
type Held struct{ Onsets, Transports, Alone, AloneTransports int }

// HeldLimit asks for what a limit would have given with a delay, and without what another limit of the same side would have caught.
type HeldLimit struct {
	Limit, Other float64
	Delay        time.Duration
}

func (l HeldLimit) validate(quantity string) error {
	if l.Delay < 0 || math.IsNaN(l.Limit) || math.IsNaN(l.Other) {
		return fmt.Errorf("replay of %s: expected two limits and a delay from 0, got %g, %g and %s", quantity, l.Limit, l.Other, l.Delay)
	}
	return nil
}

// ReplayHeld runs limits with a delay, in the order asked: an onset is an excursion beyond the limit that lasts at least the delay. A
// reading holds until the next, ReadingHolds at most. Of the grid only the quantity, the side and the months count. The readings are
// put in order once for all limits.
func (r *Reader) ReplayHeld(ctx context.Context, g Grid, asked ...HeldLimit) ([]Held, error) {
	if err := validatePeriod(g.From, g.To); err != nil {
		return nil, err
	}
	var all []delayedLimits
	for _, a := range asked {
		if err := a.validate(g.Quantity); err != nil {
			return nil, err
		}
		all = append(all, delayedLimits{a.Limit, a.Other, []time.Duration{a.Delay}})
	}
	if len(all) == 0 {
		return nil, nil
	}
	held, err := r.heldInAll(ctx, g, all)
	var answers []Held
	for _, h := range held {
		answers = append(answers, h[0])
	}
	return answers, err
}

func (h *Held) add(other Held) {
	h.Onsets, h.Transports = h.Onsets+other.Onsets, h.Transports+other.Transports
	h.Alone, h.AloneTransports = h.Alone+other.Alone, h.AloneTransports+other.AloneTransports
}

// DelayedLimit is what one limit of a grid would have given with one delay.
type DelayedLimit struct {
	Limit              float64
	Delay              time.Duration
	Onsets, Transports int
}

// ReplayDelays runs every limit of a grid with every delay, limits in order and delays within each. The readings are put in order
// once for all of them.
func (r *Reader) ReplayDelays(ctx context.Context, g Grid, delays []time.Duration) ([]DelayedLimit, error) {
	if err := g.validate(); err != nil {
		return nil, err
	}
	if len(delays) == 0 || slices.Min(delays) < 0 {
		return nil, fmt.Errorf("replay of %s: expected delays from 0, got %v", g.Quantity, delays)
	}
	var asked []delayedLimits
	for step := range g.Steps {
		asked = append(asked, delayedLimits{g.limit(step), g.limit(step), delays})
	}
	held, err := r.heldInAll(ctx, g, asked)
	var all []DelayedLimit
	for i, of := range held {
		for k, h := range of {
			all = append(all, DelayedLimit{asked[i].limit, delays[k], h.Onsets, h.Transports})
		}
	}
	return all, err
}

// delayedLimits are a limit, another one, and the delays with which both are tried.
type delayedLimits struct {
	limit, other float64
	delays       []time.Duration
}

// heldInAll adds up what parts of the transports give: for each limit asked, one answer a delay.
func (r *Reader) heldInAll(ctx context.Context, g Grid, asked []delayedLimits) ([][]Held, error) {
	parts, err := r.readingParts(ctx, g.From, g.To, readingsAtOnce, false, g.Quantity)
	if err != nil {
		return nil, err
	}
	var sums [][]Held
	for _, part := range parts {
		held, err := r.heldIn(ctx, g, part, asked)
		if err != nil {
			return nil, err
		}
		if sums == nil {
			sums = held
			continue
		}
		for i, of := range held {
			for k, h := range of {
				sums[i][k].add(h)
			}
		}
	}
	return sums, nil
}

// heldIn answers over a part of the transports: from the readings as they are and, where several at one moment are met, once more
// with the later record alone.
func (r *Reader) heldIn(ctx context.Context, g Grid, part idRange, asked []delayedLimits) ([][]Held, error) {
	held, tied, err := r.heldBy(ctx, g, part, r.replayed(g.Quantity, limitReplayHeldSQL), asked)
	if err == nil && tied {
		r.tied[g.Quantity] = true
		held, _, err = r.heldBy(ctx, g, part, mended(limitReplayHeldSQL), asked)
	}
	return held, err
}

func (r *Reader) heldBy(ctx context.Context, g Grid, part idRange, text string, asked []delayedLimits) (all [][]Held, tied bool, err error) {
	if err := r.hold(ctx, g, part, text, g.loosest(asked)); err != nil {
		return nil, false, err
	}
	for _, a := range asked {
		held, met, err := r.delayed(ctx, g, a)
		if err != nil {
			return nil, false, err
		}
		all, tied = append(all, held), tied || met
	}
	return all, tied, nil
}

// limit is one of the grid.
func (g Grid) limit(step int) float64 { return math.Round((g.Lowest+float64(step)*g.Step)*1e9) / 1e9 }

// loosest is the limit that most readings are beyond.
func (g Grid) loosest(asked []delayedLimits) float64 {
	limits := make([]float64, len(asked))
	for i, a := range asked {
		limits[i] = a.limit
	}
	if g.High {
		return slices.Min(limits)
	}
	return slices.Max(limits)
}

// hold takes the readings beyond the loosest limit into a temporary table, in which delayed looks for excursions.
func (r *Reader) hold(ctx context.Context, g Grid, part idRange, text string, loosest float64) error {
	if err := r.build(ctx, text, ""); err != nil {
		return err
	}
	if _, err := r.db.ExecContext(ctx, text, append(append(g.named(), part.named()...), sql.Named("loosest", loosest))...); err != nil {
		return fmt.Errorf("queries: readings of %s could not be held: %w", g.Quantity, err)
	}
	return nil
}

// delayed answers for one limit, in the order of the delays given; each delay counts once.
func (r *Reader) delayed(ctx context.Context, g Grid, a delayedLimits) (held []Held, tied bool, err error) {
	var texts []string
	for _, d := range a.delays {
		texts = append(texts, strconv.FormatFloat(d.Seconds(), 'g', -1, 64))
	}
	found := map[time.Duration]Held{}
	_, err = collect(ctx, r, limitReplayDelaySQL, func(rows *sql.Rows) (Held, error) {
		var h Held
		var seconds float64
		var met bool
		err := rows.Scan(&seconds, &h.Onsets, &h.Transports, &h.Alone, &h.AloneTransports, &met)
		found[time.Duration(math.Round(seconds*1e9))], tied = h, tied || met
		return h, err
	}, sql.Named("sign", g.sign()), sql.Named("asked", a.limit), sql.Named("other", a.other), sql.Named("delays", strings.Join(texts, ",")))
	for _, d := range a.delays {
		held = append(held, found[d])
	}
	return held, tied, err
}
