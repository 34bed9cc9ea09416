package stats

import (
	"testing"
)

// Freireich 1963: weeks of remission, 6-MP arm (checks.md) and controls
// (the published table, from memory; checked by the log-rank value).
var (
	mpTimes  = []float64{6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35}
	mpEvents = []bool{true, true, true, false, true, false, true, false, false, true, true, false, false, false, true, true, false, false, false, false, false}
	controls = []float64{1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23}
)

func TestKaplanMeierPublished(t *testing.T) {
	s := must(KaplanMeier(mpTimes, mpEvents))(t)
	rows := table(t, "kaplan_meier.csv")
	if len(s.Steps) != len(rows) {
		t.Fatalf("%d steps, want %d", len(s.Steps), len(rows))
	}
	for i, row := range rows {
		w, p := numbers(t, row...), s.Steps[i]
		got := []float64{p.Time, float64(p.AtRisk), float64(p.Events), p.Survival, p.SE, p.Low, p.High}
		for j := range got {
			near(t, "step "+row[0], got[j], w[j], 1e-9)
		}
	}
	if !s.HasMedian || s.Median != 23 || s.Last != 35 || s.Events != 9 {
		t.Errorf("curve %+v", s)
	}
}

func freireich() (times []float64, event []bool, group []int) {
	times = append(append(times, mpTimes...), controls...)
	event = append(event, mpEvents...)
	for range controls {
		event = append(event, true)
	}
	return times, event, append(make([]int, 21), ones(21)...)
}

func ones(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = 1
	}
	return out
}

// checks.md: log-rank 16.7929, p 4.169e-5.
func TestLogRankPublished(t *testing.T) {
	times, event, group := freireich()
	test := must(LogRank(times, event, group))(t)
	near(t, "chi-square", test.Statistic, 16.7929, 3e-6)
	near(t, "p", test.P, 4.169e-5, 2e-4)
	for i := range group { // numbered the other way round
		group[i] = 1 - group[i]
	}
	near(t, "exchange", must(LogRank(times, event, group))(t).Statistic, test.Statistic, 1e-12)
}

// Four events in turn, two at risk at the third: R 4.2.2 survdiff.
func TestLogRankSmall(t *testing.T) {
	test := must(LogRank([]float64{1, 2, 3, 4}, []bool{true, true, true, true}, []int{0, 1, 0, 1}))(t)
	near(t, "chi-square", test.Statistic, 0.615384615384615, 1e-13)
	if test.Warning == "" {
		t.Error("four events: no warning")
	}
}

// Order does not matter, also within ties; three groups with a copy of one
// split in two are worth two degrees of freedom.
func TestSurvivalProperties(t *testing.T) {
	times, event, group := freireich()
	want := must(LogRank(times, event, group))(t).Statistic
	perm := dice(11).Perm(len(times))
	pt, pe, pg := make([]float64, len(perm)), make([]bool, len(perm)), make([]int, len(perm))
	for i, j := range perm {
		pt[i], pe[i], pg[i] = times[j], event[j], group[j]
	}
	near(t, "order", must(LogRank(pt, pe, pg))(t).Statistic, want, 1e-12)
	for i := range pg {
		if pg[i] == 1 && i%2 == 0 {
			pg[i] = 2
		}
	}
	if three := must(LogRank(pt, pe, pg))(t); three.DF != 2 || three.Statistic < want {
		t.Errorf("three groups: %+v", three)
	}
}

func TestSurvivalEdges(t *testing.T) {
	gone := must(KaplanMeier([]float64{4}, []bool{true}))(t)
	if p := gone.Steps[0]; p.HasInterval || p.Survival != 0 || p.SE != 0 || gone.Median != 4 {
		t.Errorf("one event: %+v", gone)
	}
	if s := must(KaplanMeier([]float64{4, 5}, []bool{false, false}))(t); len(s.Steps) != 0 || s.Warning == "" || s.HasMedian {
		t.Errorf("no event: %+v", s)
	}
	equal := must(KaplanMeier([]float64{3, 3, 3, 3}, []bool{true, true, false, false}))(t)
	if len(equal.Steps) != 1 || equal.Steps[0].Survival != 0.5 || !equal.HasMedian {
		t.Errorf("all at one time: %+v", equal)
	}
	_, err := KaplanMeier(nil, nil)
	refused(t, "none", err)
	_, err = KaplanMeier([]float64{1, nan}, []bool{true, true})
	refused(t, "NaN", err)
	_, err = KaplanMeier([]float64{-1}, []bool{true})
	refused(t, "negative", err)
	_, err = KaplanMeier([]float64{1}, nil)
	refused(t, "lengths", err)
	bad := []struct {
		event []bool
		group []int
	}{
		{[]bool{true, true}, []int{0, 0}}, {[]bool{false, false}, []int{0, 1}}, {[]bool{true, true}, []int{0, 2}},
		{[]bool{true, true}, []int{0}}, {[]bool{true, true}, []int{-1, 0}},
	}
	for _, b := range bad {
		_, err := LogRank([]float64{1, 2}, b.event, b.group)
		refused(t, "log-rank", err)
	}
	// The only event comes when just one group is left.
	_, err = LogRank([]float64{1, 2}, []bool{false, true}, []int{0, 1})
	refused(t, "never together", err)
}
