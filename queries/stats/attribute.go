package stats

import (
	"fmt"
	"math"
)

// Overdispersed is the sigma of the z-scores above which the prime charts are
// to be used.
const Overdispersed = 1.2

// law is what tells p and u charts apart.
type law struct {
	kind     string
	top      float64                            // greatest possible value
	variance func(centre, size float64) float64 // of a point
}

var (
	proportionLaw = law{"p", 1, func(c, n float64) float64 { return c * (1 - c) / n }}
	rateLaw       = law{"u", math.MaxFloat64, func(c, t float64) float64 { return c / t }}
)

// PChart is the chart of proportions x/n (0 to 1): centre Σx/Σn of the
// baseline, limits centre ± 3√(p(1-p)/n_i), cut at 0 and 1. It supposes
// independent cases. A point with n = 0 has no value and no limits and is
// passed over by the rules. A baseline without or with only successes gives
// limits of no width, with a warning; fewer than 10 baseline points a
// warning, as less than one event a point, where a count says little (common
// practice). Signals: points beyond 3 sigma, 8 in a row on one side. Refused: no
// points, unequal lengths, counts negative, not whole, NaN or above their
// denominator, a phase whose baseline has no denominator. Source:
// NIST/SEMATECH e-Handbook 6.3.3.2.
func PChart(x, n []float64, opt Options) (Chart, error) {
	if err := first(counts("denominators", n...), within(x, n)); err != nil {
		return Chart{}, err
	}
	return attribute(x, n, opt, proportionLaw, false)
}

// UChart is the chart of rates x/t (events per unit of t): centre Σx/Σt of the
// baseline, limits centre ± 3√(u/t_i), cut at 0. It supposes independent
// events. A point with t = 0 has no value and no limits; a positive count in
// no exposure is refused. Otherwise as PChart. Source: NIST/SEMATECH
// e-Handbook 6.3.3.1; Ishikawa K. Guide to Quality Control, 1976, ch. 8.
func UChart(x, t []float64, opt Options) (Chart, error) {
	return attribute(x, t, opt, rateLaw, false)
}

// CChart is the chart of counts from equal exposures: centre the mean c of the
// baseline, limits c ± 3√c, cut at 0. Otherwise as UChart. Source:
// NIST/SEMATECH e-Handbook 6.3.3.1.
func CChart(x []float64, opt Options) (Chart, error) {
	ones := make([]float64, len(x))
	for i := range ones {
		ones[i] = 1
	}
	return attribute(x, ones, opt, law{"c", rateLaw.top, rateLaw.variance}, false)
}

// PPrime is PChart with limits widened (or narrowed) by Laney's sigma of the
// z-scores: centre ± 3 σ_i σ_z, σ_z the mean moving range of the baseline's
// z-scores / 1.128. Chart.SigmaZ holds σ_z. Without two neighbours in the
// baseline, or with z-scores that do not exist (centre 0 or 1) or do not
// move, σ_z is taken as 1, with a warning. Otherwise as PChart. Source: Laney
// DB. Qual Eng 2002;14:531-537; Mohammed MA and others 2013.
func PPrime(x, n []float64, opt Options) (Chart, error) {
	if err := first(counts("denominators", n...), within(x, n)); err != nil {
		return Chart{}, err
	}
	return attribute(x, n, opt, proportionLaw, true)
}

// UPrime is UChart with limits widened as in PPrime. Source: as PPrime.
func UPrime(x, t []float64, opt Options) (Chart, error) {
	return attribute(x, t, opt, rateLaw, true)
}

// PAuto is PChart, or PPrime where the sigma of the z-scores exceeds 1.2 in
// some phase; Kind tells which ("p", "p'"): say it on the chart. Refused as
// PChart refuses. Source: definitions of this project.
func PAuto(x, n []float64, opt Options) (Chart, error) { return auto(PChart, PPrime, x, n, opt) }

// UAuto is UChart, or UPrime where the sigma of the z-scores exceeds 1.2 in
// some phase; Kind tells which ("u", "u'"). Refused as UChart refuses.
func UAuto(x, t []float64, opt Options) (Chart, error) { return auto(UChart, UPrime, x, t, opt) }

type chartMaker func(x, n []float64, opt Options) (Chart, error)

