package measures

import (
	"context"
	"fmt"
	"math"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// Funnel holds a proportion or rate of several sites against all of them together, by size (Spiegelhalter DJ. Stat Med
// 2005;24:1185-1202). Limits lie where chance alone puts 95 and 99.8 % of sites of that size.
type Funnel struct {
	Definition  Definition
	Sites       []Site // by name; a site without a member is left away
	Centre      float64
	Inner       Curve // 95 %
	Outer       Curve // 99.8 %
	Method      string
	Phi         float64 // over-dispersion; limits are widened by its root where it is above 1
	Widened     bool
	NotRecorded int    // members whose site is not recorded: they belong to no site and are not in the centre
	Warning     string // why the funnel is of limited worth
}

// Site is one site of a funnel. Value and limits are in the unit of the measure.
type Site struct {
	Name                                     string
	N                                        int // what Definition.Counts says
	Size                                     float64
	Value                                    float64
	InnerLow, InnerHigh, OuterLow, OuterHigh float64
	Outside                                  string // "", "95 %" or "99.8 %"
	Up                                       bool   // above the centre
}

// Curve is a pair of limits over sizes, ascending.
type Curve struct{ Sizes, Lower, Upper []float64 }

// funnelFew is the number of sites below which no funnel is made: with two, each is held against the other.
const funnelFew = 3

// FunnelOf makes the funnel of a proportion or rate by referring site over the months first to last, "" open. false where
// fewer than three sites have members. It refuses measures of another kind.
func FunnelOf(ctx context.Context, from Source, id, first, last string) (Funnel, bool, error) {
	d, err := Find(id)
	if err != nil {
		return Funnel{}, false, err
	}
	if d.Kind != Proportion && d.Kind != Rate || d.Interval == "none" {
		return Funnel{}, false, fmt.Errorf("funnel of %s: expected a proportion or a rate with an interval, got a measure of kind %s", id, d.Kind)
	}
	sums, err := from.Sums(ctx, queries.Request{Measures: []string{id}, By: "referring_site", From: first, To: last})
	if err != nil {
		return Funnel{}, false, err
	}
	f := Funnel{Definition: d}
	var x, t []float64
	for _, s := range sums {
		switch {
		case s.T <= 0:
		case s.Group == queries.NotRecorded:
			f.NotRecorded = count(d, s)
		default:
			x, t = append(x, s.X), append(t, s.T)
			f.Sites = append(f.Sites, Site{Name: s.Group, N: count(d, s)})
		}
	}
	if len(f.Sites) < funnelFew {
		return f, false, nil
	}
	return f, true, f.judge(x, t)
}

func (f *Funnel) judge(x, t []float64) error {
	law := stats.FunnelProportions
	if f.Definition.Kind == Rate {
		law = stats.FunnelRates
	}
	found, err := law(x, t)
	if err != nil {
		return fmt.Errorf("funnel of %s: %w", f.Definition.ID, err)
	}
	scale := f.Definition.Scale
	f.Centre, f.Phi, f.Method, f.Warning = scale*found.Centre, found.Phi, found.Method, found.Warning
	f.Widened = found.Method == "z times root phi"
	smallest, largest := math.Inf(1), 0.0
	for i, p := range found.Points {
		s := &f.Sites[i]
		s.Size, s.Value, s.Outside, s.Up = p.Size, scale*p.Value, p.Outside, p.Up
		s.InnerLow, s.InnerHigh, s.OuterLow, s.OuterHigh = scale*p.InnerLow, scale*p.InnerHigh, scale*p.OuterLow, scale*p.OuterHigh
		smallest, largest = math.Min(smallest, p.Size), math.Max(largest, p.Size)
	}
	return f.curves(found, smallest, largest)
}

// curveSteps is how many sizes a curve is drawn through; whole sizes, since members are.
const curveSteps = 60

func (f *Funnel) curves(found stats.Funnel, smallest, largest float64) error {
	before := 0.0
	for i := range curveSteps + 1 {
		size := math.Max(1, math.Round(0.8*smallest+(1.05*largest-0.8*smallest)*float64(i)/curveSteps))
		if size == before {
			continue
		}
		before = size
		p, err := found.LimitsAt(size)
		if err != nil {
			return fmt.Errorf("funnel of %s: %w", f.Definition.ID, err)
		}
		f.Inner.add(size, f.Definition.Scale*p.InnerLow, f.Definition.Scale*p.InnerHigh)
		f.Outer.add(size, f.Definition.Scale*p.OuterLow, f.Definition.Scale*p.OuterHigh)
	}
	return nil
}

func (c *Curve) add(size, lower, upper float64) {
	c.Sizes, c.Lower, c.Upper = append(c.Sizes, size), append(c.Lower, lower), append(c.Upper, upper)
}

// Words say how the limits were made, and what widened them.
func (f Funnel) Words() string {
	law := "exact binomial limits"
	if f.Definition.Kind == Rate {
		law = "exact Poisson limits"
	}
	if f.Widened {
		return fmt.Sprintf("sites differ by more than chance (φ = %s), so the limits are those of z-scores times √φ", fixed(f.Phi, 2))
	}
	return law
}

// LimitsText prints the two pairs of limits of a site.
func (f Funnel) LimitsText(s Site) (inner, outer string) {
	text := func(low, high float64) string {
		return f.Definition.Text(&low, s.N) + "–" + f.Definition.Text(&high, s.N)
	}
	return text(s.InnerLow, s.InnerHigh), text(s.OuterLow, s.OuterHigh)
}
