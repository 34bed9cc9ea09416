package measures

import (
	"context"
	"math"
	"slices"
	"time"

	"tripwake/queries/stats"
)

// SupplyNeed is how batteries or cylinders held for the transports that a candidate is for, and what it would have changed.
// A shortfall is a battery drawn on beyond the share of the settings, or gas left on arrival below the reserve.
type SupplyNeed struct {
	What       string // "battery" or a gas
	Scope      string // "V5", a team, or "all"
	Transports int    // judged
	LeftOut    map[string]int
	Was, Would Limit     // transports with a shortfall, before and with the candidate; bootstrap over weeks
	WasShare   Limit     // the same in % of the transports
	WouldShare Limit     // as above
	Empty      int       // of those with the candidate: nothing would have been left
	Capacity   float64   // usable: min on battery screen lit, L of the set
	Enough     float64   // what may be drawn before it counts as a shortfall, in min lit; NaN for gas, whose demand decides
	Loads      []float64 // what each transport drew: min of battery, L of gas
	Measured   []Fade    // batteries as they now last, of the devices in scope
	judged     tally
	was, would tally
}

// trial is one transport held against what it had, and against the candidate.
type trial struct {
	at                time.Time
	load              float64
	was, would, empty bool
	leftOut           string
}

func (p *purchasing) supplyNeed(what, scope string, trials []trial) (SupplyNeed, error) {
	n := SupplyNeed{What: what, Scope: scope, LeftOut: map[string]int{}, Enough: math.NaN(),
		judged: p.span.tally(), was: p.span.tally(), would: p.span.tally()}
	for _, t := range trials {
		if t.leftOut != "" {
			n.LeftOut[t.leftOut]++
			continue
		}
		n.Transports++
		n.judged.count(p.span, t.at, true)
		n.was.count(p.span, t.at, t.was)
		n.would.count(p.span, t.at, t.would)
		n.Empty += countIf(t.empty)
		n.Loads = append(n.Loads, t.load)
	}
	if n.Transports == 0 {
		return n, nil
	}
	var err1, err2, err3, err4 error
	n.Was, err1 = overWeeks(n.was.weeks)
	n.Would, err2 = overWeeks(n.would.weeks)
	n.WasShare, err3 = shareOf(n.was.weeks, n.judged.weeks)
	n.WouldShare, err4 = shareOf(n.would.weeks, n.judged.weeks)
	return n, firstOf(err1, err2, err3, err4)
}

// shareOf is a ratio over weeks in %.
func shareOf(some, all []float64) (Limit, error) {
	e, err := stats.BootstrapRatio(some, all, seed)
	return Limit{100 * e.Value, 100 * e.Low, 100 * e.High}, err
}

// battery replays the use of batteries on the candidate's.
func (p *purchasing) battery(ctx context.Context, c Candidate) (SupplyNeed, error) {
	loads, err := p.from.BatteryLoads(ctx, p.span.First, p.span.Last)
	if err != nil {
		return SupplyNeed{}, err
	}
	share := p.from.Settings().BatteryShare
	factor := float64(c.Batteries) * c.Derating
	var trials []trial
	for _, b := range loads {
		if !c.takes(b.Device, b.Team) {
			continue
		}
		t := trial{at: b.At, load: b.Lit + b.Dim, leftOut: b.LeftOut}
		if t.leftOut == "" && !b.Rated {
			t.leftOut = "no battery rating"
		}
		used := b.Lit/(c.Endurance*factor) + b.Dim/(c.EnduranceDimmed*factor)
		t.was, t.would, t.empty = above(b.Share, share), above(used, share), above(used, 1)
		trials = append(trials, t)
	}
	n, err := p.supplyNeed(KindBattery, c.scope(), trials)
	if err != nil {
		return n, err
	}
	n.Capacity, n.Enough = c.Endurance*factor, c.Endurance*factor*share
	n.Measured, err = p.measured(ctx, c)
	return n, err
}

// above compares as the measures do, after rounding to 1e-9.
func above(v, limit float64) bool { return math.Round(v*1e9) > math.Round(limit*1e9) }

// measured tells how long the batteries in scope last by now.
func (p *purchasing) measured(ctx context.Context, c Candidate) ([]Fade, error) {
	slopes, err := p.from.BatterySlopes(ctx, p.span.First, p.span.Last)
	if err != nil {
		return nil, err
	}
	fades, err := FadesOf(slopes, p.from.Settings().BatteryFade)
	if err != nil {
		return nil, err
	}
	return slices.DeleteFunc(fades, func(f Fade) bool {
		return len(c.Devices) > 0 && !slices.Contains(c.Devices, f.Device) || len(c.Devices) == 0 && c.Team != "" && p.homes[f.Device] != c.Team
	}), nil
}

// cylinders replays what transports took on the candidate's set.
func (p *purchasing) cylinders(ctx context.Context, c Candidate) (SupplyNeed, error) {
	loads, err := p.from.GasLoads(ctx, c.Gas, p.span.First, p.span.Last)
	if err != nil {
		return SupplyNeed{}, err
	}
	set := p.from.Settings()
	capacity := 0.0
	for _, size := range c.Sizes {
		litres, err := set.Usable(size, c.Pressure)
		if err != nil {
			return SupplyNeed{}, err
		}
		capacity += litres
	}
	var trials []trial
	for _, g := range loads {
		if !c.takes(g.Device, g.Team) {
			continue
		}
		used := max(0, g.Used)
		left := capacity - used
		short := g.LastFlow > 0 && above(set.OxygenReserve, left/g.LastFlow)
		trials = append(trials, trial{at: g.At, load: used, was: g.Short, would: short || left < 0, empty: left < 0, leftOut: g.LeftOut})
	}
	n, err := p.supplyNeed(c.Gas, c.scope(), trials)
	n.Capacity = capacity
	return n, err
}

// takes says whether a candidate is for the transports of a device and team.
func (c Candidate) takes(device, team string) bool {
	return (c.Team == "" || c.Team == team) && (len(c.Devices) == 0 || slices.Contains(c.Devices, device))
}

// supplyOverview is the shortfalls of all transports as they were, candidate or none.
func (p *purchasing) supplyOverview(ctx context.Context) ([]SupplyNeed, error) {
	loads, err := p.from.BatteryLoads(ctx, p.span.First, p.span.Last)
	if err != nil {
		return nil, err
	}
	var trials []trial
	for _, b := range loads {
		t := trial{at: b.At, load: b.Lit + b.Dim, leftOut: b.LeftOut, was: above(b.Share, p.from.Settings().BatteryShare)}
		if t.leftOut == "" && !b.Rated {
			t.leftOut = "no battery rating"
		}
		trials = append(trials, t)
	}
	battery, err := p.supplyNeed(KindBattery, "all", trials)
	if err != nil {
		return nil, err
	}
	all := []SupplyNeed{battery}
	for _, gas := range []string{"oxygen", "air"} {
		loads, err := p.from.GasLoads(ctx, gas, p.span.First, p.span.Last)
		if err != nil {
			return nil, err
		}
		trials = nil
		for _, g := range loads {
			trials = append(trials, trial{at: g.At, load: max(0, g.Used), was: g.Short, leftOut: g.LeftOut})
		}
		need, err := p.supplyNeed(gas, "all", trials)
		if err != nil {
			return nil, err
		}
		all = append(all, need)
	}
	return all, nil
}
