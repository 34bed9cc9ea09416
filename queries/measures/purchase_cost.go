package measures

import (
	"math"
	"slices"
	"strconv"
)

// Cost is what a candidate costs, and what that is for each shortfall avoided, in the configured currency.
type Cost struct {
	PerYear    float64 // number bought × (price/life + service)
	Avoided    Limit   // shortfalls avoided per year
	PerAvoided Limit   // PerYear over Avoided: NaN where nothing is avoided, high without end where the interval takes in nothing
	Lines      []Sensitivity
}

// Sensitivity is the cost of one avoided shortfall when one assumption is taken lower and higher.
type Sensitivity struct {
	What          string // "price", "life", "service", …
	Lower, Higher string // the two values of the assumption, printed
	AtLower       float64
	AtHigher      float64 // NaN or +Inf where there is no such cost
}

// Range is the least and the most of both.
func (s Sensitivity) Range() (least, most float64) {
	return min(s.AtLower, s.AtHigher), max(s.AtLower, s.AtHigher)
}

// apart is how far price, life and service are moved for the sensitivity: a quarter, a common size of error in a first quote
// (common practice).
const apart = 0.25

func costOf(a Answer, years float64) Cost {
	c, avoided := a.Candidate, a.Avoided
	out := Cost{PerYear: c.perYear(1, 1, 1), Avoided: Limit{avoided.Value / years, avoided.Low / years, avoided.High / years}}
	at := func(perYear, avoided float64) float64 {
		if !(avoided > 0) {
			return math.Inf(1)
		}
		return perYear / avoided
	}
	if !(out.Avoided.Value > 0) {
		out.PerAvoided = Limit{missing, missing, missing}
		return out
	}
	out.PerAvoided = Limit{at(out.PerYear, out.Avoided.Value), at(out.PerYear, out.Avoided.High), at(out.PerYear, out.Avoided.Low)}
	each := out.Avoided.Value
	out.Lines = []Sensitivity{
		{"avoided per year, 95 %", decimal(out.Avoided.Low), decimal(out.Avoided.High), out.PerAvoided.High, out.PerAvoided.Low},
		{"price", Amount(c.Price * (1 - apart)), Amount(c.Price * (1 + apart)), at(c.perYear(1-apart, 1, 1), each), at(c.perYear(1+apart, 1, 1), each)},
		{"life, years", decimal(c.Life * (1 - apart)), decimal(c.Life * (1 + apart)), at(c.perYear(1, 1-apart, 1), each), at(c.perYear(1, 1+apart, 1), each)},
	}
	if c.Service > 0 {
		out.Lines = append(out.Lines, Sensitivity{"service per year", Amount(c.Service * (1 - apart)), Amount(c.Service * (1 + apart)),
			at(c.perYear(1, 1, 1-apart), each), at(c.perYear(1, 1, 1+apart), each)})
	}
	if recorded := float64(a.Recorded) / years; a.Fleet != nil && recorded < each {
		out.Lines = slices.Insert(out.Lines, 1, Sensitivity{"avoided: recorded only", decimal(recorded), decimal(each), at(out.PerYear, recorded), out.PerAvoided.Value})
	}
	return out
}

// perYear is the yearly cost with price, life and service multiplied.
func (c Candidate) perYear(price, life, service float64) float64 {
	return float64(c.Add) * (c.Price*price/(c.Life*life) + c.Service*service)
}

func decimal(v float64) string { return fixed(v, 1) }

// Amount prints money: to cents below 100, from there to three digits that count, with thin spaces between thousands. What is no
// number is a dash.
func Amount(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "–"
	}
	decimals := 0
	switch {
	case math.Abs(v) >= 100:
		v = roundTo(v, 3)
	case v != math.Trunc(v):
		decimals = 2
	}
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	whole := len(text)
	if decimals > 0 {
		whole -= decimals + 1
	}
	for at := whole - 3; at > 0 && text[at-1] != '-'; at -= 3 {
		text = text[:at] + "\u202f" + text[at:]
	}
	return text
}
