package stats

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// SurvivalStep is one time with events.
type SurvivalStep struct {
	Time           float64
	AtRisk, Events int
	// Survival is the share (0 to 1) still without event after Time, SE its
	// Greenwood standard error.
	Survival, SE float64
	// Low and High are the log-log interval; HasInterval is false once nobody
	// is left (Survival 0), where none exists.
	Low, High   float64
	HasInterval bool
}

// Survival is a Kaplan-Meier curve: 1 before the first step, flat between
// steps.
type Survival struct {
	N, Events int
	Steps     []SurvivalStep
	// Median is the first time at which Survival is at or below 1/2; HasMedian
	// is false if the curve does not get there.
	Median    float64
	HasMedian bool
	// Last is the longest time seen: the curve says nothing after it.
	Last    float64
	Warning string
}

// KaplanMeier estimates survival S = Π(1 - d/n) from times (any unit, from 0)
// and whether each ended with the event (true) or was censored (false). An
// event and a censoring at the same time: the censored one is still at risk.
// Greenwood: se = S√Σ d/(n(n-d)); interval exp(-exp(ln(-ln S) ± z se/(S ln S))).
// No event: no step and a warning. Refused: no time, a time negative or NaN,
// unequal lengths. Source: Kaplan EL, Meier P. J Am Stat Assoc
// 1958;53:457-481; Kalbfleisch JD, Prentice RL 1980 (log-log); as R's survfit.
func KaplanMeier(times []float64, event []bool) (Survival, error) {
	if err := timesFit(times, len(event)); err != nil {
		return Survival{}, err
	}
	order := byTime(times)
	out := Survival{N: len(times), Last: times[order[len(order)-1]]}
	s, v := 1.0, 0.0
	for i := 0; i < len(order); {
		t, atRisk, d := times[order[i]], len(order)-i, 0
		for ; i < len(order) && times[order[i]] == t; i++ {
			if event[order[i]] {
				d++
			}
		}
		if d == 0 {
			continue
		}
		n, k := float64(atRisk), float64(d)
		s *= (n - k) / n
		if d < atRisk {
			v += k / (n * (n - k))
		}
		out.Events += d
		out.Steps = append(out.Steps, survivalStep(t, atRisk, d, s, v))
		if !out.HasMedian && compare9(s, 0.5) <= 0 {
			out.Median, out.HasMedian = t, true
		}
	}
	if out.Events == 0 {
		out.Warning = "no event: the curve stays at 1 and has no interval"
	}
	return out, nil
}

// survivalStep adds Greenwood's error and the log-log interval; v is Σd/(n(n-d)).
func survivalStep(t float64, atRisk, d int, s, v float64) SurvivalStep {
	step := SurvivalStep{Time: t, AtRisk: atRisk, Events: d, Survival: s}
	if s <= 0 {
		return step
	}
	step.SE = s * math.Sqrt(v)
	half := zTwoSided(Level) * math.Sqrt(v) / -math.Log(s)
	step.Low, step.High = math.Pow(s, math.Exp(half)), math.Pow(s, math.Exp(-half))
	step.HasInterval = true
	return step
}

func timesFit(times []float64, others int) error {
	if len(times) != others {
		return fmt.Errorf("stats: %d times and %d outcomes: expected the same number", len(times), others)
	}
	if err := first(atLeast("a survival analysis", len(times), 1), finite("times", times)); err != nil {
		return err
	}
	for i, t := range times {
		if t < 0 {
			return fmt.Errorf("stats: times[%d] is %v: expected a time from 0", i, t)
		}
	}
	return nil
}

func byTime(times []float64) []int {
	order := make([]int, len(times))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(times[a], times[b]) })
	return order
}

// LogRank compares the survival of groups numbered from 0: chi-square of
// observed minus expected events with the hypergeometric covariance, k-1
// degrees of freedom. Censoring as KaplanMeier. Fewer than 10 events: a warning.
// Refused: fewer than 2 groups, a number without members, no event, groups
// that are never at risk together, and as KaplanMeier refuses. Source: Mantel
// N. Cancer Chemother Rep 1966;50:163-170; as R's survdiff.
func LogRank(times []float64, event []bool, group []int) (Test, error) {
	if err := first(timesFit(times, len(event)), timesFit(times, len(group))); err != nil {
		return Test{}, err
	}
	k, err := groupCount(group)
	if err != nil {
		return Test{}, err
	}
	excess, cov, events := logRankSums(times, event, group, k)
	if events == 0 {
		return Test{}, fmt.Errorf("stats: no event in %d times: a log-rank test needs some", len(times))
	}
	var chol mat.Cholesky
	if !chol.Factorize(cov) || chol.Cond() > 1e12 {
		return Test{}, fmt.Errorf("stats: groups are never at risk together: a log-rank test cannot compare them")
	}
	var solved mat.VecDense
	if err := chol.SolveVecTo(&solved, excess); err != nil {
		return Test{}, fmt.Errorf("stats: log-rank covariance cannot be inverted: %v", err)
	}
	x := mat.Dot(excess, &solved)
	test := Test{Statistic: x, DF: float64(k - 1), P: chiSquareP(x, float64(k-1)), Method: "log-rank"}
	if events < 10 {
		test.Warning = fmt.Sprintf("only %d events: chi-square is rough", events)
	}
	return test, nil
}

// groupCount refuses numbers that are not 0 to k-1, each with a member.
func groupCount(group []int) (int, error) {
	members := map[int]int{}
	for _, g := range group {
		members[g]++
	}
	for g := range len(members) {
		if members[g] == 0 {
			return 0, fmt.Errorf("stats: %d different groups but none is %d: expected numbers from 0 without a gap", len(members), g)
		}
	}
	if len(members) < 2 {
		return 0, fmt.Errorf("stats: one group only: expected at least 2")
	}
	return len(members), nil
}

// logRankSums are observed minus expected of all groups but the last, with
// their covariance.
func logRankSums(times []float64, event []bool, group []int, k int) (*mat.VecDense, *mat.SymDense, int) {
	atRisk := make([]float64, k)
	for _, g := range group {
		atRisk[g]++
	}
	excess, cov, events := mat.NewVecDense(k-1, nil), mat.NewSymDense(k-1, nil), 0
	order := byTime(times)
	for i := 0; i < len(order); {
		n, d := float64(len(order)-i), 0.0
		gone, died := make([]float64, k), make([]float64, k)
		for t := times[order[i]]; i < len(order) && times[order[i]] == t; i++ {
			gone[group[order[i]]]++
			if event[order[i]] {
				died[group[order[i]]]++
				d++
			}
		}
		events += int(d)
		addLogRank(excess, cov, atRisk, died, n, d)
		for g := range gone {
			atRisk[g] -= gone[g]
		}
	}
	return excess, cov, events
}

// addLogRank adds one time of d events among n at risk.
func addLogRank(excess *mat.VecDense, cov *mat.SymDense, atRisk, died []float64, n, d float64) {
	if d == 0 {
		return
	}
	spread := 0.0
	if n > 1 {
		spread = d * (n - d) / (n - 1)
	}
	for a := range excess.Len() {
		share := atRisk[a] / n
		excess.SetVec(a, excess.AtVec(a)+died[a]-d*share)
		for b := a; b < excess.Len(); b++ {
			c := -share * atRisk[b] / n
			if a == b {
				c += share
			}
			cov.SetSym(a, b, cov.At(a, b)+spread*c)
		}
	}
}