func auto(plain, prime chartMaker, x, n []float64, opt Options) (Chart, error) {
	chart, err := plain(x, n, opt)
	if err != nil || compare9(chart.SigmaZ, Overdispersed) <= 0 {
		return chart, err
	}
	return prime(x, n, opt)
}

// within refuses numerators above their denominators.
func within(x, n []float64) error {
	if err := sameLength("counts", x, "denominators", n); err != nil {
		return err
	}
	for i := range x {
		if x[i] > n[i] {
			return fmt.Errorf("stats: counts[%d] is %v of %v: expected a part of its denominator", i, x[i], n[i])
		}
	}
	return nil
}

// exposuresFit refuses what cannot be a chart of counts over exposures.
func exposuresFit(x, t []float64) error {
	if err := first(sameLength("counts", x, "exposures", t), atLeast("a chart", len(x), 1),
		counts("counts", x...), finite("exposures", t)); err != nil {
		return err
	}
	for i := range t {
		if t[i] == 0 && x[i] == 0 {
			continue
		}
		if t[i] < 1/tooLarge {
			return fmt.Errorf("stats: exposures[%d] is %v with a count of %v: expected an exposure above 0, or 0 with no count", i, t[i], x[i])
		}
	}
	return nil
}

func attribute(x, t []float64, opt Options, l law, prime bool) (Chart, error) {
	if err := exposuresFit(x, t); err != nil {
		return Chart{}, err
	}
	phases, err := opt.phases(len(x))
	if err != nil {
		return Chart{}, err
	}
	chart := Chart{Kind: l.kind, Points: make([]Point, len(x))}
	if prime {
		chart.Kind += "'"
	}
	for _, ph := range phases {
		if err := attributePhase(&chart, ph, x, t, l, prime); err != nil {
			return Chart{}, err
		}
	}
	chart.Signals = findSignals(chart.Points, phases)
	return chart, nil
}

// attributePhase fills the points of one phase.
func attributePhase(chart *Chart, ph phase, x, t []float64, l law, prime bool) error {
	events, exposure, used := 0.0, 0.0, 0
	for i := ph.Start; i < ph.End; i++ {
		if ph.base[i] && t[i] > 0 {
			events, exposure, used = events+x[i], exposure+t[i], used+1
		}
	}
	if used == 0 {
		return fmt.Errorf("stats: points %d to %d have no denominator in their baseline: choose another baseline", ph.Start, ph.End-1)
	}
	centre := events / exposure
	chart.Warning = join(chart.Warning, thin(used))
	if l.variance(centre, 1) <= 0 {
		chart.Warning = join(chart.Warning, "limits of no width: the baseline has no spread")
	}
	if events > 0 && events < float64(used) {
		chart.Warning = join(chart.Warning, "less than one event a point: a g or t chart says more")
	}
	factor := 1.0
	if sz := sigmaZ(ph, x, t, centre, l); sz > 0 {
		chart.SigmaZ = math.Max(chart.SigmaZ, sz)
		factor = sz
	} else if prime {
		chart.Warning = join(chart.Warning, "sigma of the z-scores unknown: plain limits")
	}
	if !prime {
		factor = 1
	}
	for i := ph.Start; i < ph.End; i++ {
		if t[i] > 0 {
			chart.Points[i] = l.point(x[i]/t[i], centre, factor*math.Sqrt(math.Max(0, l.variance(centre, t[i]))), ph.base[i])
		}
	}
	return nil
}

func (l law) point(value, centre, sigma float64, base bool) Point {
	return Point{
		HasValue: true, HasLimits: true, Value: value, Centre: centre, Sigma: sigma, Baseline: base,
		Lower: math.Max(0, centre-sigmas*sigma), Upper: math.Min(l.top, centre+sigmas*sigma),
	}
}

// sigmaZ is Laney's sigma of the baseline's z-scores, 0 if there is none.
func sigmaZ(ph phase, x, t []float64, centre float64, l law) float64 {
	if l.variance(centre, 1) <= 0 {
		return 0
	}
	z := make([]float64, len(x))
	for i := range z {
		if t[i] > 0 {
			z[i] = (x[i]/t[i] - centre) / math.Sqrt(l.variance(centre, t[i]))
		}
	}
	mr, _ := meanRange(ph, z, func(i int) bool { return t[i] > 0 })
	return mr / d2
}
