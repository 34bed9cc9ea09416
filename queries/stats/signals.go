package stats

// Names of the rules that find signals.
const (
	RuleBeyond       = "point beyond 3 sigma"
	RuleEight        = "8 in a row on one side"
	RuleLongRun      = "long run"
	RuleFewCrossings = "few crossings"
)

// runLength is how many points on one side make a signal.
const runLength = 8

// Signal is a pattern that chance alone seldom makes. First and Last are the
// indexes (from 0) of its first and last point; Up says that it lies above the
// centre (for "few crossings" it means nothing and is false).
type Signal struct {
	Rule        string
	First, Last int
	Up          bool
}

// usable says that a point has all that a rule needs.
func (p Point) usable() bool { return p.HasValue && p.HasLimits }

// beyond finds the points strictly outside their limits, both rounded to 1e-9.
func beyond(points []Point) []Signal {
	var found []Signal
	for i, p := range points {
		if !p.usable() {
			continue
		}
		if up := compare9(p.Value, p.Upper) > 0; up || compare9(p.Value, p.Lower) < 0 {
			found = append(found, Signal{RuleBeyond, i, i, up})
		}
	}
	return found
}

// run is a maximal stretch of points on one side of the centre.
type run struct {
	first, last, length int
	up                  bool
}

// runs cuts a phase into runs. A point on the centre line (after rounding to
// 1e-9) and a point without a value neither break a run nor count in it.
func runs(points []Point, ph Phase) []run {
	var out []run
	for i := ph.Start; i < ph.End; i++ {
		p := points[i]
		if !p.usable() {
			continue
		}
		side := compare9(p.Value, p.Centre)
		if side == 0 {
			continue
		}
		if k := len(out) - 1; k >= 0 && out[k].up == (side > 0) {
			out[k].last, out[k].length = i, out[k].length+1
			continue
		}
		out = append(out, run{i, i, 1, side > 0})
	}
	return out
}

// inARow finds the runs of at least 8, each once, whole.
func inARow(points []Point, ph Phase) []Signal {
	var found []Signal
	for _, r := range runs(points, ph) {
		if r.length >= runLength {
			found = append(found, Signal{RuleEight, r.first, r.last, r.up})
		}
	}
	return found
}

// findSignals applies the rules of a control chart: single points first, then
// runs by phase.
func findSignals(points []Point, phases []phase) []Signal {
	found := beyond(points)
	for _, ph := range phases {
		found = append(found, inARow(points, ph.Phase)...)
	}
	return found
}

// ExpectedFalseSignals is how many signals a control chart of k points gives
// on average when nothing has changed: k × 0.0027 points beyond 3 sigma, plus
// 2^-7 + (k-8) 2^-8 runs of 8 or more (0 for k < 8). An approximation: it
// takes points for independent, normal and as often above the centre as
// below, and limits for known; counts with small expectation and limits from
// few points differ. Several charts: add. k at or below 0 gives 0. Source:
// own derivation; 0.0027 is the normal tail beyond 3.
func ExpectedFalseSignals(k int) float64 {
	if k <= 0 {
		return 0
	}
	expected := float64(k) * normalTwoSidedP(sigmas)
	if k >= runLength {
		expected += 1.0/128 + float64(k-runLength)/256
	}
	return expected
}
