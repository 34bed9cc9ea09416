package measures

import (
	"tripwake/queries"
	"tripwake/queries/stats"
)

// FlowStep is one step from the rows read to the transports analysed. NotMet and NotRecorded are set aside at the step; Left
// are in after it. Kind is "records", "period", "include", "exclude", "exposure" or "analysed".
type FlowStep struct {
	Kind, Name, Words         string
	NotMet, NotRecorded, Left Count
}

// cohort is who is in a study. A transport that is not in has group -1.
type cohort struct {
	data    queries.StudyData
	study   queries.Study
	members []int // transports analysed
	group   []int // of each transport of the data
	left    []int // the step at which each transport was set aside, by index of steps; -1 for members
}

// step is one reason to set a transport aside: met says whether it goes on, missing whether it fails for want of a record.
type studyStep struct {
	kind, name, words string
	passes, missing   func(i int) bool
}

func never(int) bool { return false }

// steps lists the reasons in the order in which they are asked.
func steps(d queries.StudyData, s queries.Study, group func(int) int) []studyStep {
	var all []studyStep
	if s.From != "" || s.To != "" {
		all = append(all, studyStep{"period", "Months asked", period(s), func(i int) bool { return d.InPeriod[i] }, never})
	}
	for _, rule := range s.Include {
		all = append(all, studyStep{"include", rule.Name, rule.Words(), func(i int) bool { return d.Meets(i, rule.Condition) },
			func(i int) bool { return d.Missing(i, rule.Condition) }})
	}
	for _, rule := range s.Exclude {
		all = append(all, studyStep{"exclude", rule.Name, rule.Words(), func(i int) bool { return !d.Meets(i, rule.Condition) }, never})
	}
	exposure := queries.Condition{Column: s.Exposure.Column}
	return append(all, studyStep{"exposure", "In one of the groups compared", "by " + s.Exposure.Column, func(i int) bool { return group(i) >= 0 },
		func(i int) bool { return d.Missing(i, exposure) }})
}

func period(s queries.Study) string {
	switch {
	case s.From == "":
		return "up to " + MonthWords(s.To)
	case s.To == "":
		return "from " + MonthWords(s.From) + " on"
	}
	return MonthWords(s.From) + " to " + MonthWords(s.To)
}

func newCohort(d queries.StudyData, s queries.Study) *cohort {
	c := &cohort{data: d, study: s}
	group := func(i int) int {
		for g, rule := range s.Exposure.Groups {
			if d.Meets(i, rule.Condition) {
				return g
			}
		}
		return -1
	}
	all := steps(d, s, group)
	for i := range d.Len() {
		at := -1
		for k, step := range all {
			if !step.passes(i) {
				at = k
				break
			}
		}
		c.left, c.group = append(c.left, at), append(c.group, group(i))
		if at < 0 {
			c.members = append(c.members, i)
		}
	}
	return c
}

func (c *cohort) sizes() []int {
	sizes := make([]int, len(c.study.Exposure.Groups))
	for _, i := range c.members {
		sizes[c.group[i]]++
	}
	return sizes
}

// flow counts who was set aside at each step. The number analysed is always shown; of the others, as many are withheld as it
// takes that no small one can be worked out.
func (c *cohort) flow(records CohortRecords) ([]FlowStep, error) {
	all := steps(c.data, c.study, func(i int) int { return c.group[i] })
	flow := []FlowStep{{Kind: "read", Name: "Rows of transports read"},
		{Kind: "records", Name: "Repeated rows", NotMet: Count{N: records.Repeated}},
		{Kind: "records", Name: "Refused rows", NotMet: Count{N: records.Refused}},
		{Kind: "records", Name: "Rows that a later one corrects", NotMet: Count{N: records.Corrected}}}
	for k, step := range all {
		f := FlowStep{Kind: step.kind, Name: step.name, Words: step.words}
		for i, at := range c.left {
			switch {
			case at == k && step.missing(i):
				f.NotRecorded.N++
			case at == k:
				f.NotMet.N++
			}
		}
		flow = append(flow, f)
	}
	left := c.data.Len() + records.Corrected + records.Refused + records.Repeated
	for k := range flow {
		left -= flow[k].NotMet.N + flow[k].NotRecorded.N
		flow[k].Left.N = left
	}
	return flow, c.protectFlow(flow)
}

// protectFlow withholds small counts. What is left between two withheld ones would tell them, so it goes too.
func (c *cohort) protectFlow(flow []FlowStep) error {
	var counts [][]int
	for _, f := range flow {
		counts = append(counts, []int{f.NotMet.N}, []int{f.NotRecorded.N})
	}
	counts = append(counts, []int{len(c.members)})
	w, err := stats.Withhold(counts, c.study.SmallCell, len(counts)-1)
	if err != nil {
		return err
	}
	hidden := 0
	for k := range flow {
		flow[k].NotMet.Withheld, flow[k].NotRecorded.Withheld = w.Cells[2*k][0], w.Cells[2*k+1][0]
		hidden += marked(flow[k].NotMet) + marked(flow[k].NotRecorded)
	}
	before, last := 0, len(flow)-1
	for k := range flow {
		before += marked(flow[k].NotMet) + marked(flow[k].NotRecorded)
		flow[k].Left.Withheld = k < last && (w.All || before > 0 && before < hidden)
	}
	return nil
}

func marked(c Count) int {
	if c.Withheld {
		return 1
	}
	return 0
}

// clustering counts patients. Their number against that of transports tells how many moves were second ones.
func (c *cohort) clustering() Clustering {
	moves := map[int]int{}
	for _, i := range c.members {
		moves[c.data.Patient[i]]++
	}
	again := 0
	for _, n := range moves {
		if n > 1 {
			again++
		}
	}
	hide := c.few(again) || c.few(len(c.members)-len(moves)) || c.few(len(moves))
	return Clustering{Patients: Count{len(moves), hide}, MovedAgain: Count{again, hide}}
}

// few says whether a count is one of those that are withheld.
func (c *cohort) few(n int) bool { return n >= 1 && n <= c.study.SmallCell }
