package stats

import (
	"fmt"
	"math"
)

// rangeLimit is D4, the upper limit of moving ranges of two over their mean.
const rangeLimit = 3.267

// XmR is the chart of single values (in their own unit): centre the mean of the
// baseline, limits centre ± 3 × mean moving range / 1.128, ranges between
// neighbours that are both in the baseline, none screened out. The second
// chart ("mR") has the moving ranges, centre their mean, upper limit 3.267
// times it, lower 0. NaN marks a point without a value: it is passed over, and
// the range goes from the value before it to the one after; no range crosses
// from phase to phase. All-equal values give limits of no width, with a
// warning. Signals: points beyond the limits, and on the first chart 8 in a
// row. Refused: infinities, a phase without two neighbours in its baseline.
// Source: NIST/SEMATECH e-Handbook 6.3.2.2.
func XmR(values []float64, opt Options) (x, mr Chart, err error) {
	if err = first(atLeast("a chart", len(values), 2), finiteOrMissing("values", values)); err != nil {
		return Chart{}, Chart{}, err
	}
	phases, err := opt.phases(len(values))
	if err != nil {
		return Chart{}, Chart{}, err
	}
	x = Chart{Kind: "XmR", Points: make([]Point, len(values))}
	mr = Chart{Kind: "mR", Points: make([]Point, len(values))}
	for _, ph := range phases {
		if err := individualsPhase(&x, &mr, ph, values); err != nil {
			return Chart{}, Chart{}, err
		}
	}
	x.Signals, mr.Signals = findSignals(x.Points, phases), beyond(mr.Points)
	return x, mr, nil
}

func individualsPhase(x, mr *Chart, ph phase, v []float64) error {
	has := func(i int) bool { return !math.IsNaN(v[i]) }
	centre, mrbar, warning, err := individualsCentre(ph, v, has)
	if err != nil {
		return err
	}
	x.Warning, x.MeanRange, mr.MeanRange = join(x.Warning, warning), mrbar, mrbar
	ranges, made := movingRanges(ph, v, has)
	sigma := mrbar / d2
	for i := ph.Start; i < ph.End; i++ {
		if has(i) {
			x.Points[i] = Point{HasValue: true, HasLimits: true, Value: v[i], Centre: centre, Sigma: sigma,
				Lower: centre - sigmas*sigma, Upper: centre + sigmas*sigma, Baseline: ph.base[i]}
		}
		if made[i] {
			mr.Points[i] = Point{HasValue: true, HasLimits: true, Value: ranges[i], Centre: mrbar,
				Upper: rangeLimit * mrbar, Baseline: ph.base[i]}
		}
	}
	return nil
}

// individualsCentre is the mean and the mean moving range of a baseline.
func individualsCentre(ph phase, v []float64, has func(int) bool) (centre, mrbar float64, warning string, err error) {
	var base []float64
	for i := ph.Start; i < ph.End; i++ {
		if ph.base[i] && has(i) {
			base = append(base, v[i])
		}
	}
	mrbar, n := meanRange(ph, v, has)
	if n == 0 {
		return 0, 0, "", fmt.Errorf("stats: points %d to %d have no two neighbours in their baseline: a moving range needs them", ph.Start, ph.End-1)
	}
	warning = thin(len(base))
	if mrbar == 0 {
		warning = join(warning, "limits of no width: the baseline does not vary")
	}
	return mean(base), mrbar, warning, nil
}

// XmRLog is XmR of the natural logarithms of ratios, brought back by exp: the
// centre is the geometric mean and the limits are ratios; Sigma is 0 because
// they are not symmetrical. The second chart is not brought back: moving
// ranges of logarithms. Refused: a ratio at or below 0 or infinite (NaN marks
// a point without a value); otherwise as XmR. Source: as XmR.
func XmRLog(ratios []float64, opt Options) (x, mr Chart, err error) {
	logs := make([]float64, len(ratios))
	for i, r := range ratios {
		if r <= 0 {
			return Chart{}, Chart{}, fmt.Errorf("stats: ratios[%d] is %v: expected a ratio above 0, or NaN for no value", i, r)
		}
		logs[i] = math.Log(r)
	}
	if x, mr, err = XmR(logs, opt); err != nil {
		return Chart{}, Chart{}, err
	}
	x.Kind, mr.Kind = "XmR of logs", "mR of logs"
	for i := range x.Points {
		if p := &x.Points[i]; p.HasValue {
			p.Value, p.Centre, p.Sigma = ratios[i], math.Exp(p.Centre), 0
			p.Lower, p.Upper = math.Exp(p.Lower), math.Min(math.MaxFloat64, math.Exp(p.Upper))
		}
	}
	return x, mr, nil
}
