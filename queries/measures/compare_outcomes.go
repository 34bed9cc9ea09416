package measures

import (
	"errors"
	"fmt"
	"strings"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// StudyOutcome is one outcome over the groups. A flag or a count is asked whether it occurred (at least once), a number how
// large it was.
type StudyOutcome struct {
	Column    queries.ResearchColumn
	Title     string
	Number    bool
	Groups    []GroupOutcome
	Contrasts []Contrast
	Models    []StudyModel
	Withheld  string // why effects are not told; empty where they are
}

// GroupOutcome is the outcome of one group: how many of its transports have it recorded, and how many had the event.
type GroupOutcome struct {
	Group                    string
	Judged, Unjudged, Events Count
	Risk, Exact              *stats.Estimate // 0 to 1, Wilson; the same with the exact interval of Clopper and Pearson
	Spread                   Spread
}

// Effect is an estimate, or why there is none. Both are empty where it was not asked for.
type Effect struct {
	stats.Estimate
	None string
	Told bool
}

// Contrast compares a group with the reference. Of a flag or count: Difference, Ratio, Odds, OddsExact and ChiSquare; of a
// number: Shift and MeanRatio. P is that of Fisher's test or that of ranks.
type Contrast struct {
	Group, Against                     string
	Difference, Ratio, Odds, OddsExact Effect
	Shift, MeanRatio                   Effect
	ChiSquare                          *stats.Test
	P                                  *float64
	Method                             string
	Warnings                           []string
}

// outcome is an outcome whose tables wait to be protected.
type outcome struct {
	column               queries.ResearchColumn
	cells                queries.Cells
	table, completeTable int
	complete             func(i int) bool // the outcome and all that is adjusted for are recorded
}

// Levels of the table of an outcome.
const (
	levelEvent = iota
	levelNone
	levelUnjudged
)

func (t *tabulation) outcomes() (all []outcome) {
	for _, name := range t.study.Outcomes {
		o := outcome{column: t.data.Columns[name].Column, cells: t.data.Columns[name]}
		o.table = t.add(outcomeLevels, o.level)
		covariates := t.covariates(o)
		o.complete = func(i int) bool { return o.cells.Known[i] && complete(covariates, i) }
		o.completeTable = t.add([]string{"complete", "incomplete"}, func(i int) int {
			if o.complete(i) {
				return 0
			}
			return 1
		})
		all = append(all, o)
	}
	return all
}

var outcomeLevels = []string{"event", "no event", "not recorded"}

// level is the row of a transport. A number is an event where it is recorded.
func (o outcome) level(i int) int {
	switch {
	case !o.cells.Known[i]:
		return levelUnjudged
	case o.number() || o.cells.Number[i] > 0:
		return levelEvent
	}
	return levelNone
}

// number says that the outcome is asked how large it was.
func (o outcome) number() bool { return o.column.Kind == queries.NumberColumn }

const withheldWords = "one of its counts is small (those not recorded are counted too), and every estimate would tell it"

func (t *tabulation) answer(o outcome) (StudyOutcome, error) {
	out := StudyOutcome{Column: o.column, Title: ColumnTitle(o.column), Number: o.number()}
	if o.column.Kind == queries.CountColumn {
		out.Title += ", at least one"
	}
	events, _ := t.counts(o.table, levelEvent)
	none, _ := t.counts(o.table, levelNone)
	unjudged, _ := t.counts(o.table, levelUnjudged)
	for g, rule := range t.study.Exposure.Groups {
		group := GroupOutcome{Group: rule.Name, Events: events[g], Unjudged: unjudged[g],
			Judged: Count{events[g].N + none[g].N, unjudged[g].Withheld}}
		if out.Number {
			group.Events = Count{}
		}
		out.Groups = append(out.Groups, group)
	}
	if out.Number {
		return out, t.compareNumbers(&out, o)
	}
	if !t.open(o.table) {
		out.Withheld = withheldWords
		return out, nil
	}
	if err := t.compareRisks(&out); err != nil {
		return out, err
	}
	var err error
	out.Models, err = t.models(o)
	return out, err
}

// compareRisks fills risks and their contrasts; every count of the table may be shown.
func (t *tabulation) compareRisks(out *StudyOutcome) error {
	for g := range out.Groups {
		if n := out.Groups[g].Judged.N; n > 0 {
			wilson, err1 := stats.Wilson(float64(out.Groups[g].Events.N), float64(n))
			exact, err2 := stats.ClopperPearson(float64(out.Groups[g].Events.N), float64(n))
			if err := errors.Join(err1, err2); err != nil {
				return err
			}
			out.Groups[g].Risk, out.Groups[g].Exact = &wilson, &exact
		}
	}
	reference := out.Groups[t.reference()]
	for g, group := range out.Groups {
		if g == t.reference() || group.Judged.N == 0 || reference.Judged.N == 0 {
			continue
		}
		c, err := riskContrast(float64(group.Events.N), float64(group.Judged.N), float64(reference.Events.N), float64(reference.Judged.N))
		if err != nil {
			return err
		}
		c.Group, c.Against = group.Group, reference.Group
		out.Contrasts = append(out.Contrasts, c)
	}
	return nil
}

// riskContrast compares x1 of n1 with x2 of n2.
func riskContrast(x1, n1, x2, n2 float64) (Contrast, error) {
	c := Contrast{Method: "Fisher's exact test",
		Difference: effect(stats.NewcombeDifference(x1, n1, x2, n2)),
		Ratio:      effect(stats.RiskRatio(x1, n1, x2, n2)),
		Odds:       effect(stats.OddsRatio(x1, n1, x2, n2)),
		OddsExact:  effect(stats.OddsRatioConditional(x1, n1, x2, n2))}
	fisher, err := stats.Fisher(x1, n1, x2, n2)
	if err != nil {
		return c, err
	}
	c.P = &fisher.P
	if x := x1 + x2; x == 0 || x == n1+n2 {
		c.P = nil // nobody or everybody: there is nothing to test
		c.Warnings = append(c.Warnings, "nobody or everybody had the event: there is nothing to test")
		return c, nil
	}
	if chi, err := stats.ChiSquare(x1, n1, x2, n2, false); err == nil { // refused only where nobody or everybody is affected
		c.ChiSquare = &chi
		if chi.Warning != "" {
			c.Warnings = append(c.Warnings, "chi-square: "+chi.Warning)
		}
	}
	return c, nil
}

// effect takes a refusal for the reason why there is no estimate.
func effect(e stats.Estimate, err error) Effect {
	if err != nil {
		return Effect{None: reasonOf(err), Told: true}
	}
	return Effect{Estimate: e, Told: true}
}

// reasonOf is the second half of a refusal of package stats: what was expected.
func reasonOf(err error) string {
	text := strings.TrimPrefix(err.Error(), "stats: ")
	if _, after, ok := strings.Cut(text, ": expected "); ok {
		return "needs " + strings.TrimPrefix(after, "expected ")
	}
	return text
}

// compareNumbers fills medians and their contrasts. They tell no count, so they stand where only counts are withheld; a group
// with as few values as are withheld has none.
func (t *tabulation) compareNumbers(out *StudyOutcome, o outcome) (err error) {
	for g := range out.Groups {
		if out.Groups[g].Spread, err = t.spread(t.values(o.cells, g)); err != nil {
			return err
		}
	}
	reference := t.reference()
	if !out.Groups[reference].Spread.Known {
		out.Withheld = tooFew(out.Groups[reference])
		return nil
	}
	for g, group := range out.Groups {
		if g == reference {
			continue
		}
		if !group.Spread.Known {
			out.Withheld = tooFew(group)
			continue
		}
		c := numberContrast(t.values(o.cells, g), t.values(o.cells, reference), o.column.Unit == "1")
		c.Group, c.Against = group.Group, out.Groups[reference].Group
		out.Contrasts = append(out.Contrasts, c)
	}
	return nil
}

func tooFew(g GroupOutcome) string {
	if g.Judged.N == 0 {
		return fmt.Sprintf("no value is recorded in the group %s", g.Group)
	}
	return fmt.Sprintf("too few values are recorded in the group %s", g.Group)
}

// numberContrast compares values by ranks; ratios also by their geometric means.
func numberContrast(x, y []float64, ratio bool) Contrast {
	c := Contrast{Method: "Mann–Whitney test"}
	ranks, err := stats.MannWhitney(x, y)
	c.Shift = effect(ranks.Shift, err)
	if err == nil {
		c.P, c.Method = &ranks.P, "Mann–Whitney test, "+strings.TrimPrefix(ranks.Method, "mann-whitney ")
		if ranks.Shift.Warning != "" {
			c.Warnings = append(c.Warnings, ranks.Shift.Warning)
		}
	}
	if ratio && x[0] > 0 && y[0] > 0 { // sorted; a geometric mean needs values above 0
		c.MeanRatio = effect(stats.GeometricMeanRatio(x, y))
	}
	return c
}
