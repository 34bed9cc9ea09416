package stats

import (
	"math"
	"slices"
	"testing"
)

// Nelson and Western Electric rules on a made vector that two programs flag
// alike (checks.md); indexes from 1.
func TestZoneRulesPublished(t *testing.T) {
	rows := lines(t, "rules.csv")
	z := numbers(t, rows[0][2])
	found := map[string][]int{
		"beyond3":             BeyondZ(z, 3),
		"2of3_beyond2_lastin": MostBeyondZ(z, 2, 3, 2),
		"4of5_beyond1_lastin": MostBeyondZ(z, 4, 5, 1),
		// Without the demand that the last point is itself beyond.
		"2of3_beyond2_any":      windows(z, 3, func(w []float64) bool { return outside(w, 2, 2) != 0 }),
		"4of5_beyond1_any":      windows(z, 5, func(w []float64) bool { return outside(w, 1, 4) != 0 }),
		"8_same_side_WECO4":     SameSideZ(z, 8),
		"9_same_side_Nelson2":   SameSideZ(z, 9),
		"6pts_monotone_Nelson3": MonotoneZ(z, 6),
	}
	checked := 0
	for _, row := range rows[1:] {
		got, ok := found[row[1]]
		if !ok {
			t.Fatalf("no rule %q", row[1])
		}
		checked++
		var want []int
		for _, v := range numbers(t, row[2]) {
			want = append(want, int(v)-1)
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", row[1], got, want)
		}
	}
	if checked != len(found) {
		t.Errorf("%d rules checked, want %d", checked, len(found))
	}
}

func TestZoneRuleEdges(t *testing.T) {
	z := []float64{1, 1, 1, nan, 1, 1, 1, 1, 1}
	if got := SameSideZ(z, 8); got != nil {
		t.Errorf("NaN does not break: %v", got)
	}
	if got := MonotoneZ([]float64{1, 2, 2, 3, 4, 5, 6}, 6); got != nil {
		t.Errorf("a tie counts as rising: %v", got)
	}
	if got := BeyondZ([]float64{3, -3, math.Nextafter(3, 4)}, 3); !slices.Equal(got, []int{2}) {
		t.Errorf("on the limit is in: %v", got)
	}
	if BeyondZ(nil, 3) != nil || SameSideZ([]float64{1}, 8) != nil {
		t.Error("nothing gives something")
	}
}

// pointsAt makes points about a centre of 0 with limits ±3; NaN is no value.
func pointsAt(values ...float64) []Point {
	out := make([]Point, len(values))
	for i, v := range values {
		if !math.IsNaN(v) {
			out[i] = Point{HasValue: true, HasLimits: true, Value: v, Lower: -3, Upper: 3}
		}
	}
	return out
}

// The rules of definitions.md, Signals: on the limit is in; a point on the
// centre line breaks no run and counts for none; a run is one signal, whole.
func TestSignals(t *testing.T) {
	if got := beyond(pointsAt(3, 3+4e-10, -3-2e-9, 3.1)); !slices.Equal(got, []Signal{{RuleBeyond, 2, 2, false}, {RuleBeyond, 3, 3, true}}) {
		t.Errorf("beyond: %v", got)
	}
	eight := pointsAt(-1, 1, 1, 0, 1, 1, nan, 1, 1, 1, 1, 1, -1)
	if got := inARow(eight, Phase{0, len(eight)}); !slices.Equal(got, []Signal{{RuleEight, 1, 11, true}}) {
		t.Errorf("nine over a centre point and a gap: %v", got)
	}
	seven := pointsAt(1, 1, 1, 0, 1, 1, 1, 1)
	if got := inARow(seven, Phase{0, len(seven)}); got != nil {
		t.Errorf("seven and one on the line: %v", got)
	}
	if got := inARow(eight, Phase{0, 6}); got != nil {
		t.Errorf("a run over the end of the phase: %v", got)
	}
}

