package measures

import (
	"fmt"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// specify says how a measure is drawn in one way: the numbers of each month and the rule that judges them.
func specify(d Definition, kind ChartKind, rows []observed, set queries.Settings) chartSpec {
	switch kind {
	case ChartRun:
		return runSpec(d, rows)
	case ChartPTarget:
		return targetSpec(rows, set.MobilizationTarget)
	case ChartXmR:
		return ratioSpec(rows)
	case ChartU:
		return partsSpec(chartSpec{drawn: "u chart", axis: d.Title, unit: d.Unit, scale: d.Scale}, rows, stats.UAuto)
	default:
		return partsSpec(chartSpec{drawn: "p chart", axis: d.Title, unit: d.Unit, scale: d.Scale}, rows, stats.PAuto)
	}
}

// runSpec draws the values as they are printed; n is 1 where there is one.
func runSpec(d Definition, rows []observed) chartSpec {
	spec := chartSpec{drawn: "run chart", axis: d.Title, unit: d.Unit, centre: "median", need: 1, scale: 1}
	if d.Kind == Time {
		spec.axis += ", monthly median"
	}
	spec.valuesOf(rows)
	spec.judge = func(o stats.Options) (stats.Chart, error) {
		chart, _, err := stats.RunChart(spec.x, o)
		return chart, err
	}
	return spec
}

// ratioSpec draws the monthly geometric means; centre and limits are made on the log scale.
func ratioSpec(rows []observed) chartSpec {
	spec := chartSpec{drawn: "XmR chart of the log ratio", axis: "Used over planned, monthly geometric mean", unit: "1",
		centre: "geometric mean", limits: "3 sigma from moving ranges", need: 2, scale: 1}
	spec.valuesOf(rows)
	spec.judge = func(o stats.Options) (stats.Chart, error) {
		chart, _, err := stats.XmRLog(spec.x, o)
		return chart, err
	}
	return spec
}

// valuesOf takes the value of each month; n marks the months that have one.
func (spec *chartSpec) valuesOf(rows []observed) {
	for _, r := range rows {
		value, n := missing, 0.0
		if r.Value != nil {
			value, n = *r.Value, 1
		}
		spec.x, spec.n = append(spec.x, value), append(spec.n, n)
	}
}

func targetSpec(rows []observed, target float64) chartSpec {
	spec := chartSpec{drawn: "p chart", axis: fmt.Sprintf("Share within %g min", target), unit: "%", scale: 100}
	counted := make([]observed, len(rows))
	for i, r := range rows {
		counted[i] = observed{sum: queries.Sum{X: float64(within(r.sum.Xs, target)), T: float64(len(r.sum.Xs))}}
	}
	return partsSpec(spec, counted, stats.PAuto)
}

// partsSpec completes the chart of counts over members or exposure.
func partsSpec(spec chartSpec, rows []observed, judge func(x, n []float64, o stats.Options) (stats.Chart, error)) chartSpec {
	spec.centre, spec.limits, spec.need = "mean", "3 sigma", 1
	for _, r := range rows {
		spec.x, spec.n = append(spec.x, r.sum.X), append(spec.n, r.sum.T)
	}
	spec.judge = func(o stats.Options) (stats.Chart, error) { return judge(spec.x, spec.n, o) }
	return spec
}

// decimalsFor gives the digits worth printing for the month with most members.
func decimalsFor(d Definition, spec chartSpec, rows []observed) int {
	if spec.unit != d.Unit {
		return 0
	}
	most := 0
	for _, r := range rows {
		most = max(most, r.N)
	}
	return d.Digits(most)
}
