package measures

import (
	"fmt"
	"slices"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// StudyModel is a regression of an outcome on the groups and on what is adjusted for, over the transports with all of it recorded.
type StudyModel struct {
	Name              string // "modified Poisson" or "logistic"
	Ratio             string // what its terms are: "risk ratio" or "odds ratio"
	Terms             []ModelTerm
	Complete, Missing Count
	Clusters          Count
	None              string   // why it could not be fitted; empty where it was
	Warning           string   // of the fit
	LeftOut           []string // covariates that could not be taken in, with the reason
}

// ModelTerm is one ratio. Group says that it is a group against the reference, which is what is asked; the others are there to
// adjust and are no effects to be read by themselves.
type ModelTerm struct {
	Name  string
	Group bool
	Ratio stats.Estimate
	P     float64
}

// exposed are the terms of groups.
func (m StudyModel) exposed() []ModelTerm {
	return slices.DeleteFunc(slices.Clone(m.Terms), func(t ModelTerm) bool { return !t.Group })
}

// covariate is one column of a model: 0 or 1 for a level, else the number itself.
type covariate struct {
	name  string
	cells queries.Cells
	level string // of a code
}

func (c covariate) value(i int) float64 {
	if c.level == "" {
		return c.cells.Number[i]
	}
	if c.cells.Text[i] == c.level {
		return 1
	}
	return 0
}

// covariates are the columns that a model of an outcome adjusts for: those asked, less the outcome and the exposure themselves.
func (t *tabulation) covariates(o outcome) (all []queries.Cells) {
	for _, name := range t.study.AdjustFor {
		if name != o.column.Name && name != t.study.Exposure.Column {
			all = append(all, t.data.Columns[name])
		}
	}
	return all
}

func complete(cells []queries.Cells, i int) bool {
	return !slices.ContainsFunc(cells, func(c queries.Cells) bool { return !c.Known[i] })
}

// models fits both regressions, if there is anything to adjust for: without, they would say what the contrasts say.
func (t *tabulation) models(o outcome) ([]StudyModel, error) {
	cells := t.covariates(o)
	if len(cells) == 0 {
		return nil, nil
	}
	var members []int
	for _, i := range t.members {
		if o.complete(i) {
			members = append(members, i)
		}
	}
	design, leftOut := t.design(cells, members)
	m := stats.Model{}
	for _, i := range members {
		m.Y = append(m.Y, 1-float64(o.level(i)))
		m.Cluster = append(m.Cluster, t.data.Patient[i])
		m.Rows = append(m.Rows, design.row(t, i))
	}
	var all []StudyModel
	for _, kind := range []StudyModel{{Name: "modified Poisson", Ratio: "risk ratio"}, {Name: "logistic", Ratio: "odds ratio"}} {
		kind.LeftOut = leftOut
		t.countModel(&kind, o, members)
		t.fit(&kind, m, design)
		all = append(all, kind)
	}
	return all, nil
}

// modelDesign is the columns of a model: groups first, then covariates.
type modelDesign struct {
	groups     []int
	covariates []covariate
}

func (d modelDesign) row(t *tabulation, i int) []float64 {
	var row []float64
	for _, g := range d.groups {
		in := 0.0
		if t.group[i] == g {
			in = 1
		}
		row = append(row, in)
	}
	for _, c := range d.covariates {
		row = append(row, c.value(i))
	}
	return row
}

// design takes in what varies among complete transports; a code has a column for each level but its most frequent.
func (t *tabulation) design(cells []queries.Cells, members []int) (d modelDesign, leftOut []string) {
	for g := range t.study.Exposure.Groups {
		if g != t.reference() && slices.ContainsFunc(members, func(i int) bool { return t.group[i] == g }) {
			d.groups = append(d.groups, g)
		}
	}
	for _, c := range cells {
		title := ColumnTitle(c.Column)
		found := covariatesOf(c, title, members)
		if len(found) == 0 {
			leftOut = append(leftOut, title+" (the same in all complete transports)")
		}
		d.covariates = append(d.covariates, found...)
	}
	return d, leftOut
}

func covariatesOf(c queries.Cells, title string, members []int) (all []covariate) {
	if c.Column.Kind == queries.CodeColumn || c.Column.Kind == queries.TextColumn {
		n := map[string]int{}
		for _, i := range members {
			n[c.Text[i]]++
		}
		levels, most := occurring(c, members), ""
		for _, l := range levels {
			if most == "" || n[l] > n[most] {
				most = l
			}
		}
		for _, l := range levels {
			if l != most {
				all = append(all, covariate{fmt.Sprintf("%s: %s against %s", title, LevelWords(c.Column, l), LevelWords(c.Column, most)), c, l})
			}
		}
		return all
	}
	if slices.ContainsFunc(members, func(i int) bool { return c.Number[i] != c.Number[members[0]] }) {
		name := title
		if unit := plainUnit(c.Column.Unit); isNumber(c.Column) {
			name = fmt.Sprintf("%s, by 1 %s more", title, unit)
			if unit == "" {
				name = title + ", by 1 more"
			}
		}
		all = append(all, covariate{name: name, cells: c})
	}
	return all
}

// countModel fills how many transports are complete, as far as that may be told.
func (t *tabulation) countModel(m *StudyModel, o outcome, members []int) {
	_, missing := t.counts(o.completeTable, 1)
	patients := map[int]bool{}
	for _, i := range members {
		patients[t.data.Patient[i]] = true
	}
	m.Missing = missing
	m.Complete = Count{len(members), missing.Withheld}
	m.Clusters = Count{len(patients), missing.Withheld || t.few(len(members)-len(patients)) || t.few(len(patients))}
}

// fit fills the terms, or why there are none. The risk of being told a count: none, since terms are adjusted; but a model of very
// few is not fitted.
func (t *tabulation) fit(m *StudyModel, model stats.Model, d modelDesign) {
	regress := stats.LogisticRegression
	if m.Ratio == "risk ratio" {
		regress = stats.PoissonRegression // a risk is modelled as a rate; the variance over clusters makes its interval right
	}
	if len(d.groups) == 0 || t.few(len(model.Y)) || len(model.Y) == 0 {
		m.None = "too few transports have everything recorded"
		return
	}
	f, err := regress(model)
	if err != nil {
		m.None = reasonOf(err)
		return
	}
	m.Warning = f.Warning
	reference := t.study.Exposure.Reference
	for k, term := range f.Terms[1:] {
		one := ModelTerm{Ratio: term.Ratio, P: term.P}
		if k < len(d.groups) {
			one.Group, one.Name = true, t.study.Exposure.Groups[d.groups[k]].Name+" against "+reference
		} else {
			one.Name = d.covariates[k-len(d.groups)].name
		}
		m.Terms = append(m.Terms, one)
	}
}
