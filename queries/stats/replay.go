package stats

import (
	"container/heap"
	"fmt"
)

// Hold is one request that wants one unit from From on and keeps it until To, the end not included; any unit of time.
type Hold struct{ From, To float64 }

// Step says how many units there are from At on, until the next step.
type Step struct {
	At    float64
	Units int
}

// ReplayLoss carries requests out again in their order on a fleet of units: each takes a free unit at From and gives it back
// at To; one that finds none free is lost and holds nothing, as in Erlang's loss model. lost has one value for each request.
// A unit given back at the moment of a request is free for it. units are steps in order of time; before the first there are
// none. Where their number falls below those in use, these are kept to their end and the next requests find none free.
// A request of no length takes a unit and gives it back at once.
//
// Refused: requests not in order of From, a To before its From, steps out of order or below 0, NaN. Source: the event order
// of a loss system (Erlang AK 1917); no model of arrivals or lengths comes in.
func ReplayLoss(requests []Hold, units []Step) (lost []bool, err error) {
	if err := first(inOrder(requests), stepsFit(units)); err != nil {
		return nil, err
	}
	lost = make([]bool, len(requests))
	busy, step, here := &ends{}, 0, 0
	for i, r := range requests {
		for ; step < len(units) && units[step].At <= r.From; step++ {
			here = units[step].Units
		}
		for busy.Len() > 0 && (*busy)[0] <= r.From {
			heap.Pop(busy)
		}
		if lost[i] = busy.Len() >= here; !lost[i] {
			heap.Push(busy, r.To)
		}
	}
	return lost, nil
}

// Constant is a fleet of the same size at all times from start on.
func Constant(start float64, units int) []Step { return []Step{{start, units}} }

// Concurrency is how long so many requests ran at once between from and to: one value for each level from 0 to the highest
// reached, in the unit of the requests. Intervals are half-open: an end at the moment of a start comes before it. The parts of
// requests outside from and to do not count. The values add up to to − from.
//
// Refused: from not below to, requests not in order of From, a To before its From, NaN. Source: definitions of this project.
func Concurrency(requests []Hold, from, to float64) ([]float64, error) {
	if !(from < to) || !isFinite(from) || !isFinite(to) {
		return nil, fmt.Errorf("stats: concurrency from %v to %v: expected an end after the start", from, to)
	}
	if err := inOrder(requests); err != nil {
		return nil, err
	}
	levels, busy, now := []float64{0}, &ends{}, from
	pass := func(until float64) { // time goes on at the level in force
		for len(levels) <= busy.Len() {
			levels = append(levels, 0)
		}
		if until > now {
			levels[busy.Len()] += until - now
			now = until
		}
	}
	finish := func(by float64) { // those that end by then leave, one after the other
		for busy.Len() > 0 && (*busy)[0] <= by {
			pass((*busy)[0])
			heap.Pop(busy)
		}
	}
	for _, r := range requests {
		start, end := max(r.From, from), min(r.To, to)
		if start >= end {
			continue
		}
		finish(start)
		pass(start)
		heap.Push(busy, end)
	}
	finish(to)
	pass(to)
	return levels, nil
}

// ends are the moments at which units in use come free, the soonest first.
type ends []float64

func (e ends) Len() int           { return len(e) }
func (e ends) Less(i, j int) bool { return e[i] < e[j] }
func (e ends) Swap(i, j int)      { e[i], e[j] = e[j], e[i] }

// Push is for package heap.
func (e *ends) Push(x any) { *e = append(*e, x.(float64)) }

// Pop is for package heap.
func (e *ends) Pop() any {
	last := (*e)[len(*e)-1]
	*e = (*e)[:len(*e)-1]
	return last
}

func inOrder(requests []Hold) error {
	for i, r := range requests {
		if !isFinite(r.From) || !isFinite(r.To) || r.To < r.From {
			return fmt.Errorf("stats: request %d from %v to %v: expected a finite end that is not before the start", i, r.From, r.To)
		}
		if i > 0 && r.From < requests[i-1].From {
			return fmt.Errorf("stats: request %d begins at %v, before the one before it at %v: expected them in order", i, r.From, requests[i-1].From)
		}
	}
	return nil
}

func stepsFit(units []Step) error {
	for i, s := range units {
		if !isFinite(s.At) || s.Units < 0 || i > 0 && s.At < units[i-1].At {
			return fmt.Errorf("stats: step %d to %d units at %v: expected steps in order of time, units from 0", i, s.Units, s.At)
		}
	}
	return nil
}