// Against simulation: 3000 charts of 24 normal points with known limits; the
// standard error of the mean count is about 0.008, tolerance four of them.
func TestExpectedFalseSignals(t *testing.T) {
	r, total := dice(5), 0
	const charts, k = 3000, 24
	for range charts {
		v := make([]float64, k)
		for i := range v {
			v[i] = r.NormFloat64()
		}
		total += len(beyond(pointsAt(v...))) + len(inARow(pointsAt(v...), Phase{0, k}))
	}
	if got, want := float64(total)/charts, ExpectedFalseSignals(k); math.Abs(got-want) > 0.032 {
		t.Errorf("simulated %v, formula %v", got, want)
	}
	near(t, "one point", ExpectedFalseSignals(1), 0.0026997960632601866, 1e-12)
	if ExpectedFalseSignals(0) != 0 || ExpectedFalseSignals(-3) != 0 {
		t.Error("no points expect a signal")
	}
}

// Anhøj and Olesen 2014, table of limits in checks.md.
func TestRunLimitsPublished(t *testing.T) {
	for _, row := range table(t, "run_limits.csv") {
		v := numbers(t, row...)
		longest, fewest, err := RunLimits(int(v[0]))
		if err != nil || longest != int(v[1]) || fewest != int(v[2]) {
			t.Errorf("n %s: %d %d (%v), want %v", row[0], longest, fewest, err, v[1:])
		}
	}
	_, _, err := RunLimits(9)
	refused(t, "n 9", err)
}

func TestRunChart(t *testing.T) {
	shift := []float64{1, 2, 1, 2, 1, 2, 1, 2, 9, 8, 9, 8, 9, 8, 9, 8}
	c, tests, err := RunChart(shift, Options{})
	if err != nil {
		t.Fatal(err)
	}
	want := []Signal{{RuleLongRun, 0, 7, false}, {RuleLongRun, 8, 15, true}, {RuleFewCrossings, 0, 15, false}}
	if !slices.Equal(c.Signals, want) {
		t.Errorf("signals %v, want %v", c.Signals, want)
	}
	if tests[0].LongestRun != 8 || tests[0].LongestLimit != 7 || tests[0].Crossings != 1 || tests[0].FewestCrossings != 4 {
		t.Errorf("test %+v", tests[0])
	}
	frozen, _, err := RunChart(shift, Options{Phases: []Phase{{0, 8}, {8, 16}}})
	if err != nil || len(frozen.Signals) != 0 || frozen.Warning == "" {
		t.Errorf("two short phases: %v %v %q", err, frozen.Signals, frozen.Warning)
	}
}

func TestRunChartEdges(t *testing.T) {
	for _, v := range [][]float64{{1}, {1, 2}, fill(30, 4), {1, nan, 3}} {
		c, tests, err := RunChart(v, Options{})
		if err != nil || tests[0].Judged || c.Warning == "" || len(c.Signals) != 0 {
			t.Errorf("%v: %v %+v %q", v, err, tests, c.Warning)
		}
		soundChart(t, "run", c)
	}
	for _, v := range [][]float64{nil, {inf}, {nan}} {
		_, _, err := RunChart(v, Options{})
		refused(t, "run chart", err)
	}
	// 11 values with one on the median: ten useful points are enough.
	_, tests, err := RunChart([]float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}, Options{})
	if err != nil || !tests[0].Judged || tests[0].Useful != 10 {
		t.Errorf("ten useful points: %+v (%v)", tests, err)
	}
}

// The recursion against simulation with coins: 20000 charts of 24 points,
// tolerance four standard errors.
func TestRunFalseAlarm(t *testing.T) {
	r, alarms := dice(6), 0
	const charts, n = 20000, 24
	for range charts {
		v := make([]float64, n)
		for i := range v {
			v[i] = float64(r.IntN(2))*2 - 1
		}
		if _, s := judgeRuns(pointsAt(v...), Phase{0, n}); len(s) > 0 {
			alarms++
		}
	}
	want, err := RunFalseAlarm(n)
	share := float64(alarms) / charts
	if err != nil || math.Abs(share-want) > 4*math.Sqrt(want*(1-want)/charts) {
		t.Errorf("simulated %v, recursion %v (%v)", share, want, err)
	}
	_, err = RunFalseAlarm(5)
	refused(t, "n 5", err)
}
