package stats

import (
	"fmt"
	"math"
)

// Levels of the two pairs of funnel limits.
const (
	FunnelInner = 0.95
	FunnelOuter = 0.998
)

// FunnelPoint is one unit (a site) in a funnel.
type FunnelPoint struct {
	// Size is the denominator; 0 has no value, no limits and is not judged.
	Size     float64
	HasValue bool
	Value    float64
	// Z is (value - centre) / its standard error under the centre.
	Z float64
	// Limits at 95 and 99.8 %, in the unit of the value.
	InnerLow, InnerHigh, OuterLow, OuterHigh float64
	// Outside is "" or "95 %" or "99.8 %": the widest limit that the value is
	// strictly beyond, after rounding to 1e-9. Up says above.
	Outside string
	Up      bool
}

// Funnel is a funnel plot as data; Points are in the order of the input.
type Funnel struct {
	Centre float64
	// Phi is the over-dispersion, the mean square of the winsorized z-scores;
	// 0 if it cannot be told.
	Phi float64
	// Method is "binomial exact", "poisson exact", or "z times root phi".
	Method  string
	Points  []FunnelPoint
	Warning string
	// law makes the limits of further sizes.
	law funnelLaw
}

// funnelLaw is what tells proportions and rates apart.
type funnelLaw struct {
	method   string
	law      law
	quantile func(q, size, centre float64) float64 // of the count
}

// FunnelProportions holds proportions x/n of several units against Σx/Σn.
// Without over-dispersion the limits are exact: the binomial quantiles at α/2
// and 1-α/2 over n, so that a count strictly beyond has probability below α/2.
// With φ > 1 they are centre ± z√φ √(p(1-p)/n), cut at 0 and 1; φ is the mean
// of z² after winsorizing the z-scores at their 10 and 90 % type 7 quantiles.
// Units with n = 0 are passed over. Fewer than 5 units give a warning, as does
// a centre of 0 or 1 (limits of no width). Refused: no unit, all n 0, counts
// negative, not whole, NaN or above n, unequal lengths. Source: Spiegelhalter
// DJ. Stat Med 2005;24:1185-1202.
func FunnelProportions(x, n []float64) (Funnel, error) {
	if err := first(counts("denominators", n...), within(x, n)); err != nil {
		return Funnel{}, err
	}
	return funnel(x, n, funnelLaw{"binomial exact", proportionLaw, binomialQuantile})
}

// FunnelRates is the same for rates x/t with Poisson limits and standard error
// √(u/t). Source: as FunnelProportions.
func FunnelRates(x, t []float64) (Funnel, error) {
	return funnel(x, t, funnelLaw{"poisson exact", rateLaw, func(q, size, centre float64) float64 {
		return poissonQuantile(q, size*centre)
	}})
}

func funnel(x, t []float64, l funnelLaw) (Funnel, error) {
	if err := exposuresFit(x, t); err != nil {
		return Funnel{}, err
	}
	if sum(t) == 0 {
		return Funnel{}, fmt.Errorf("stats: all %d denominators are 0: a funnel needs one above 0", len(t))
	}
	f := Funnel{Centre: sum(x) / sum(t), Method: l.method, Points: make([]FunnelPoint, len(x)), law: l}
	var z []float64
	for i := range x {
		if t[i] == 0 {
			continue
		}
		p := &f.Points[i]
		p.Size, p.HasValue, p.Value = t[i], true, x[i]/t[i]
		if v := l.law.variance(f.Centre, t[i]); v > 0 {
			p.Z = (p.Value - f.Centre) / math.Sqrt(v)
		}
		z = append(z, p.Z)
	}
	f.disperse(z)
	for i := range f.Points {
		f.limit(&f.Points[i])
	}
	return f, nil
}

// disperse finds φ and with it the kind of limits.
func (f *Funnel) disperse(z []float64) {
	if f.law.law.variance(f.Centre, 1) <= 0 {
		f.Warning = "limits of no width: all or none had the event"
		return
	}
	if len(z) < 5 {
		f.Warning = fmt.Sprintf("only %d units: over-dispersion is hard to tell", len(z))
	}
	s := sortedCopy(z)
	low, high := quantile7(s, 0.1), quantile7(s, 0.9)
	for _, v := range z {
		w := math.Min(math.Max(v, low), high)
		f.Phi += w * w / float64(len(z))
	}
	if compare9(f.Phi, 1) > 0 {
		f.Method = "z times root phi"
	}
}

// limit sets the limits of a point and judges it.
func (f *Funnel) limit(p *FunnelPoint) {
	if !p.HasValue {
		return
	}
	p.InnerLow, p.InnerHigh = f.at(p.Size, FunnelInner)
	p.OuterLow, p.OuterHigh = f.at(p.Size, FunnelOuter)
	p.Up = compare9(p.Value, f.Centre) > 0
	if compare9(p.Value, p.InnerHigh) > 0 || compare9(p.Value, p.InnerLow) < 0 {
		p.Outside = "95 %"
	}
	if compare9(p.Value, p.OuterHigh) > 0 || compare9(p.Value, p.OuterLow) < 0 {
		p.Outside = "99.8 %"
	}
}

func (f *Funnel) at(size, level float64) (low, high float64) {
	if compare9(f.Phi, 1) > 0 {
		half := zTwoSided(level) * math.Sqrt(f.Phi*f.law.law.variance(f.Centre, size))
		return math.Max(0, f.Centre-half), math.Min(f.law.law.top, f.Centre+half)
	}
	tail := (1 - level) / 2
	return f.law.quantile(tail, size, f.Centre) / size, f.law.quantile(1-tail, size, f.Centre) / size
}

// LimitsAt gives the limits of the funnel for a unit of another size (the
// denominator), to draw the curves between the points. Refused: a size at or
// below 0 or above 1e12, a funnel that was not made by this package.
func (f Funnel) LimitsAt(size float64) (FunnelPoint, error) {
	if err := positive("size", size); err != nil {
		return FunnelPoint{}, err
	}
	if f.law.quantile == nil {
		return FunnelPoint{}, fmt.Errorf("stats: empty funnel: expected one made by FunnelProportions or FunnelRates")
	}
	if size > mostCounted || size*f.Centre > mostCounted {
		return FunnelPoint{}, fmt.Errorf("stats: funnel limits at a size of %v: expected at most 1e12 cases", size)
	}
	p := FunnelPoint{Size: size}
	p.InnerLow, p.InnerHigh = f.at(size, FunnelInner)
	p.OuterLow, p.OuterHigh = f.at(size, FunnelOuter)
	return p, nil
}
