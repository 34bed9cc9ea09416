package measures

// SensitivityRun is the outcomes asked anew with one exclusion left away.
type SensitivityRun struct {
	Rule     string
	Added    Count // transports that come in
	None     string
	Outcomes []SensitivityOutcome
}

// SensitivityOutcome is one outcome of one contrast with all rules, and without the one left away. Ratio is a risk ratio, Shift
// that of numbers.
type SensitivityOutcome struct {
	Title, Group, Against string
	Unit                  string
	Shift                 bool // of numbers
	Main, Without         Effect
	P                     *float64 // without the rule
	None                  string
}

// sensitivity asks the outcomes again for each exclusion named. What a run tells is told against the main answer, so the
// transports that come in must themselves be no small count in any group; else the run is withheld.
func (c *cohort) sensitivity(main *Comparison) (runs []SensitivityRun, err error) {
	for _, name := range c.study.Sensitivity {
		run, err := c.without(name, main)
		if err != nil {
			return nil, err
		}
		runs = append(runs, run)
	}
	return runs, nil
}

func (c *cohort) without(name string, main *Comparison) (SensitivityRun, error) {
	run := SensitivityRun{Rule: name}
	study := c.study
	study.Exclude, study.Describe, study.Sensitivity = nil, nil, nil
	for _, rule := range c.study.Exclude {
		if rule.Name != name {
			study.Exclude = append(study.Exclude, rule)
		}
	}
	wider := newCohort(c.data, study)
	added := c.added(wider)
	run.Added.N = len(added)
	if len(added) == 0 {
		run.None = "no transport is set aside by this rule alone"
		return run, nil
	}
	if c.tells(name, added, main) {
		run.Added.Withheld = true
		run.None = "the transports that this rule alone sets aside are too few in a group: the two answers together would tell of them"
		return run, nil
	}
	return run, c.rerun(&run, wider, added, main)
}

// added lists the transports of the wider cohort that this one does not have.
func (c *cohort) added(wider *cohort) (all []int) {
	for _, i := range wider.members {
		if c.left[i] >= 0 {
			all = append(all, i)
		}
	}
	return all
}

// tells says whether the transports added make a small count: in a group, or against those whom the rule set aside.
func (c *cohort) tells(name string, added []int, main *Comparison) bool {
	for _, f := range main.Flow {
		if f.Kind == "exclude" && f.Name == name && (f.NotMet.Withheld || c.few(f.NotMet.N-len(added))) {
			return true
		}
	}
	return c.fewIn(added, func(int) int { return 0 })
}

// fewIn says whether transports make a small count in a table by group.
func (c *cohort) fewIn(added []int, level func(int) int) bool {
	counts := map[[2]int]int{}
	for _, i := range added {
		counts[[2]int{c.group[i], level(i)}]++
	}
	for _, n := range counts {
		if c.few(n) {
			return true
		}
	}
	return false
}

// rerun asks each outcome again. Of a flag or count the two answers together tell how many of those added had it: where that is few
// nothing is told. Of numbers no count is told.
func (c *cohort) rerun(run *SensitivityRun, wider *cohort, added []int, main *Comparison) error {
	t := newTabulation(wider)
	outcomes := t.outcomes()
	if err := t.protect(); err != nil {
		return err
	}
	for k, o := range outcomes {
		if main.Outcomes[k].Withheld != "" {
			run.Outcomes = append(run.Outcomes, SensitivityOutcome{Title: main.Outcomes[k].Title, None: main.Outcomes[k].Withheld})
			continue
		}
		if !o.number() && c.fewIn(added, o.level) {
			run.Outcomes = append(run.Outcomes, SensitivityOutcome{Title: main.Outcomes[k].Title, None: "too few of the transports that come in had it, or had it not: the two answers together would tell of them"})
			continue
		}
		answer, err := t.answer(o)
		if err != nil {
			return err
		}
		run.Outcomes = append(run.Outcomes, sideBySide(main.Outcomes[k], answer)...)
	}
	return nil
}

func sideBySide(main, without StudyOutcome) (all []SensitivityOutcome) {
	if without.Withheld != "" {
		return []SensitivityOutcome{{Title: main.Title, None: without.Withheld}}
	}
	for _, a := range main.Contrasts {
		for _, b := range without.Contrasts {
			if a.Group != b.Group {
				continue
			}
			one := SensitivityOutcome{Title: main.Title, Group: a.Group, Against: a.Against, Main: a.Ratio, Without: b.Ratio, P: b.P, Unit: "1"}
			if main.Number {
				one.Main, one.Without, one.Unit, one.Shift = a.Shift, b.Shift, main.Column.Unit, true
			}
			all = append(all, one)
		}
	}
	return all
}
