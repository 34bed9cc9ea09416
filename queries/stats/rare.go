package stats

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// tPower is the power that makes exponential times about normal.
const tPower = 1 / 3.6

// GChart is the chart of gaps between rare events, counted in transports with
// the events not included (0, 1, 2, …): centre the mean m of the baseline,
// limits m ± 3√(m(m+1)), cut at 0. A high gap is good. It supposes that each
// transport has the same small chance. Gaps of 0 are fine; a baseline of zeros
// only gives limits of no width, with a warning. Signals: points beyond the
// limits only, because under the geometric law most gaps lie below the mean
// and runs there mean nothing (use GChartProbability for runs). Refused: no
// gap, gaps negative, not whole or NaN. Source: Kaminsky FC and others. J Qual
// Technol 1992;24:63-69.
func GChart(gaps []float64, opt Options) (Chart, error) {
	chart, _, err := geometric("g", gaps, opt, func(m float64) Point {
		sigma := math.Sqrt(m * (m + 1))
		return Point{Centre: m, Lower: math.Max(0, m-sigmas*sigma), Upper: m + sigmas*sigma, Sigma: sigma}
	})
	chart.Signals = beyond(chart.Points)
	return chart, err
}

// GChartProbability is GChart with limits from the geometric law of chance
// p = 1/(m+1), P(gap <= k) = 1 - (1-p)^(k+1): lower and upper the 0.00135 and
// 0.99865 quantiles (tails as of 3 sigma of a normal), centre the median of
// that law, all whole gaps. Signals: gaps strictly beyond, 8 in a row on one
// side of the median. Refused as GChart refuses. Source: Benneyan JC. Health
// Care Manag Sci 2001;4:305-318; quantiles from the law itself.
func GChartProbability(gaps []float64, opt Options) (Chart, error) {
	tail := distuv.UnitNormal.CDF(-sigmas)
	chart, phases, err := geometric("g, probability limits", gaps, opt, func(m float64) Point {
		return Point{Centre: geometricQuantile(0.5, m), Lower: geometricQuantile(tail, m), Upper: geometricQuantile(1-tail, m)}
	})
	chart.Signals = findSignals(chart.Points, phases)
	return chart, err
}

// geometric makes a g chart whose limits follow from the mean gap.
func geometric(kind string, gaps []float64, opt Options, limits func(mean float64) Point) (Chart, []phase, error) {
	if err := first(atLeast("a chart", len(gaps), 1), counts("gaps", gaps...)); err != nil {
		return Chart{}, nil, err
	}
	phases, err := opt.phases(len(gaps))
	if err != nil {
		return Chart{}, nil, err
	}
	chart := Chart{Kind: kind, Points: make([]Point, len(gaps))}
	for _, ph := range phases {
		base := baseline(ph, gaps)
		m := mean(base)
		chart.Warning = join(chart.Warning, thin(len(base)))
		if m == 0 {
			chart.Warning = join(chart.Warning, "limits of no width: no transports between the events")
		}
		for i := ph.Start; i < ph.End; i++ {
			p := limits(m)
			p.HasValue, p.HasLimits, p.Value, p.Baseline = true, true, gaps[i], ph.base[i]
			chart.Points[i] = p
		}
	}
	return chart, phases, nil
}

// geometricQuantile is the smallest k with 1-(1-p)^(k+1) >= q, p = 1/(m+1).
func geometricQuantile(q, m float64) float64 {
	if m <= 0 {
		return 0
	}
	// log(1-p) = -log(1+1/m)
	return math.Max(0, math.Ceil(-math.Log1p(-q)/math.Log1p(1/m)-1e-12)-1)
}

// baseline collects the values that make the limits of a phase.
func baseline(ph phase, v []float64) []float64 {
	var out []float64
	for i := ph.Start; i < ph.End; i++ {
		if ph.base[i] {
			out = append(out, v[i])
		}
	}
	return out
}

// TChart is the chart of times between rare events, in the unit of the gaps:
// XmR of gap^(1/3.6), centre and limits brought back by ^3.6; a lower limit
// below 0 on that scale is 0. A high gap is good. A gap of 0 is taken as half
// the resolution of the times (same unit), with a warning to show on the
// chart; Point.Value then is that half. Signals and phases as XmR;
// Chart.MeanRange is on the power scale. Refused: negative, NaN or infinite
// gaps, a gap of 0 without a resolution above 0, a phase without two
// neighbours in its baseline. Source: Nelson LS. J Qual Technol 1994;26:239-241.
func TChart(gaps []float64, resolution float64, opt Options) (Chart, error) {
	times, zeros, err := openGaps(gaps, resolution)
	if err != nil {
		return Chart{}, err
	}
	powers := make([]float64, len(times))
	for i, g := range times {
		powers[i] = math.Pow(g, tPower)
	}
	chart, _, err := XmR(powers, opt)
	if err != nil {
		return Chart{}, err
	}
	chart.Kind = "t"
	if zeros > 0 {
		chart.Warning = join(chart.Warning, fmt.Sprintf("%d gaps of 0 taken as half the time resolution", zeros))
	}
	for i := range chart.Points {
		p := &chart.Points[i]
		p.Value, p.Sigma = times[i], 0
		p.Centre, p.Lower, p.Upper = back(p.Centre), back(p.Lower), back(p.Upper)
	}
	return chart, nil
}

// back undoes the power.
func back(v float64) float64 {
	return math.Min(math.MaxFloat64, math.Pow(math.Max(0, v), 1/tPower))
}

// openGaps replaces gaps of 0 by half the resolution.
func openGaps(gaps []float64, resolution float64) (times []float64, zeros int, err error) {
	if err := finite("gaps", gaps); err != nil {
		return nil, 0, err
	}
	times = make([]float64, len(gaps))
	for i, g := range gaps {
		switch {
		case g < 0:
			return nil, 0, fmt.Errorf("stats: gaps[%d] is %v: expected a time from 0", i, g)
		case g == 0 && !(resolution > 0 && isFinite(resolution)):
			return nil, 0, fmt.Errorf("stats: gaps[%d] is 0: expected a time resolution above 0 to stand in for it, got %v", i, resolution)
		case g == 0:
			times[i], zeros = resolution/2, zeros+1
		default:
			times[i] = g
		}
	}
	return times, zeros, nil
}
