package stats

import (
	"fmt"
	"math"
)

// fewestRunPoints is how many points off the median a run chart needs.
const fewestRunPoints = 10

// RunTest is what the run rules saw in one phase of a run chart.
type RunTest struct {
	Phase
	// Judged is false if fewer than 10 points lie off the median: no rule was
	// applied and the limits are 0.
	Judged bool
	// Useful is n, the number of points with a value off the median.
	Useful int
	// LongestRun is the length of the longest run on one side; more than
	// LongestLimit is a signal.
	LongestRun, LongestLimit int
	// Crossings is how often neighbours lie on different sides; fewer than
	// FewestCrossings is a signal.
	Crossings, FewestCrossings int
}

// RunChart draws values (in their own unit) about the median of the baseline
// and applies the rules of Anhøj and Olesen in each phase: a "long run" if a
// run is longer than round(log2 n + 3), "few crossings" if there are fewer
// than the 5 % point of binomial(n-1, 1/2); n is the number of points off the
// median (equal after rounding to 1e-9 is on it). Points have a centre and no
// limits: Lower = Upper = Centre. NaN marks a point without a value. Fewer
// than 10 useful points, or all equal: no rule is applied, with a warning.
// Refused: no point, infinities, a phase whose baseline has no value. Source:
// Anhøj J, Olesen AV. PLoS ONE 2014;9:e113825.
func RunChart(values []float64, opt Options) (Chart, []RunTest, error) {
	if err := first(atLeast("a chart", len(values), 1), finiteOrMissing("values", values)); err != nil {
		return Chart{}, nil, err
	}
	phases, err := opt.phases(len(values))
	if err != nil {
		return Chart{}, nil, err
	}
	chart := Chart{Kind: "run", Points: make([]Point, len(values))}
	tests := make([]RunTest, 0, len(phases))
	for _, ph := range phases {
		if err := runPhase(&chart, ph, values); err != nil {
			return Chart{}, nil, err
		}
		test, signals := judgeRuns(chart.Points, ph.Phase)
		if !test.Judged {
			chart.Warning = join(chart.Warning, fmt.Sprintf("only %d points off the median: the run rules need %d", test.Useful, fewestRunPoints))
		}
		tests, chart.Signals = append(tests, test), append(chart.Signals, signals...)
	}
	return chart, tests, nil
}

// runPhase sets the points of a phase about its median.
func runPhase(chart *Chart, ph phase, values []float64) error {
	var base []float64
	for _, v := range baseline(ph, values) {
		if !math.IsNaN(v) {
			base = append(base, v)
		}
	}
	if len(base) == 0 {
		return fmt.Errorf("stats: points %d to %d have no value in their baseline: choose another baseline", ph.Start, ph.End-1)
	}
	median := quantile7(sortedCopy(base), 0.5)
	for i := ph.Start; i < ph.End; i++ {
		if !math.IsNaN(values[i]) {
			chart.Points[i] = Point{HasValue: true, HasLimits: true, Value: values[i],
				Centre: median, Lower: median, Upper: median, Baseline: ph.base[i]}
		}
	}
	return nil
}

// judgeRuns applies the two rules to one phase.
func judgeRuns(points []Point, ph Phase) (RunTest, []Signal) {
	all := runs(points, ph)
	test := RunTest{Phase: ph, Crossings: max(0, len(all)-1)}
	for _, r := range all {
		test.Useful += r.length
		test.LongestRun = max(test.LongestRun, r.length)
	}
	if test.Useful < fewestRunPoints {
		return test, nil
	}
	test.Judged = true
	test.LongestLimit, test.FewestCrossings = runLimits(test.Useful)
	var found []Signal
	for _, r := range all {
		if r.length > test.LongestLimit {
			found = append(found, Signal{RuleLongRun, r.first, r.last, r.up})
		}
	}
	if test.Crossings < test.FewestCrossings {
		found = append(found, Signal{RuleFewCrossings, all[0].first, all[len(all)-1].last, false})
	}
	return test, found
}

// RunLimits gives, for n points off the median, the longest run and the fewest
// crossings that are still no signal: round(log2 n + 3) and the smallest k
// with P(B <= k) >= 0.05, B binomial(n-1, 1/2). Refused: n < 10. Source: Anhøj
// J, Olesen AV. PLoS ONE 2014;9:e113825.
func RunLimits(n int) (longest, fewest int, err error) {
	if n < fewestRunPoints {
		return 0, 0, fmt.Errorf("stats: run limits need at least %d points off the median, got %d", fewestRunPoints, n)
	}
	longest, fewest = runLimits(n)
	return longest, fewest, nil
}

func runLimits(n int) (longest, fewest int) {
	longest = int(math.Round(math.Log2(float64(n)) + 3))
	return longest, int(binomialQuantile(0.05, float64(n-1), 0.5))
}

// RunFalseAlarm is the probability that a run chart of n useful points signals
// (either rule) although nothing has changed, for independent points that lie
// above or below the median with probability 1/2 each, by counting all
// patterns of runs exactly. The median is taken as known; with the median of
// the same points the true value is a little smaller. Refused: n < 10 or
// above 10000. Source: own recursion over (length of the run so far,
// crossings so far).
func RunFalseAlarm(n int) (float64, error) {
	longest, fewest, err := RunLimits(n)
	if err != nil {
		return 0, err
	}
	if n > 10000 {
		return 0, fmt.Errorf("stats: run chart of %d points: expected at most 10000", n)
	}
	// quiet[r][c]: the last run has r points, c crossings (fewest and more are
	// one state), no run too long yet.
	quiet := newGrid(longest+1, fewest+1)
	quiet[1][0] = 1
	for range n - 1 {
		next := newGrid(longest+1, fewest+1)
		for r := 1; r <= longest; r++ {
			for c, p := range quiet[r] {
				if r < longest {
					next[r+1][c] += p / 2
				}
				next[1][min(c+1, fewest)] += p / 2
			}
		}
		quiet = next
	}
	still := 0.0
	for r := 1; r <= longest; r++ {
		still += quiet[r][fewest]
	}
	return 1 - still, nil
}

func newGrid(rows, columns int) [][]float64 {
	cells := make([]float64, rows*columns)
	grid := make([][]float64, rows)
	for i := range grid {
		grid[i] = cells[i*columns : (i+1)*columns]
	}
	return grid
}
