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

// ReplayHeld runs one limit with a delay: an onset is an excursion beyond it that lasts at least the delay. A reading holds
// until the next, ReadingHolds at most. Of the grid only the quantity, the side and the months count.
func (r *Reader) ReplayHeld(ctx context.Context, g Grid, limit, other float64, delay time.Duration) (Held, error) {
	if err := validatePeriod(g.From, g.To); err != nil {
		return Held{}, err
	}
	if delay < 0 || math.IsNaN(limit) || math.IsNaN(other) {
		return Held{}, fmt.Errorf("replay of %s: expected two limits and a delay from 0, got %g, %g and %s", g.Quantity, limit, other, delay)
	}
	parts, err := r.readingParts(ctx, g.Quantity, g.From, g.To)
	var all Held
	for _, part := range parts {
		held, err := r.heldIn(ctx, g, part, [][2]float64{{limit, other}}, limit, []time.Duration{delay})
		if err != nil {
			return Held{}, err
		}
		all.add(held[0][0])
	}
	return all, err
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
	var pairs [][2]float64
	for step := range g.Steps {
		pairs = append(pairs, [2]float64{g.limit(step), g.limit(step)})
	}
	parts, err := r.readingParts(ctx, g.Quantity, g.From, g.To)
	if err != nil {
		return nil, err
	}
	sums := make([]Held, len(pairs)*len(delays))
	for _, part := range parts {
		held, err := r.heldIn(ctx, g, part, pairs, g.limit(g.loosest()), delays)
		if err != nil {
			return nil, err
		}
		for i, h := range slices.Concat(held...) {
			sums[i].add(h)
		}
	}
	var all []DelayedLimit
	for i, h := range sums {
		all = append(all, DelayedLimit{pairs[i/len(delays)][0], delays[i%len(delays)], h.Onsets, h.Transports})
	}
	return all, nil
}

// heldIn answers for pairs of limits, each with every delay, over a part of the transports: the readings as they are and, where
// several at one moment are met, once more with the later record alone.
func (r *Reader) heldIn(ctx context.Context, g Grid, part idRange, pairs [][2]float64, loosest float64, delays []time.Duration) (all [][]Held, err error) {
	for _, text := range []string{limitReplayHeldSQL, mended(limitReplayHeldSQL)} {
		if err := r.hold(ctx, g, part, text, loosest); err != nil {
			return nil, err
		}
		tied := false
		all = nil
		for _, pair := range pairs {
			held, met, err := r.delayed(ctx, g, pair[0], pair[1], delays)
			if err != nil {
				return nil, err
			}
			all, tied = append(all, held), tied || met
		}
		if !tied {
			break
		}
	}
	return all, nil
}

// limit is one of the grid, loosest the step of the one that most readings are beyond.
func (g Grid) limit(step int) float64 { return math.Round((g.Lowest+float64(step)*g.Step)*1e9) / 1e9 }

func (g Grid) loosest() int {
	if g.High {
		return 0
	}
	return g.Steps - 1
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
func (r *Reader) delayed(ctx context.Context, g Grid, limit, other float64, delays []time.Duration) (held []Held, tied bool, err error) {
	var texts []string
	for _, d := range delays {
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
	}, sql.Named("sign", g.sign()), sql.Named("asked", limit), sql.Named("other", other), sql.Named("delays", strings.Join(texts, ",")))
	for _, d := range delays {
		held = append(held, found[d])
	}
	return held, tied, err
}
