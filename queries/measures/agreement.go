package measures

import (
	"math"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// Agreement is how the gas used agrees with what was expected (Bland JM, Altman DG. Lancet 1986;1:307-310).
//
// With Log, differences are ratios used ÷ expected and so are bias and limits: chosen where the spread of the differences
// grows with their size. Otherwise they are litres, used minus expected.
type Agreement struct {
	Points       []AgreementPoint
	Log          bool
	Judged       bool // bias and limits exist: from two transports on
	Bias         Limit
	Lower, Upper Limit // 95 % limits of agreement
	LeftOut      int   // transports whose use was at or below 0 by the gauges
	Warning      string
}

// AgreementPoint is one transport: Size the mean of used and expected in L, Difference used − expected in L or used ÷ expected.
type AgreementPoint struct{ Size, Difference float64 }

// Limit is a number with its 95 % interval.
type Limit struct{ Value, Low, High float64 }

// growthLevel is the p below which the spread is taken to grow with size.
const growthLevel = 0.05

// AgreementOf compares what was used with the crew's plan. Uses at or below 0 are left out and counted.
func AgreementOf(plans []queries.GasPlan) (Agreement, error) {
	return agree(plans, func(p queries.GasPlan) float64 { return p.Planned })
}

// HindsightAgreementOf compares what was used with what the settings asked for. Transports whose settings are not known
// throughout, or asked for nothing, are left out and counted too.
func HindsightAgreementOf(plans []queries.GasPlan) (Agreement, error) {
	return agree(plans, func(p queries.GasPlan) float64 {
		if p.Bridge == nil {
			return 0
		}
		return p.Bridge.Hindsight
	})
}

func agree(plans []queries.GasPlan, expected func(queries.GasPlan) float64) (Agreement, error) {
	var a Agreement
	var used, asked []float64
	for _, p := range plans {
		if p.Used <= 0 || expected(p) <= 0 {
			a.LeftOut++
			continue
		}
		used, asked = append(used, p.Used), append(asked, expected(p))
	}
	a.Log = growsWithSize(used, asked)
	for i := range used {
		a.Points = append(a.Points, pointOf(used[i], asked[i], a.Log))
	}
	if len(used) < 2 {
		return a, nil
	}
	compare := stats.BlandAltman
	if a.Log {
		compare = stats.BlandAltmanLog
	}
	found, err := compare(used, asked)
	if err != nil {
		return a, err
	}
	a.Judged, a.Warning = true, found.Warning
	a.Bias, a.Lower, a.Upper = limit(found.Bias), limit(found.Lower), limit(found.Upper)
	return a, nil
}

func pointOf(used, expected float64, log bool) AgreementPoint {
	if log {
		return AgreementPoint{(used + expected) / 2, used / expected}
	}
	return AgreementPoint{(used + expected) / 2, used - expected}
}

// growsWithSize is false where too few or too even pairs give no answer.
func growsWithSize(used, expected []float64) bool {
	test, err := stats.SpreadGrowth(used, expected)
	return err == nil && test.Statistic > 0 && test.P < growthLevel
}

func limit(e stats.Estimate) Limit {
	high := e.High
	if e.Open {
		high = math.Inf(1)
	}
	return Limit{e.Value, e.Low, high}
}

// Names are the names of Bias, Lower and Upper.
func (a Agreement) Names() [3]string {
	if a.Log {
		return [3]string{"Mean ratio", "Lower limit of agreement", "Upper limit of agreement"}
	}
	return [3]string{"Mean difference", "Lower limit of agreement", "Upper limit of agreement"}
}

// Text prints a number of the comparison: whole litres, or a ratio to two digits.
func (a Agreement) Text(v float64) string {
	if a.Log {
		return fixed(v, 2)
	}
	return fixed(v, 0) + " L"
}
