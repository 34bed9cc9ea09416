package measures

import (
	"fmt"
	"math"
	"testing"

	"tripwake/queries"
)

// Ratios of 1 and 1.21 in a month have the geometric mean 1.1; centre and limits are those of the logs: centre of the mean
// log, ± 3 × mean moving range / 1.128 (definitions, Statistics).
func TestHindsightMonths(t *testing.T) {
	use := func(month string, used, asked, gauge float64) queries.GasPlan {
		return queries.GasPlan{Month: month, Used: used, GaugeError: gauge, Bridge: &queries.GasBridge{Hindsight: asked}}
	}
	plans := []queries.GasPlan{
		use("2026-01", 100, 100, 5), use("2026-01", 121, 100, 5), use("2026-02", 100, 100, 5), use("2026-04", 110, 100, 10),
		use("2026-04", -5, 100, 5), use("2026-04", 5, 0, 5), use("2025-12", 500, 100, 5), {Month: "2026-03", Used: 50},
	}
	got, err := HindsightMonths(plans, []string{"2026-01", "2026-02", "2026-03", "2026-04"})
	if err != nil || len(got) != 4 {
		t.Fatalf("got %+v, %v", got, err)
	}
	if a := got[0]; a.N != 2 || a.Over != 1 || math.Abs(a.Ratio-1.1) > 1e-12 {
		t.Errorf("January: got %+v, want 1.1 of two, one beyond its gauges", a)
	}
	if got[3].N != 1 || got[3].Over != 0 {
		t.Errorf("April: got %+v, want one transport, over by no more than its gauges", got[3])
	}
	if !math.IsNaN(got[2].Ratio) || RatioText(got[2].Ratio) != "" || got[2].N != 0 {
		t.Errorf("March: got %+v, want no value", got[2])
	}
	if centre := math.Exp((math.Log(1.1) + 0 + math.Log(1.1)) / 3); math.Abs(got[0].Centre-centre) > 1e-9 || got[0].Upper <= got[0].Centre {
		t.Errorf("January: got %+v, want a centre of %v", got[0], centre)
	}
	if one, err := HindsightMonths(plans, []string{"2026-01"}); err != nil || !math.IsNaN(one[0].Centre) {
		t.Errorf("one month: got %+v, %v, want no limits", one, err)
	}
}

// A month far above eleven even ones is beyond the limit.
func TestHindsightSignal(t *testing.T) {
	var plans []queries.GasPlan
	var months []string
	for i := range 12 {
		month := fmt.Sprintf("2025-%02d", i+1)
		ratio := 1 + 0.01*float64(i%2)
		if i == 9 {
			ratio = 3
		}
		months = append(months, month)
		plans = append(plans, queries.GasPlan{Month: month, Used: 100 * ratio, Bridge: &queries.GasBridge{Hindsight: 100}})
	}
	got, err := HindsightMonths(plans, months)
	if err != nil {
		t.Fatal(err)
	}
	for i, m := range got {
		if (m.Signal == "above") != (i == 9) {
			t.Errorf("%s: signal %q", m.Month, m.Signal)
		}
	}
}
