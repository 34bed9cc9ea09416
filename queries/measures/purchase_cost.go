package measures

import (
	"math"
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
	What          string // "price", "life", "service", "shortfalls avoided"
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

func costOf(c Candidate, avoided Limit, years float64) Cost {
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
		{"shortfalls avoided per year", decimal(out.Avoided.Low), decimal(out.Avoided.High), out.PerAvoided.High, out.PerAvoided.Low},
		{"price", Amount(c.Price * (1 - apart)), Amount(c.Price * (1 + apart)), at(c.perYear(1-apart, 1, 1), each), at(c.perYear(1+apart, 1, 1), each)},
		{"life, years", decimal(c.Life * (1 - apart)), decimal(c.Life * (1 + apart)), at(c.perYear(1, 1-apart, 1), each), at(c.perYear(1, 1+apart, 1), each)},
	}
	if c.Service > 0 {
		out.Lines = append(out.Lines, Sensitivity{"service per year", Amount(c.Service * (1 - apart)), Amount(c.Service * (1 + apart)),
			at(c.perYear(1, 1, 1-apart), each), at(c.perYear(1, 1, 1+apart), each)})
	}
	return out
}

// perYear is the yearly cost with price, life and service multiplied.
func (c Candidate) perYear(price, life, service float64) float64 {
	return float64(c.Add) * (c.Price*price/(c.Life*life) + c.Service*service)
}

func decimal(v float64) string { return fixed(v, 1) }

// Amount prints money to three digits that count, whole from 100 on, with thin spaces between thousands; no number is a dash.
func Amount(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "–"
	}
	v = roundTo(v, 3)
	decimals := 0
	if math.Abs(v) < 100 && v != math.Trunc(v) {
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
