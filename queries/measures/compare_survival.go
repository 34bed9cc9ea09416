package measures

import (
	"maps"
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
	one.Steps = coarse(curve, own, ended, small)
	if small > 0 {
		one.Last = 0
		if n := len(one.Steps); n > 0 {
			one.Last = one.Steps[n-1].Minute
		}
	}
	out.Groups = append(out.Groups, one)
	return nil
}

// coarse gives the points at which a curve is told. With nothing withheld these are its steps. Else they are the moments at which,
// since the one given before, more than small transports had the event, nobody else left or more than small did, and nobody or more
// than small are left: shares and numbers at risk then tell of no small count.
func coarse(s stats.Survival, times []float64, events []bool, small int) []SurvivalPoint {
	points := []SurvivalPoint{{Minute: 0, Free: 1, AtRisk: s.N}}
	had, left, atRisk, steps := 0, 0, s.N, s.Steps
	current := SurvivalPoint{Free: 1}
	for _, moment := range moments(times, events) {
		had, left, atRisk = had+moment.had, left+moment.left, atRisk-moment.had-moment.left
		if moment.had > 0 {
			current, steps = survivalPoint(steps[0]), steps[1:]
		}
		tells := left > 0 && left <= small || atRisk > 0 && atRisk <= small
		if had <= small || small > 0 && tells || small == 0 && moment.had == 0 {
			continue
		}
		current.Minute, current.AtRisk = moment.time, atRisk
		points, had, left = append(points, current), 0, 0
	}
	return points
}

func survivalPoint(step stats.SurvivalStep) SurvivalPoint {
	p := SurvivalPoint{Free: step.Survival}
	if step.HasInterval {
		p.Low, p.High = &step.Low, &step.High
	}
	return p
}

// moment is how many had the event at a time, and how many left without it.
type moment struct {
	time      float64
	had, left int
}

func moments(times []float64, events []bool) (all []moment) {
	at := map[float64]*moment{}
	for i, t := range times {
		if at[t] == nil {
			at[t] = &moment{time: t}
		}
		if events[i] {
			at[t].had++
		} else {
			at[t].left++
		}
	}
	for _, t := range slices.Sorted(maps.Keys(at)) {
		all = append(all, *at[t])
	}
	return all
}
