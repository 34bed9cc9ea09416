package measures

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"tripwake/queries"
)

// ReplaySource is what a replay asks of package queries; *queries.Reader is one.
type ReplaySource interface {
	Replay(ctx context.Context, g queries.Grid) ([]queries.ReplayedLimit, error)
	ReplayHeld(ctx context.Context, g queries.Grid, asked ...queries.HeldLimit) ([]queries.Held, error)
}

// Replayed is what other limits of one alarm condition would have given on the readings that were kept.
type Replayed struct {
	Condition, Quantity, Unit string
	Decimals                  int
	Limits                    []ReplayedRow
	Hours                     float64
	Population                int
	InForce                   float64 // the limit usual in the last month in which it is known
	Stricter                  float64 // the next stricter limit shown
	Alone                     queries.Held
	Delay                     time.Duration
	Delayed                   queries.Held // the limit in force with that delay
}

// ReplayedRow is one limit of a replay. Marked says why it stands out: "usual now", "usual before", or empty.
type ReplayedRow struct {
	queries.ReplayedLimit
	PerHour float64
	Marked  string
}

// delayShown is the delay that a report shows beside the limit in force: a reading every 10 to 30 s can tell it.
const delayShown = 15 * time.Second

// grain is, for each quantity that may be replayed, the step of the grid that is computed and of the limits that are shown.
var grain = map[string][2]float64{
	"pip": {0.5, 2}, "peep": {0.1, 0.5}, "mean_airway_pressure": {0.1, 0.5}, "rate": {1, 5}, "expired_tidal_volume": {0.1, 0.3},
	"minute_volume": {0.01, 0.05}, "leak": {1, 5}, "fio2": {1, 5}, "spo2": {1, 1}, "heart_rate": {1, 5}, "etco2": {1, 5},
	"temperature": {0.1, 0.2}, "blood_pressure": {1, 2},
}

// eachSide is how many limits are shown on each side of the one in force.
const eachSide = 4

// ReplayCondition replays the alarm of one condition around its usual limits, over a span of months; false where its
// quantity has no readings or no limit of it is known. defaults are those of the span.
func ReplayCondition(ctx context.Context, from ReplaySource, condition string, defaults []queries.AlarmDefault, first, last string) (Replayed, bool, error) {
	r := Replayed{Condition: condition, Quantity: quantityOf(condition), Unit: LimitUnit(condition), Delay: delayShown}
	steps, ok := grain[r.Quantity]
	usual := usualLimits(condition, defaults)
	if !ok || len(usual) == 0 {
		return r, false, nil
	}
	r.InForce = usual[len(usual)-1]
	grid := gridOf(r.Quantity, !strings.HasSuffix(condition, "_low"), usual, steps)
	grid.From, grid.To = first, last
	limits, err := from.Replay(ctx, grid)
	if err != nil || len(limits) == 0 || limits[0].Population == 0 {
		return r, false, err
	}
	r.Population, r.Hours, r.Decimals = limits[0].Population, limits[0].Hours, int(math.Max(0, math.Ceil(-math.Log10(steps[0])-1e-9)))
	r.choose(limits, usual, steps[1])
	return r, true, r.readHeld(ctx, from, grid, steps[1])
}

// usualLimits are the limits that most transports of a month had, each once, in the order in which they were last seen:
// the last is the one in force. Only months on which enough transports agree count.
func usualLimits(condition string, defaults []queries.AlarmDefault) []float64 {
	votes := map[string]map[float64]int{}
	for _, d := range defaults {
		if d.Condition == condition {
			if votes[d.Month] == nil {
				votes[d.Month] = map[float64]int{}
			}
			votes[d.Month][d.Value] += d.Transports
		}
	}
	var order []float64
	for _, month := range slices.Sorted(keys(votes)) {
		best, most := 0.0, 0
		for value, n := range votes[month] {
			if n > most || n == most && value < best {
				best, most = value, n
			}
		}
		if most >= leastTransports {
			order = append(slices.DeleteFunc(order, func(v float64) bool { return v == best }), best)
		}
	}
	if len(order) > 2 { // limits set for each patient wander: only the latest says anything
		order = order[len(order)-1:]
	}
	return order
}

func keys[V any](m map[string]V) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// gridOf covers the limits shown and all usual ones with the fine step.
func gridOf(quantity string, high bool, usual []float64, steps [2]float64) queries.Grid {
	lowest := min(slices.Min(usual), usual[len(usual)-1]-eachSide*steps[1])
	highest := max(slices.Max(usual), usual[len(usual)-1]+eachSide*steps[1])
	fine := func(v float64) float64 { return math.Round(v / steps[0]) }
	return queries.Grid{Quantity: quantity, High: high, Lowest: math.Round(fine(lowest)*steps[0]*1e9) / 1e9, Step: steps[0],
		Steps: int(fine(highest)-fine(lowest)) + 1}
}

// choose keeps the limits that are a whole number of shown steps from the one in force, and the usual ones.
func (r *Replayed) choose(limits []queries.ReplayedLimit, usual []float64, shown float64) {
	for _, l := range limits {
		row := ReplayedRow{ReplayedLimit: l}
		if l.Hours > 0 {
			row.PerHour = float64(l.Onsets) / l.Hours
		}
		away := (l.Limit - r.InForce) / shown
		switch {
		case sameLimit(l.Limit, r.InForce):
			row.Marked = "usual now"
		case slices.ContainsFunc(usual, func(v float64) bool { return sameLimit(v, l.Limit) }):
			row.Marked = "usual before"
		case !sameLimit(away, math.Round(away)) || math.Abs(away) > eachSide+0.5:
			continue
		}
		r.Limits = append(r.Limits, row)
	}
}

func sameLimit(a, b float64) bool { return math.Abs(a-b) < 1e-6 }

// readHeld asks what the next stricter limit alone would have caught, and what a delay would have left of the one in force.
func (r *Replayed) readHeld(ctx context.Context, from ReplaySource, grid queries.Grid, shown float64) error {
	r.Stricter = r.InForce + shown
	if grid.High {
		r.Stricter = r.InForce - shown
	}
	held, err := from.ReplayHeld(ctx, grid, queries.HeldLimit{Limit: r.Stricter, Other: r.InForce},
		queries.HeldLimit{Limit: r.InForce, Other: r.Stricter, Delay: r.Delay})
	if err != nil {
		return fmt.Errorf("replay of %s with a delay: %w", r.Condition, err)
	}
	r.Alone, r.Delayed = held[0], held[1]
	return nil
}

// LimitText prints a limit of this replay with its unit.
func (r Replayed) LimitText(limit float64) string {
	return strings.TrimSpace(fixed(limit, r.Decimals) + " " + r.Unit)
}

// RateText prints onsets per hour of readings; HoursText the hours.
func (w ReplayedRow) RateText() string { return fixed(w.PerHour, 2) }

// HoursText prints the hours for which readings held.
func (r Replayed) HoursText() string { return fixed(r.Hours, 0) }

// DelayWords says what would be left of the limit in force with the delay.
func (r Replayed) DelayWords() string {
	return fmt.Sprintf("With a delay of %d s the limit of %s would have given %d onsets on %d transports.", int(r.Delay.Seconds()), r.LimitText(r.InForce),
		r.Delayed.Onsets, r.Delayed.Transports)
}

// AloneWords says what the next stricter limit alone would have caught.
func (r Replayed) AloneWords() string {
	return fmt.Sprintf("Excursions beyond %s that never came beyond %s: %d, on %d transports.", r.LimitText(r.Stricter), r.LimitText(r.InForce),
		r.Alone.Alone, r.Alone.AloneTransports)
}
