package measures

import (
	"fmt"
	"strings"

	"tripwake/queries/stats"
)

// signal puts a signal of package stats into words.
func (s Series) signal(found stats.Signal) Signal {
	sig := Signal{Rule: found.Rule, First: found.First, Last: found.Last, Up: found.Up, Verdict: s.verdict(found)}
	for _, p := range s.Points[found.First : found.Last+1] {
		if len(sig.Months) == 0 || sig.Months[len(sig.Months)-1] != p.Month {
			sig.Months = append(sig.Months, p.Month)
		}
	}
	sig.Words = s.signalWords(found)
	return sig
}

// verdict says whether a signal is for the better. A long gap between events is good where few events are.
func (s Series) verdict(found stats.Signal) string {
	up := found.Up
	if s.Kind == ChartG || s.Kind == ChartT {
		up = !up
	}
	better := s.Definition.Better
	if s.Kind == ChartPTarget {
		better = "higher"
	}
	switch {
	case found.Rule == stats.RuleFewCrossings || better == "":
		return "changed"
	case (better == "higher") == up:
		return "better"
	default:
		return "worse"
	}
}

func (s Series) signalWords(found stats.Signal) string {
	side, limit := "below", "lower"
	if found.Up {
		side, limit = "above", "upper"
	}
	last := s.Points[found.Last]
	centre := fmt.Sprintf("the %s of %s", s.centreWord(), s.text(last.Centre))
	switch found.Rule {
	case stats.RuleBeyond:
		edge := last.Lower
		if found.Up {
			edge = last.Upper
		}
		return fmt.Sprintf("%s is %s the %s limit of %s", s.text(last.Value), side, limit, s.text(edge))
	case stats.RuleFewCrossings:
		return fmt.Sprintf("crosses %s less often than chance would: it drifts or has shifted", centre)
	default:
		return fmt.Sprintf("%d %s in a row %s %s", s.offCentre(found), s.pointWord(), side, centre)
	}
}

func (s Series) centreWord() string {
	if s.CentreName == "" {
		return "centre line"
	}
	return s.CentreName
}

func (s Series) pointWord() string {
	if s.Kind == ChartG || s.Kind == ChartT {
		return "gaps"
	}
	return "months"
}

// offCentre counts the points of a run that have a value off the centre line: those on it neither break nor lengthen it.
func (s Series) offCentre(found stats.Signal) int {
	n := 0
	for _, p := range s.Points[found.First : found.Last+1] {
		if p.Value > p.Centre || p.Value < p.Centre {
			n++
		}
	}
	return n
}

// text prints a number of the chart with its unit.
func (s Series) text(v float64) string {
	number, unit := fixed(v, s.Decimals), unitWords(s.Unit)
	if number == "1" { // of units in words, "transports" alone is printed without decimals
		unit = strings.TrimSuffix(unit, "s")
	}
	return number + unit
}

// PointText prints a number of the chart without its unit; a missing one is empty.
func (s Series) PointText(v float64) string {
	if v != v {
		return ""
	}
	return fixed(v, s.Decimals)
}

// direction is "up", "down", or "none" where a signal lies on both sides.
func (sig Signal) direction() string {
	switch {
	case sig.Rule == stats.RuleFewCrossings:
		return "none"
	case sig.Up:
		return "up"
	default:
		return "down"
	}
}
