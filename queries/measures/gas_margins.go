package measures

import (
	"fmt"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// Margin is how much gas would have covered 99 % of past use, by vehicle and support class: for each planned hour (L/h),
// and as a multiple of what was planned. It describes past transports; it is no plan for a patient.
type Margin struct {
	Vehicle, Class  string // "all" where pooled
	N               int
	PerHour, OfPlan Cover
	Warning         string
}

// Cover is the 99 % quantile with its 95 % interval; Open where so few transports give no upper limit.
type Cover struct {
	Value, Low, High float64
	Open             bool
}

const covered = 0.99

// MarginsOf makes the margins in the order of the groups given.
func MarginsOf(groups []queries.GasMargin) ([]Margin, error) {
	var all []Margin
	for _, g := range groups {
		m := Margin{Vehicle: g.Vehicle, Class: g.Class, N: len(g.PerMinute)}
		hour, err := coverOf(g.PerMinute, 60)
		if err == nil {
			m.PerHour = hour
			m.OfPlan, err = coverOf(g.OfPlan, 1)
		}
		if err != nil {
			return nil, fmt.Errorf("margin of %s, %s: %w", g.Vehicle, g.Class, err)
		}
		if m.N < Few {
			m.Warning = fmt.Sprintf("only %d: too few to say anything", m.N)
		}
		all = append(all, m)
	}
	return all, nil
}

func coverOf(sorted []float64, scale float64) (Cover, error) {
	e, err := stats.QuantileInterval(sorted, covered)
	if err != nil {
		return Cover{}, err
	}
	c := Cover{Value: scale * e.Value, Low: scale * e.Low, Open: e.Open}
	if !e.Open {
		c.High = scale * e.High
	}
	return c, nil
}

// Texts prints value and interval with so many decimals; an open interval says from where on.
func (c Cover) Texts(decimals int) (value, interval string) {
	if c.Open {
		return fixed(c.Value, decimals), "from " + fixed(c.Low, decimals)
	}
	return fixed(c.Value, decimals), fixed(c.Low, decimals) + "–" + fixed(c.High, decimals)
}

// Reserves is how much gas was left on arrival in a span of months.
type Reserves struct {
	Judged, Demanded, Short int
	Median                  float64 // min, of those with a demand
	Cases                   []queries.GasReserve
}

// ReservesOf sorts out the transports that arrived below the reserve, least first; the rest are counted. reserves are in
// order of minutes, those without demand last, as queries gives them.
func ReservesOf(reserves []queries.GasReserve) (Reserves, error) {
	r := Reserves{Judged: len(reserves)}
	var minutes []float64
	for _, one := range reserves {
		if !one.Demanded {
			continue
		}
		minutes = append(minutes, one.Minutes)
		if one.Short {
			r.Cases = append(r.Cases, one)
		}
	}
	r.Demanded, r.Short = len(minutes), len(r.Cases)
	if len(minutes) == 0 {
		return r, nil
	}
	var err error
	r.Median, err = stats.Median(minutes)
	return r, err
}

// LineOf fits used = intercept + slope × expected to the points of an agreement, in litres: a good expectation has 0 and
// 1. ok is false where fewer than three transports or equal expectations allow no line.
func LineOf(a Agreement) (intercept, slope Limit, ok bool) {
	var used, expected []float64
	for _, p := range a.Points {
		u, e := p.pair(a.Log)
		used, expected = append(used, u), append(expected, e)
	}
	line, err := stats.Calibration(expected, used)
	if err != nil {
		return Limit{}, Limit{}, false
	}
	return limit(line.Intercept), limit(line.Slope), true
}

// pair gives used and expected back from a point: their mean and their difference, or their ratio.
func (p AgreementPoint) pair(log bool) (used, expected float64) {
	if log {
		expected = 2 * p.Size / (1 + p.Difference)
		return p.Difference * expected, expected
	}
	return p.Size + p.Difference/2, p.Size - p.Difference/2
}

// SlopeText prints the slope of a calibration line or a limit of it.
func SlopeText(v float64) string { return fixed(v, 2) }

// LitresText prints whole litres without the unit.
func LitresText(v float64) string { return fixed(v, 0) }

// MinutesText prints whole minutes without the unit.
func MinutesText(v float64) string { return fixed(v, 0) }
