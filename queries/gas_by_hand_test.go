package queries_test

import (
	"math"
	"path/filepath"
	"testing"
	"time"

	"tripwake/pipeline"
	"tripwake/pipeline/store"
	"tripwake/pipeline/store/storetest"
	"tripwake/queries"
)

// handReader loads the transport of testdata/gas_by_hand as a user would.
func handReader(t *testing.T) *queries.Reader {
	t.Helper()
	st := storetest.Open(t, store.Options{})
	in := filepath.Join("..", "testdata", "gas_by_hand", "in")
	if _, err := pipeline.Load(t.Context(), st, []string{in}, pipeline.Options{Zone: time.UTC, Now: time.Unix(0, 0), Program: "test"}); err != nil {
		t.Fatal(err)
	}
	r, err := queries.Open(t.Context(), st, queries.Defaults())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// expect holds numbers against those of working.md.
func expect(t *testing.T, numbers map[string][2]float64) {
	t.Helper()
	for name, pair := range numbers {
		if math.Abs(pair[0]-pair[1]) > 1e-6 {
			t.Errorf("%s: got %v, by hand %v", name, pair[0], pair[1])
		}
	}
}

// Every number is worked in testdata/gas_by_hand/working.md.
func TestGasByHand(t *testing.T) {
	r := handReader(t)
	plans, err := r.OxygenPlan(t.Context(), "", "")
	if err != nil || len(plans) != 1 || plans[0].Bridge == nil {
		t.Fatalf("got %+v, %v, want one bridge", plans, err)
	}
	p, b := plans[0], *plans[0].Bridge
	expect(t, map[string][2]float64{
		"planned": {p.Planned, 300}, "used": {p.Used, 840}, "gauge error": {p.GaugeError, 14}, "gas time": {b.GasTime, 80},
		"hindsight": {b.Hindsight, 530}, "duration": {b.DurationEffect, 100}, "settings": {b.SettingsEffect, 130},
		"unexplained": {b.Unexplained, 310}, "bridge": {p.Planned + b.DurationEffect + b.SettingsEffect + b.Unexplained, 840},
	})
	groups, err := r.GasGroups(t.Context(), "oxygen", "2026-03", "2026-03")
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[string]int{}
	for _, g := range groups {
		kinds[g.Kind]++
		parts := 1.0
		if g.Kind == queries.GasByCylinder {
			parts = 2
		}
		expect(t, map[string][2]float64{
			g.Kind + " used": {g.Used, 840 / parts}, g.Kind + " unexplained": {g.Unexplained, 310 / parts}, g.Kind + " minutes": {g.Minutes, 80 / parts},
			g.Kind + " bridge": {g.Plan.Planned + g.Plan.DurationEffect + g.Plan.SettingsEffect + g.Plan.Unexplained, g.Plan.Used},
		})
	}
	if kinds[queries.GasByCylinder] != 2 || kinds[queries.GasByDevice] != 1 || kinds[queries.GasByMonth] != 1 || kinds[queries.GasByDeviceMonth] != 1 {
		t.Errorf("got groups %v, want two cylinders, one ventilator, one month", kinds)
	}
	left, err := r.GasReserves(t.Context(), "oxygen", "", "")
	if err != nil || len(left) != 1 || left[0].Short {
		t.Fatalf("left: got %+v, %v, want one that is not short", left, err)
	}
	expect(t, map[string][2]float64{"left": {left[0].Left, 308}, "last demand": {left[0].LastFlow, 6}, "minutes left": {left[0].Minutes, 308.0 / 6}})
	sums, err := r.Sums(t.Context(), queries.Request{Measures: []string{"oxygen_ratio", "oxygen_over_plan", "oxygen_reserve_short", "oxygen_per_hour"}})
	if err != nil || len(sums) != 4 {
		t.Fatalf("measures: got %+v, %v", sums, err)
	}
	expect(t, map[string][2]float64{"ratio, used": {sums[0].X, 840}, "ratio, planned": {sums[0].T, 300}, "over plan": {sums[1].X, 1},
		"reserve short": {sums[2].X, 0}, "per hour": {sums[3].X, 630}})
}

func TestBatteryByHand(t *testing.T) {
	r := handReader(t)
	shares, err := r.BatteryShares(t.Context(), "", "")
	if err != nil || len(shares) != 1 || shares[0].Overdrawn {
		t.Fatalf("got %+v, %v, want one share, not over", shares, err)
	}
	slopes, err := r.BatterySlopes(t.Context(), "2026-03", "2026-03")
	if err != nil || len(slopes) != 2 || len(slopes[0].LostEach) != 1 {
		t.Fatalf("got %+v, %v, want VH over all and in March", slopes, err)
	}
	expect(t, map[string][2]float64{"lit": {shares[0].Lit, 30}, "dimmed": {shares[0].Dim, 50}, "share": {shares[0].Share, 0.35},
		"endurance": {100 * slopes[0].MinutesEach[0] / slopes[0].LostEach[0], 228.571428571}})
}
