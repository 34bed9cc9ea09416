package measures

import (
	"fmt"
	"math"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// RatioMonth is the use of a gas over what the settings asked for, by month: the geometric mean over N transports, and how
// many of these used more than asked for by more than their gauges' error. Ratio is NaN without a transport; Centre, Lower and
// Upper, NaN where there are none, are the XmR limits of the log ratio. Signal is empty, "above", "below" or "run".
type RatioMonth struct {
	Month                       string
	N, Over                     int
	Ratio, Centre, Lower, Upper float64
	Signal                      string
}

// HindsightMonths follows used over asked for through the months given. Transports without a bridge, that used nothing by
// the gauges or were asked for nothing are left out. Limits are made of all these months; they need two with a value.
func HindsightMonths(plans []queries.GasPlan, months []string) ([]RatioMonth, error) {
	all, at := make([]RatioMonth, len(months)), map[string]int{}
	logs := make([]float64, len(months))
	for i, m := range months {
		all[i], at[m] = RatioMonth{Month: m, Ratio: missing, Centre: missing, Lower: missing, Upper: missing}, i
	}
	for _, p := range plans {
		i, ok := at[p.Month]
		if !ok || p.Bridge == nil || p.Used <= 0 || p.Bridge.Hindsight <= 0 {
			continue
		}
		all[i].N++
		logs[i] += math.Log(p.Used / p.Bridge.Hindsight)
		if p.Used-p.Bridge.Hindsight > p.GaugeError+1e-9 {
			all[i].Over++
		}
	}
	ratios, filled := make([]float64, len(months)), 0
	for i := range all {
		if all[i].N > 0 {
			all[i].Ratio = math.Exp(logs[i] / float64(all[i].N))
			filled++
		}
		ratios[i] = all[i].Ratio
	}
	if filled < 2 {
		return all, nil
	}
	chart, _, err := stats.XmRLog(ratios, stats.Options{})
	if err != nil {
		return nil, fmt.Errorf("used over asked for: %w", err)
	}
	return limited(all, chart), nil
}

// limited puts limits and signals of a chart on its months.
func limited(all []RatioMonth, chart stats.Chart) []RatioMonth {
	for i, p := range chart.Points {
		if p.HasLimits && p.HasValue {
			all[i].Centre, all[i].Lower, all[i].Upper = p.Centre, p.Lower, p.Upper
		}
	}
	for _, s := range chart.Signals {
		word := "run"
		switch {
		case s.Rule == stats.RuleBeyond && s.Up:
			word = "above"
		case s.Rule == stats.RuleBeyond:
			word = "below"
		}
		for i := s.First; i <= s.Last; i++ {
			if all[i].Signal == "" || word != "run" {
				all[i].Signal = word
			}
		}
	}
	return all
}

// RatioText prints a ratio to two digits; empty where it does not exist.
func RatioText(v float64) string {
	if math.IsNaN(v) {
		return ""
	}
	return fixed(v, 2)
}
