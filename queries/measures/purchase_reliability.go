package measures

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// Reliability is how a device, or all of a kind, held in the span. Hours; NaN where a number does not exist.
type Reliability struct {
	Name         string // device, or kind where Devices is above 1 or Kind equals Name
	Kind, Team   string
	Devices      int
	Held, Out    float64 // by the register; out of service for any reason
	Failures     int
	Rate         Limit   // failures per 1,000 h in service, exact Poisson
	Between      Limit   // mean time between failures, high without end where there was none
	Repair       float64 // mean time to repair, of the failures that have an end; NaN without one
	Unrepaired   int     // failures without an end
	Availability float64 // between/(between + repair), 0 to 1; 1 without a failure, NaN where no repair has an end
	Recorded     float64 // hours in service over hours by the register, 0 to 1: every reason, maintenance too
}

// reliabilities adds downtime up by kind, each followed by its devices.
func reliabilities(all []queries.Downtime) ([]Reliability, error) {
	byKind := map[string][]queries.Downtime{}
	for _, d := range all {
		byKind[d.Kind] = append(byKind[d.Kind], d)
	}
	kinds := make([]string, 0, len(byKind))
	for kind := range byKind {
		kinds = append(kinds, kind)
	}
	slices.SortFunc(kinds, byKindOrder)
	var out []Reliability
	for _, kind := range kinds {
		whole, err := reliability(kind, kind, "", byKind[kind])
		if err != nil {
			return nil, err
		}
		out = append(out, whole)
		for i, d := range byKind[kind] {
			one, err := reliability(d.Device, kind, d.Team, byKind[kind][i:i+1])
			if err != nil {
				return nil, err
			}
			out = append(out, one)
		}
	}
	return out, nil
}

// byKindOrder is the order of the contract, others by alphabet.
func byKindOrder(a, b string) int {
	place := func(kind string) int {
		if at := slices.Index(deviceKinds, kind); at >= 0 {
			return at
		}
		return len(deviceKinds)
	}
	return cmp.Or(cmp.Compare(place(a), place(b)), cmp.Compare(a, b))
}

func reliability(name, kind, team string, devices []queries.Downtime) (Reliability, error) {
	r := Reliability{Name: name, Kind: kind, Team: team, Devices: len(devices), Repair: math.NaN(), Availability: math.NaN()}
	repaired, hours := 0, 0.0
	for _, d := range devices {
		r.Held, r.Out, r.Failures = r.Held+d.Held, r.Out+d.Out, r.Failures+d.Failures
		repaired, hours = repaired+d.Repaired, hours+d.RepairHours
	}
	r.Unrepaired, r.Recorded = r.Failures-repaired, (r.Held-r.Out)/r.Held
	if repaired > 0 {
		r.Repair = hours / float64(repaired)
	}
	up := r.Held - r.Out
	if !(up > 0) { // away all the time: no rate can be told
		r.Rate, r.Between = Limit{missing, missing, missing}, Limit{missing, missing, missing}
		return r, nil
	}
	rate, err := stats.PoissonExact(float64(r.Failures), up/1000)
	if err != nil {
		return r, fmt.Errorf("failures of %s: %w", name, err)
	}
	between, err := stats.MTBF(up, float64(r.Failures), stats.Level)
	if err != nil {
		return r, fmt.Errorf("time between failures of %s: %w", name, err)
	}
	r.Rate, r.Between = limit(rate), limit(between)
	switch {
	case between.Infinite:
		r.Between.Value, r.Availability = math.Inf(1), 1
	case repaired > 0:
		r.Availability, err = stats.Availability(between.Value, r.Repair)
	}
	return r, err
}

// UpTable is the probability that at least so many of a fleet are up, each with the same availability and independent of the
// others, and the smallest fleet that reaches the target.
type UpTable struct {
	Kind         string
	Availability float64
	Target       float64
	Units, Add   int
	Rows         []UpRow
}

// UpRow is one number needed: the chance of having so many with the units of now, and with those bought. Smallest is 0 where no
// fleet of a thousand reaches the target.
type UpRow struct {
	Need      int
	Now, With float64
	Smallest  int
	Share     float64 // % of the span at which so many or more were in use
}

// upTable makes the table of a fleet for every number needed up to its size.
func upTable(n FleetNeed, add int, availability, target float64) (UpTable, error) {
	t := UpTable{Kind: n.Kind, Availability: availability, Target: target, Units: n.Units, Add: add}
	if math.IsNaN(availability) || !(availability > 0) {
		return t, nil
	}
	for need := 1; need <= n.Units; need++ {
		now, err1 := stats.FleetUp(n.Units, need, availability)
		with, err2 := stats.FleetUp(n.Units+add, need, availability)
		if err := firstOf(err1, err2); err != nil {
			return t, err
		}
		row := UpRow{Need: need, Now: now, With: with, Share: n.Share(need)}
		if smallest, err := stats.SmallestFleet(need, availability, target); err == nil && smallest <= 1000 {
			row.Smallest = smallest
		}
		t.Rows = append(t.Rows, row)
	}
	return t, nil
}
