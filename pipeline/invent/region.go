package invent

import (
	"fmt"
	"slices"
	"time"
)

// region is one service area with its own kits: the transports of a run fill one region after the other, so that more of
// them never changes the first. Its state is when each kit is free again.
type region struct {
	seed    uint64
	number  int
	first   time.Time // the first month, at midnight in the team's zone
	months  int
	devices []device
	kits    []kit
	free    []time.Time
	shifts  []shift
}

func newRegion(seed uint64, number int, first time.Time, months int) *region {
	suffix := ""
	if number > 0 {
		suffix = fmt.Sprintf(".%d", number+1)
	}
	g := &region{seed: seed, number: number, first: first, months: months, devices: devices(suffix)}
	g.kits = kits(g.devices)
	g.free = make([]time.Time, len(g.kits))
	g.shifts = clockShifts(first, months)
	return g
}

// seasonal are requests in a calendar month above or below sixty: winters are busy. Each half year adds up to none.
var seasonal = [12]int{8, 5, 0, -4, -6, -3, -6, -5, -2, 1, 4, 8}

func monthSize(month time.Month) int { return 60 + seasonal[month-1] }

func identifier(n int) string { return fmt.Sprintf("T%06d", n+1) }

// hours weighs the hour of a call: more by day and early evening.
var hours = func() []share[int] {
	out := make([]share[int], 24)
	for h := range out {
		weight := 0.5
		if h >= 8 && h < 22 {
			weight = 1.3
		}
		out[h] = share[int]{h, weight}
	}
	return out
}()

// calls draws the moments of a month's requests, in order. Where clocks go back, one is placed so that its leg runs through
// the repeated hour; that one is returned too.
func (g *region) calls(month int) (all []time.Time, night time.Time) {
	start := g.first.AddDate(0, month-1, 0)
	days := start.AddDate(0, 1, 0).Add(-time.Hour).Day()
	d := newDice(g.seed, streamCalls, g.number*4096+month)
	for range monthSize(start.Month()) {
		all = append(all, time.Date(start.Year(), start.Month(), 1+d.IntN(days), pick(d, hours), d.IntN(60), 0, 0, start.Location()))
	}
	for _, s := range g.shifts {
		if s.month == month && s.back {
			night = s.at.Add(-3 * time.Hour)
			all[0] = night
		}
	}
	slices.SortFunc(all, time.Time.Compare)
	return all, night
}

// request invents the n-th request, finds it a kit and fills in all that follows.
func (g *region) request(n, month int, called, night time.Time) *trip {
	t, d := newTrip(g.seed, n, month, called)
	t.fate(d)
	if called.Equal(night) {
		t.disposition, t.reason, t.delay, t.urgency = "completed", "", "", "urgent"
	}
	g.equip(d, t)
	t.clock(d)
	if t.kit != nil && !t.at.available.IsZero() {
		g.free[t.kitNumber] = t.at.available.Add(15 * time.Minute)
	}
	if t.completed() {
		t.course = supportCourse(newDice(g.seed, streamSupport, n), t)
		t.gas = gasSheet(newDice(g.seed, streamGas, n), t)
		t.dips = excursions(newDice(g.seed, streamAlarms, n), newDice(g.seed, streamShallow, n), t)
		t.events = adverseEvents(newDice(g.seed, streamEvents, n), t)
	}
	return t
}

// equip finds a free kit: at the base first, then one borrowed from another base, which costs time; without either the
// request is declined. Where the base's kits are all in service but out, another team mostly goes at once.
func (g *region) equip(d dice, t *trip) {
	if t.disposition == "declined" {
		return
	}
	for pass, home := range []bool{true, false} {
		for _, n := range g.byIdle() {
			if (g.kits[n].base == t.base) != home || !g.usable(n, t.at.accepted) {
				continue
			}
			if pass == 1 && !g.borrow(d, t) {
				return
			}
			t.kit, t.kitNumber = &g.kits[n], n
			return
		}
	}
	t.declineForEquipment()
}

// borrow decides whether another base's kit comes, and late: it mostly does not come at once where the base has none at all,
// and often late at the last base, which has one kit and lies far from the others.
func (g *region) borrow(d dice, t *trip) bool {
	late, declined := 0.12, 0.03
	if t.base == poorBase {
		late, declined = 0.40, 0.06
	}
	if g.closed(t.base, t.at.accepted) {
		late, declined = 0.55, 0.42
	}
	switch roll := d.Float64(); {
	case roll < declined:
		t.declineForEquipment()
		return false
	case roll < declined+late:
		t.delay = "no_equipment"
	}
	return true
}

func (t *trip) declineForEquipment() {
	t.disposition, t.reason, t.delay = "declined", "no_equipment", ""
}

// byIdle lists the kits, longest idle first, so that all are used alike.
func (g *region) byIdle() []int {
	order := make([]int, len(g.kits))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return g.free[a].Compare(g.free[b]) })
	return order
}

func (g *region) usable(n int, when time.Time) bool {
	return !when.Before(g.free[n]) && !g.out(n, when) && !g.out(n, when.Add(6*time.Hour))
}

// out holds while the kit's ventilator is in service.
func (g *region) out(n int, when time.Time) bool {
	for _, o := range outages {
		from, to := g.span(o)
		if o.device == fmt.Sprintf("V%d", n+1) && !when.Before(from) && when.Before(to) {
			return true
		}
	}
	return false
}

// closed holds while none of a base's ventilators is there.
func (g *region) closed(base int, when time.Time) bool {
	for n := range g.kits {
		if g.kits[n].base == base && !g.out(n, when) {
			return false
		}
	}
	return true
}

// span is when an outage begins and ends: removed at 9 in the morning.
func (g *region) span(o outage) (from, to time.Time) {
	from = g.first.AddDate(0, o.fromMonth-1, o.fromDay-1).Add(9 * time.Hour)
	return from, from.Add(time.Duration(o.days*24) * time.Hour)
}
