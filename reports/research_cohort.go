package reports

import (
	"fmt"
	"time"

	"tripwake/queries"
	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// flowFigure draws who was set aside at each step, with the table that says the same.
func (a *artist) flowFigure(c measures.Comparison) (figure, error) {
	fig := figure{Title: "From rows read to transports analysed", ID: "flow", Table: flowTable(c),
		Caption: "Rules in the order in which they are asked; each sets aside of those that are left. ∗ withheld: a small count, or one that would tell a small one."}
	d := charts.Flow{Frame: charts.Frame{Width: columnWidth, ID: "cohort-flow", Title: fig.Title,
		Desc: "Boxes from rows read to transports analysed, with those set aside at each step; the table holds every number."}}
	for k, f := range c.Flow {
		if f.Kind == "records" {
			continue // records, not transports: one box below the rows read
		}
		box := charts.FlowBox{Name: stepWords(f), Number: f.Left.Text()}
		if f.Kind == "read" {
			box = charts.FlowBox{Name: f.Name, Number: f.Left.Text(), Aside: recordsAside(c.Flow)}
		}
		if k == len(c.Flow)-1 {
			box.Name = "Analysed"
		}
		d.Steps = append(d.Steps, box)
	}
	d.Steps = asideBefore(d.Steps, c.Flow)
	for _, g := range c.Groups {
		d.Groups = append(d.Groups, charts.FlowBox{Name: g.Name, Number: g.N.Text()})
	}
	svg, err := a.renderer.Flow(d)
	fig.Drawing = picture(svg)
	return fig, err
}

// asideBefore hangs what a step sets aside on the box before it, where the arrow branches off, and puts a box for the transports
// in the store after the rows read.
func asideBefore(steps []charts.FlowBox, flow []measures.FlowStep) []charts.FlowBox {
	stored := charts.FlowBox{Name: "Transports in the store"}
	var rules []measures.FlowStep
	for _, f := range flow {
		switch f.Kind {
		case "read":
		case "records":
			stored.Number = f.Left.Text()
		default:
			rules = append(rules, f)
		}
	}
	all := append([]charts.FlowBox{steps[0], stored}, steps[1:]...)
	for k, f := range rules {
		all[k+1].Aside = asideOf(f)
	}
	return all
}

func recordsAside(flow []measures.FlowStep) (lines []string) {
	for _, f := range flow {
		if f.Kind == "records" {
			lines = append(lines, fmt.Sprintf("%s: %s", f.Name, f.NotMet.Text()))
		}
	}
	return lines
}

func asideOf(f measures.FlowStep) []string {
	what := map[string]string{"include": "Not met: ", "exclude": "Excluded, " + f.Name + ": ", "exposure": "In none of the groups: ", "period": "In other months: "}[f.Kind]
	lines := []string{what + f.NotMet.Text()}
	if f.NotRecorded.N > 0 || f.NotRecorded.Withheld {
		lines = append(lines, "Not recorded: "+f.NotRecorded.Text())
	}
	return lines
}

func stepWords(f measures.FlowStep) string {
	if f.Kind == "exclude" {
		return "Left without: " + f.Name
	}
	return f.Name
}

func flowTable(c measures.Comparison) table {
	t := table{Caption: "Rows and transports at each step", Head: columns("Step", "Set aside#", "Not recorded#", "Left#")}
	for k, f := range c.Flow {
		class, aside, missing := "", f.NotMet.Text(), ""
		if f.Kind == "read" {
			aside = ""
		}
		if f.NotRecorded.N > 0 || f.NotRecorded.Withheld {
			missing = f.NotRecorded.Text()
		}
		if k == len(c.Flow)-1 {
			class = "total"
		}
		t.add(class, stepWords(f), aside, missing, f.Left.Text())
	}
	for _, g := range c.Groups {
		t.add("", "of these "+g.Name, "", "", g.N.Text())
	}
	return t
}

// rulesTable says what each rule asks.
func rulesTable(c measures.Comparison) table {
	t := table{Caption: "Rules of the cohort, in order", Class: "wordy", Head: columns("Rule", "What it asks", "How it is taken")}
	add := func(rules []queries.Rule, how string) {
		for _, r := range rules {
			t.add("", r.Name, r.Words(), how)
		}
	}
	add(c.Study.Include, "must be met; not recorded is not met")
	add(c.Study.Exclude, "must not be met; not recorded stays in")
	return t
}

// cohortTable says how the groups are made.
func cohortTable(c measures.Comparison) table {
	t := table{Caption: "Groups", Class: "wordy", Head: columns("Group", "Made by", "Transports#")}
	for g, group := range c.Groups {
		name := group.Name
		if g == c.Reference {
			name += " (reference)"
		}
		t.add("", name, group.Words, group.N.Text())
	}
	return t
}

// researchRun says how the report was made, so that it can be made again.
func researchRun(in ResearchInput) (run, inputs table) {
	run = table{Caption: "This run", Class: "hashes", Head: columns("", "Value")}
	run.add("", "Program version", orDash(in.Version))
	run.add("", "Settings, SHA-256", orDash(in.SettingsHash))
	run.add("", "Records as of the load at", in.GeneratedAt.UTC().Format(time.DateOnly+" 15:04")+" UTC")
	inputs = table{Caption: "Files that the records came from", Class: "hashes inputs", Head: columns("File", "SHA-256")}
	for _, file := range in.Inputs {
		inputs.add("", file.Name, file.SHA256)
	}
	return run, inputs
}
