package measures

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// Unexplained is how much more gas a ventilator or cylinder gave than its settings asked for, in L/min of time on carried
// gas: Σ unexplained / Σ minutes over its transports.
//
// StandsOut says that it lies above the common level by more than gauges and chance explain: the excess over Common is
// larger than t(n−1) of 99.9 % times the larger of the standard error between transports and the error of the gauges.
// Months are those in which that holds for the month alone. At fewer than LeastTransports nothing is judged.
type Unexplained struct {
	Name            string
	Transports      int
	Rate, Low, High float64 // L/min with its 95 % interval; equal where there is none
	Gauge           float64 // L/min; error of the gauges over all its transports
	Beyond          int     // transports with more unexplained than their own gauges' error
	StandsOut       bool
	Months          []string // "2025-06"
}

// LeastTransports is the size below which the unexplained part of a group is not judged: two transports have no spread to
// speak of (common practice).
const LeastTransports = 3

// leakLevel is the level of the interval that must lie above the common level; one group in two thousand would by chance.
const leakLevel = 0.999

// Leaks is what a gas leaves unexplained: all ventilators, largest rate first, and the cylinders that stand out.
//
// Common is the median rate of the ventilators that can be judged, 0 where these are fewer than three: what the model
// itself is off by, so that a wrong factor does not make every device leak. Judged counts the groups held against it.
type Leaks struct {
	Devices, Cylinders []Unexplained
	Common             float64
	Judged             int
}

// LeaksOf finds the ventilators, months and cylinders whose unexplained part stands out.
func LeaksOf(groups []queries.GasGroup) (Leaks, error) {
	leaks := Leaks{Common: commonRate(groups)}
	months := map[string][]string{}
	for _, g := range groups {
		if g.Kind != queries.GasByDevice && g.Kind != queries.GasByDeviceMonth && g.Kind != queries.GasByCylinder {
			continue
		}
		u, err := leaks.judge(g)
		if err != nil {
			return leaks, fmt.Errorf("unexplained gas of %s %q: %w", g.Kind, g.Name, err)
		}
		switch {
		case g.Kind == queries.GasByDevice:
			leaks.Devices = append(leaks.Devices, u)
		case g.Kind == queries.GasByDeviceMonth && u.StandsOut:
			months[g.Name] = append(months[g.Name], g.Month)
		case g.Kind == queries.GasByCylinder && u.StandsOut && g.Name != queries.NotRecorded:
			leaks.Cylinders = append(leaks.Cylinders, u)
		}
	}
	for i, d := range leaks.Devices {
		leaks.Devices[i].Months = months[d.Name]
	}
	largest := func(a, b Unexplained) int { return compareDown(a.Rate, b.Rate, a.Name, b.Name) }
	slices.SortStableFunc(leaks.Devices, largest)
	slices.SortStableFunc(leaks.Cylinders, largest)
	return leaks, nil
}

func compareDown(a, b float64, nameA, nameB string) int {
	switch {
	case a > b:
		return -1
	case a < b:
		return 1
	}
	return strings.Compare(nameA, nameB)
}

func commonRate(groups []queries.GasGroup) float64 {
	var rates []float64
	for _, g := range groups {
		if g.Kind == queries.GasByDevice && g.Transports >= LeastTransports && g.Minutes > 0 {
			rates = append(rates, g.Unexplained/g.Minutes)
		}
	}
	if len(rates) < 3 {
		return 0
	}
	slices.Sort(rates)
	median, err := stats.Median(rates)
	if err != nil {
		return 0
	}
	return median
}

func (l *Leaks) judge(g queries.GasGroup) (Unexplained, error) {
	u := Unexplained{Name: g.Name, Transports: g.Transports, Rate: g.Unexplained / g.Minutes, Gauge: math.Sqrt(g.SquaredError) / g.Minutes, Beyond: g.BeyondGauge}
	u.Low, u.High = u.Rate, u.Rate
	if g.Transports < 2 {
		return u, nil
	}
	moments := stats.Moments{N: float64(g.Transports), X: g.Unexplained, T: g.Minutes, XX: g.UU, XT: g.UT, TT: g.TT}
	e, err := stats.RatioOfSums(moments, stats.Level)
	if err != nil {
		return u, err
	}
	u.Low, u.High = e.Low, e.High
	if g.Transports < LeastTransports {
		return u, nil
	}
	l.Judged++
	t, err := stats.TQuantile(leakLevel, moments.N-1)
	u.StandsOut = err == nil && u.Rate-l.Common > t*math.Max(moments.SE(), u.Gauge)
	return u, err
}

// Standing lists the ventilators that stand out over all months or in one of them.
func (l Leaks) Standing() []Unexplained {
	var found []Unexplained
	for _, d := range l.Devices {
		if d.StandsOut || len(d.Months) > 0 {
			found = append(found, d)
		}
	}
	return found
}

// Text prints L/min.
func (u Unexplained) Text(v float64) string { return fixed(v, 2) }

// BridgeBy is the mean bridge of one month or ventilator, in L.
type BridgeBy struct {
	Name string
	Bridge
}

// BridgesBy takes the mean bridge of each group of a kind (queries.GasByMonth or GasByDevice) over its transports with a
// plan, in the order of the groups; groups without such a transport are left away.
func BridgesBy(groups []queries.GasGroup, kind string) []BridgeBy {
	var all []BridgeBy
	for _, g := range groups {
		if g.Kind != kind || g.Plan.Transports == 0 {
			continue
		}
		p, n := g.Plan, float64(g.Plan.Transports)
		all = append(all, BridgeBy{g.Name + g.Month, Bridge{p.Transports, p.Planned / n, p.DurationEffect / n, p.SettingsEffect / n, p.Unexplained / n, p.Used / n}})
	}
	return all
}
