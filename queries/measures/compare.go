package measures

import (
	"context"
	"fmt"

	"tripwake/queries"
)

// Count is a number of transports. Withheld says that it must not be printed, because it is small or a small one could be
// worked out from it.
type Count struct {
	N        int
	Withheld bool
}

// Comparison is what a research report tells: who is in the cohort and why, and what differs between its groups.
type Comparison struct {
	Study           queries.Study
	Flow            []FlowStep
	Groups          []StudyGroup
	Reference       int // index of the group that others are compared with
	N               int // transports analysed
	Patients        Clustering
	None            string // why groups are not compared; empty where they are
	Characteristics []Characteristic
	Outcomes        []StudyOutcome
	Survival        StudySurvival
	Sensitivity     []SensitivityRun
	Tests           int // comparisons with a p-value
}

// StudyGroup is one of the groups that are compared. N is withheld where a group is so small that nothing is compared.
type StudyGroup struct {
	Name, Words string
	N           Count
}

// Clustering says how many patients of the cohort were moved more than once; their transports are one cluster in models.
type Clustering struct{ Patients, MovedAgain Count }

// CohortRecords is what became of the rows of the table of transports that were read, from the ledger.
type CohortRecords struct{ Read, Repeated, Refused, Corrected int }

// StudySource is what a comparison needs of package queries; *queries.Reader is one.
type StudySource interface {
	StudyData(ctx context.Context, s queries.Study) (queries.StudyData, error)
}

// Compare answers a study. A group that has transports, but no more than Study.SmallCell, is not compared, and nor are the
// others then: None says so. It passes on the errors of the store and refuses a study that does not hold together.
func Compare(ctx context.Context, from StudySource, study queries.Study, records CohortRecords) (Comparison, error) {
	data, err := from.StudyData(ctx, study)
	if err != nil {
		return Comparison{}, err
	}
	c := newCohort(data, study)
	out := Comparison{Study: study, N: len(c.members)}
	if out.Flow, err = c.flow(records); err != nil {
		return out, err
	}
	out.describe(c)
	if out.None != "" {
		return out, nil
	}
	if err := out.compare(c); err != nil {
		return out, fmt.Errorf("comparison of %s: %w", study.Exposure.Column, err)
	}
	out.countTests()
	return out, nil
}

// describe fills groups and patients, and says why there is nothing to compare.
func (out *Comparison) describe(c *cohort) {
	small := c.study.SmallCell
	sizes := c.sizes()
	for g, rule := range c.study.Exposure.Groups {
		out.Groups = append(out.Groups, StudyGroup{Name: rule.Name, Words: rule.Words(), N: Count{N: sizes[g]}})
		if rule.Name == c.study.Exposure.Reference {
			out.Reference = g
		}
		if sizes[g] > 0 && sizes[g] <= small {
			out.None = fmt.Sprintf("the group %s has transports, but no more than %d: groups so small are not compared, and their sizes are withheld", rule.Name, small)
		}
	}
	if out.N == 0 {
		out.None = "no transport is in the cohort"
	}
	if out.None != "" && out.N > 0 {
		for g := range out.Groups {
			out.Groups[g].N.Withheld = true
		}
	}
	out.Patients = c.clustering()
}

// compare fills what is told of the groups. All tables are protected together, since a count of one may follow from others.
func (out *Comparison) compare(c *cohort) (err error) {
	t := newTabulation(c)
	describing := t.characteristics()
	outcomes := t.outcomes()
	course := t.course()
	if err := t.protect(); err != nil {
		return err
	}
	if out.Characteristics, err = t.describe(describing); err != nil {
		return err
	}
	for _, o := range outcomes {
		answer, err := t.answer(o)
		if err != nil {
			return fmt.Errorf("outcome %s: %w", o.column.Name, err)
		}
		out.Outcomes = append(out.Outcomes, answer)
	}
	if out.Survival, err = t.survival(course); err != nil {
		return err
	}
	out.Sensitivity, err = c.sensitivity(out)
	return err
}

// countTests counts the comparisons that have a p-value.
func (out *Comparison) countTests() {
	out.Tests = 0
	for _, o := range out.Outcomes {
		for _, k := range o.Contrasts {
			if k.P != nil {
				out.Tests++
			}
		}
		for _, m := range o.Models {
			out.Tests += len(m.exposed())
		}
	}
	if out.Survival.LogRank != nil {
		out.Tests++
	}
	for _, run := range out.Sensitivity {
		for _, o := range run.Outcomes {
			if o.P != nil {
				out.Tests++
			}
		}
	}
}

// ExpectedFalse is how many comparisons would have p under 0.05 by chance if groups differed in nothing.
func (out Comparison) ExpectedFalse() string { return fixed(0.05*float64(out.Tests), 1) }
