package measures

import (
	"slices"
	"strings"

	"tripwake/queries/stats"
)

// StudySurvival is time from the begin of non-invasive support to escalation by group, ended by the end of support.
type StudySurvival struct {
	Groups  []SurvivalGroup
	LogRank *stats.Test
	None    string // why it is not told
	Coarse  bool   // the curves go down in steps of more transports than are withheld
}

// SurvivalGroup is the curve of one group: at each step the share still without escalation, with its interval.
type SurvivalGroup struct {
	Group     string
	N, Events int
	Steps     []SurvivalPoint
	Median    *float64 // min; nil where the curve does not come down to one half
	Last      float64  // min up to which the curve is told
}

// SurvivalPoint is the curve from Minute on. AtRisk are those under observation just after it. Low and High are nil where there is
// no interval.
type SurvivalPoint struct {
	Minute, Free float64
	Low, High    *float64
	AtRisk       int
}

// courseTable is the table of who was followed, and who escalated.
type courseTable struct{ table int }

func (t *tabulation) course() courseTable {
	return courseTable{t.add(outcomeLevels, t.followedLevel)}
}

// followedLevel follows those whom the measure of escalations judges.
func (t *tabulation) followedLevel(i int) int {
	cells := t.data.Columns["escalations"]
	switch {
	case !cells.Known[i] || t.data.Followed[i] < 0:
		return levelUnjudged
	case cells.Number[i] == 1:
		return levelEvent
	}
	return levelNone
}

func (t *tabulation) survival(c courseTable) (StudySurvival, error) {
	out := StudySurvival{Coarse: t.study.SmallCell > 0}
	var times []float64
	var events []bool
	var group []int
	for k, i := range t.members {
		if level := t.tables[c.table][k]; level != levelUnjudged {
			times, events, group = append(times, t.data.Followed[i]), append(events, level == levelEvent), append(group, t.group[i])
		}
	}
	switch {
	case len(times) == 0:
		out.None = "no transport began on non-invasive support"
		return out, nil
	case !t.open(c.table):
		out.None = withheldWords
		return out, nil
	}
	for g, rule := range t.study.Exposure.Groups {
		if err := out.add(rule.Name, times, events, group, g, t.study.SmallCell); err != nil {
			return out, err
		}
	}
	test, err := stats.LogRank(times, events, numbered(group))
	if err != nil {
		out.None = "no log-rank test: " + strings.TrimPrefix(err.Error(), "stats: ")
		return out, nil
	}
	out.LogRank = &test
	return out, nil
}

// numbered counts the groups that occur from 0, without a gap.
func numbered(group []int) []int {
	occur := slices.Compact(slices.Sorted(slices.Values(group)))
	out := make([]int, len(group))
	for i, g := range group {
		out[i] = slices.Index(occur, g)
	}
	return out
}

func (out *StudySurvival) add(name string, times []float64, events []bool, group []int, g, small int) error {
	var own []float64
	var ended []bool
	for i := range times {
		if group[i] == g {
			own, ended = append(own, times[i]), append(ended, events[i])
		}
	}
	if len(own) == 0 {
		return nil
	}
	curve, err := stats.KaplanMeier(own, ended)
	if err != nil {
		return err
	}
	one := SurvivalGroup{Group: name, N: curve.N, Events: curve.Events, Last: curve.Last}
	if curve.HasMedian {
		one.Median = &curve.Median
	}
	one.Steps = coarse(curve, small)
	if small > 0 {
		one.Last = 0
		if n := len(one.Steps); n > 0 {
			one.Last = one.Steps[n-1].Minute
		}
	}
	out.Groups = append(out.Groups, one)
	return nil
}

// coarse gives the steps of a curve at which, since the one given before, more than small transports had the event, and either
// nobody else left or more than small did. The number at risk at two steps then tells of no small count.
func coarse(s stats.Survival, small int) []SurvivalPoint {
	points := []SurvivalPoint{{Minute: 0, Free: 1, AtRisk: s.N}}
	events, atRisk := 0, s.N
	for _, step := range s.Steps {
		events += step.Events
		after := step.AtRisk - step.Events
		others := atRisk - after - events
		if events <= small || others > 0 && others <= small || after > 0 && after <= small {
			continue
		}
		p := SurvivalPoint{Minute: step.Time, Free: step.Survival, AtRisk: after}
		if step.HasInterval {
			low, high := step.Low, step.High
			p.Low, p.High = &low, &high
		}
		points, events, atRisk = append(points, p), 0, after
	}
	return points
}
