package measures

import (
	"context"
	"fmt"
	"slices"
	"time"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// seed of every bootstrap: the same records give the same intervals.
const seed = 1

// FleetNeed is how a kind of device was asked for, by all or by one team, and what fleets of other sizes would have done. Hours
// throughout; a hold is acceptance to ready again with the turnaround.
type FleetNeed struct {
	Kind, Team          string
	Units               int // there now: in service at the end of the span, or as the candidate says; 0 where nothing tells
	Requests            int // replayed
	TurnedAway, Delayed int // of these, recorded as declined or delayed for want of equipment
	Assumed             int // requests whose hold is not known: the median stands for it
	NotPlaced           int // requests without a time, left out
	MedianHold          float64
	MeanHold            float64
	Load                float64       // mean number in use if none were turned away: arrivals × mean hold
	Levels              []float64     // hours at each number in use
	Daytime             float64       // % of requests from 8 to 20 o'clock, local; 50 if the hour made no difference
	Dispersion          float64       // variance over mean of the requests of a day; 1 for Poisson arrivals
	Away                float64       // hours of devices out of service
	Replays             []FleetReplay // by size, from 0
	asked, recorded     tally
}

// FleetReplay is one size of fleet: how many requests would have found none free.
type FleetReplay struct {
	Units     int
	Lost      Limit // every unit there at all times; bootstrap over weeks
	AsItWas   Limit // units away as the service records tell; equal to Lost where nothing was away
	Lent      int   // of those of AsItWas: went out with a device that mostly goes with another team
	Erlang    float64
	lost, was tally
}

// Top is the highest number wanted at once, those turned away among them.
func (n FleetNeed) Top() int { return len(n.Levels) - 1 }

// pool is the requests and units of a FleetNeed, ready to be replayed.
type pool struct {
	span     PurchaseSpan
	holds    []stats.Hold
	asked    []time.Time
	lent     []bool
	presence []queries.Presence
	units    int // now, and those away are taken from it
	listed   int // registered at the end of the span
}

// fleetNeed reads the requests for a kind of device. units 0 means as many as the register has at the end of the span.
func (p *purchasing) fleetNeed(ctx context.Context, kind, team string, units, add int) (FleetNeed, error) {
	requests, err := p.from.DeviceRequests(ctx, kind, team, p.span.First, p.span.Last)
	if err != nil {
		return FleetNeed{}, err
	}
	presence, err := p.from.DevicePresence(ctx, kind, team, p.span.Start, p.span.End)
	if err != nil {
		return FleetNeed{}, err
	}
	n := FleetNeed{Kind: kind, Team: team, Units: units}
	drawn := pool{span: p.span, presence: presence}
	if len(presence) > 0 {
		drawn.listed = presence[len(presence)-1].Registered
	}
	if n.Units == 0 {
		n.Units = drawn.listed
	}
	drawn.units = n.Units
	n.tell(requests, &drawn)
	if n.Requests == 0 {
		return n, nil
	}
	if n.Levels, err = stats.Concurrency(drawn.holds, 0, p.span.Hours()); err != nil {
		return n, err
	}
	n.Away = drawn.away()
	for size := 0; size <= max(n.Units+add, n.Top()+1); size++ {
		replay, err := drawn.replay(size, n.Load)
		if err != nil {
			return n, fmt.Errorf("replay of %d %s: %w", size, kind, err)
		}
		n.Replays = append(n.Replays, replay)
	}
	return n, nil
}

// tell counts the requests and makes holds of them. Without any hold that is known nothing can be replayed, and all stay out.
func (n *FleetNeed) tell(requests []queries.DeviceRequest, into *pool) {
	var known []float64
	for _, r := range requests {
		if !r.Asked.IsZero() && !r.Free.IsZero() {
			known = append(known, r.Free.Sub(r.Asked).Hours())
		}
	}
	slices.Sort(known)
	if len(known) > 0 {
		n.MedianHold, _ = stats.Median(known) // values are sorted, finite and there
	}
	total := 0.0
	n.asked, n.recorded = into.span.tally(), into.span.tally()
	for _, r := range requests {
		if r.Asked.IsZero() || len(known) == 0 {
			n.NotPlaced++
			continue
		}
		hold := n.MedianHold
		if r.Free.IsZero() {
			n.Assumed++
		} else {
			hold = r.Free.Sub(r.Asked).Hours()
		}
		n.Requests++
		n.TurnedAway += countIf(r.TurnedAway)
		n.Delayed += countIf(r.Delayed)
		n.asked.count(into.span, r.Asked, true)
		n.recorded.count(into.span, r.Asked, r.TurnedAway || r.Delayed)
		total += hold
		at := into.span.since(r.Asked)
		into.holds, into.asked = append(into.holds, stats.Hold{From: at, To: at + hold}), append(into.asked, r.Asked)
		into.lent = append(into.lent, r.Lent)
	}
	if n.Requests > 0 {
		n.MeanHold, n.Load = total/float64(n.Requests), total/into.span.Hours()
		n.arrivals(requests, into.span)
	}
}

func countIf(yes bool) int {
	if yes {
		return 1
	}
	return 0
}

// arrivals says how far the requests are from a Poisson stream: by the hour of day, and by day.
func (n *FleetNeed) arrivals(requests []queries.DeviceRequest, span PurchaseSpan) {
	byDay, day := map[string]float64{}, 0
	for _, r := range requests {
		if r.Asked.IsZero() {
			continue
		}
		local := r.Asked.In(span.Start.Location())
		byDay[local.Format(time.DateOnly)]++
		day += countIf(local.Hour() >= 8 && local.Hour() < 20)
	}
	n.Daytime = 100 * float64(day) / float64(n.Requests)
	var counts []float64
	for at := span.Start; at.Before(span.End); at = at.AddDate(0, 0, 1) {
		counts = append(counts, byDay[at.Format(time.DateOnly)])
	}
	mean, err1 := stats.Mean(counts)
	sd, err2 := stats.SD(counts)
	if n.Dispersion = missing; err1 == nil && err2 == nil && mean > 0 {
		n.Dispersion = sd * sd / mean
	}
}

// away adds up the hours of devices out of service.
func (p pool) away() float64 {
	hours := 0.0
	for i, at := range p.presence {
		end := p.span.End
		if i+1 < len(p.presence) {
			end = p.presence[i+1].At
		}
		hours += float64(at.Registered-at.Units) * end.Sub(at.At).Hours()
	}
	return hours
}

// asItWas is a fleet that has size units now, with those away that were, and those not yet there that came later.
func (p pool) asItWas(size int) []stats.Step {
	if len(p.presence) == 0 || p.listed == 0 {
		return stats.Constant(0, size)
	}
	steps := make([]stats.Step, len(p.presence))
	for i, at := range p.presence {
		steps[i] = stats.Step{At: p.span.since(at.At), Units: max(0, size+at.Units-p.listed)}
	}
	return steps
}

// replay carries the requests out with so many units, once with all of them there and once as it was.
func (p pool) replay(size int, load float64) (r FleetReplay, err error) {
	r.Units = size
	if r.Lost, r.lost, _, err = p.lost(stats.Constant(0, size)); err != nil {
		return r, err
	}
	if r.AsItWas, r.was, r.Lent, err = p.lost(p.asItWas(size)); err != nil {
		return r, err
	}
	b, err := stats.ErlangB(load, size)
	r.Erlang = b * float64(len(p.holds))
	return r, err
}

// lost counts the requests that find none free, and those of them that went out with a lent device.
func (p pool) lost(steps []stats.Step) (all Limit, counted tally, lent int, err error) {
	lost, err := stats.ReplayLoss(p.holds, steps)
	if err != nil {
		return all, counted, 0, err
	}
	counted = p.span.tally()
	for i, none := range lost {
		counted.count(p.span, p.asked[i], none)
		lent += countIf(none && p.lent[i])
	}
	all, err = overWeeks(counted.weeks)
	return all, counted, lent, err
}

// overWeeks is a sum over weeks with its bootstrap interval.
func overWeeks(weeks []float64) (Limit, error) {
	e, err := stats.BootstrapSum(weeks, seed)
	return limit(e), err
}

// fewer is what the weeks of one replay have more than those of another, with its interval.
func fewer(before, after []float64) (Limit, []float64, error) {
	avoided := make([]float64, len(before))
	for i := range before {
		avoided[i] = before[i] - after[i]
	}
	l, err := overWeeks(avoided)
	return l, avoided, err
}

// Replay finds the replay of a size; false where nothing was replayed.
func (n FleetNeed) Replay(size int) (FleetReplay, bool) {
	if size < 0 || size >= len(n.Replays) {
		return FleetReplay{}, false
	}
	return n.Replays[size], true
}

// Share is the part of the span, in %, at which so many or more were wanted at once.
func (n FleetNeed) Share(level int) float64 {
	share := 0.0
	for at := level; at < len(n.Levels); at++ {
		share += n.ShareAt(at)
	}
	return share
}

// ShareAt is the part of the span, in %, at which exactly so many were wanted.
func (n FleetNeed) ShareAt(level int) float64 {
	total := 0.0
	for _, hours := range n.Levels {
		total += hours
	}
	if total == 0 || level < 0 || level >= len(n.Levels) {
		return 0
	}
	return 100 * n.Levels[level] / total
}

// Near are the replays around the size of now and that with so many bought: those that a chart has room for.
func (n FleetNeed) Near(add int) []FleetReplay {
	if len(n.Replays) == 0 {
		return nil
	}
	return n.Replays[min(max(1, n.Units-1), len(n.Replays)-1):min(n.Units+add+2, len(n.Replays))]
}
