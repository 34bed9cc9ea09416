package reports

import (
	"context"
	"fmt"
	"io"
	"strings"

	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// researchPage is the research report as its templates take it: words, ready numbers and drawings.
type researchPage struct {
	Shell                  shell
	Team, Question, Span   string
	Notice, Internal, None string
	Small                  int
	Contents               []link
	Glance                 figure
	Numbers                table // effects on numbers, which have no common axis
	Flow                   figure
	Rules, Cohort          table
	Patients               string
	Traits                 table
	TraitNotes             []string
	Outcomes               []outcomeView
	Course                 figure
	CourseNotes            []string
	Sensitivity            []table
	SensitivityNotes       []string
	Tests                  string
	Checklist, Run, Inputs table
}

// Research writes the report for a researcher: one HTML file without script or outside reference. It holds no key of a patient or
// transport, no narrative and no date of one.
//
// It refuses an incomplete input and passes on the errors of the store; nothing is written then.
func Research(ctx context.Context, w io.Writer, in ResearchInput) error {
	in, err := in.complete()
	if err != nil {
		return err
	}
	found, err := measures.Compare(ctx, in.Reader, in.Study, in.Records)
	if err != nil {
		return fmt.Errorf("research report: %w", err)
	}
	first, last, err := in.Reader.Period(ctx)
	if err != nil {
		return fmt.Errorf("research report: %w", err)
	}
	renderer, err := charts.NewRenderer()
	if err != nil {
		return fmt.Errorf("research report: %w", err)
	}
	if in.Interactive {
		renderer.Enliven()
	}
	page, err := composeResearch(in, found, first, last, renderer)
	if err != nil {
		return fmt.Errorf("research report: %w", err)
	}
	return render(w, "research", "research", page, renderer)
}

// composeResearch puts the answers into their places, in the order of the document.
func composeResearch(in ResearchInput, c measures.Comparison, first, last string, renderer *charts.Renderer) (researchPage, error) {
	page := researchPage{Team: in.Team, Notice: in.Notice, None: capital(c.None), Small: in.Study.SmallCell,
		Question: questionOf(c), Span: spanOf(in, first, last), Patients: patientsWords(c)}
	if in.Study.SmallCell == 0 {
		page.Internal = "For internal use only: small counts are shown. Do not pass this copy on."
	}
	var err error
	if page.Shell, err = newShell(fmt.Sprintf("%s: %s", in.Team, page.Question), in.Paper, in.Interactive); err != nil {
		return page, err
	}
	a := &artist{renderer: renderer}
	if page.Flow, err = a.flowFigure(c); err != nil {
		return page, err
	}
	page.Rules, page.Cohort = rulesTable(c), cohortTable(c)
	page.Checklist = checklist(c)
	page.Run, page.Inputs = researchRun(in)
	if c.None == "" {
		if err := a.compared(&page, c); err != nil {
			return page, err
		}
	}
	page.Contents = researchContents(page)
	return page, nil
}

// compared fills what is told of the groups.
func (a *artist) compared(page *researchPage, c measures.Comparison) (err error) {
	if page.Glance, err = a.glance(c); err != nil {
		return err
	}
	page.Numbers = numbersTable(c)
	page.Traits, page.TraitNotes = traitsTable(c)
	for _, o := range c.Outcomes {
		page.Outcomes = append(page.Outcomes, outcomeOf(c, o))
	}
	if page.Course, err = a.courseFigure(c); err != nil {
		return err
	}
	page.CourseNotes = courseNotes(c)
	page.Sensitivity, page.SensitivityNotes = sensitivityTables(c)
	page.Tests = testsWords(c)
	return nil
}

// questionOf is the heading: what is compared.
func questionOf(c measures.Comparison) string {
	var names []string
	for _, g := range c.Groups {
		names = append(names, g.Name)
	}
	return "Transports compared by " + words(c.Study.Exposure.Column) + ": " + strings.Join(names, ", ")
}

func spanOf(in ResearchInput, first, last string) string {
	if in.Study.From != "" {
		first = in.Study.From
	}
	if in.Study.To != "" {
		last = in.Study.To
	}
	if first == "" || last == "" {
		return "No transport has a month."
	}
	return "Months: " + spanWords([]string{first, last}) + "."
}

func patientsWords(c measures.Comparison) string {
	if c.N == 0 {
		return ""
	}
	p := c.Patients
	if p.Patients.Withheld {
		return "How many patients were moved more than once is withheld, for they are few. In models the transports of one patient are one cluster."
	}
	text := fmt.Sprintf("%s transports of %s patients; %s of these patients were moved more than once. In models the transports of one patient are one cluster: "+
		"standard errors come from the sums over patients. Intervals of single tables take transports as independent.", count(int64(c.N)), count(int64(p.Patients.N)), p.MovedAgain.Text())
	return text + " A transport without a patient key counts as a patient of its own."
}

func testsWords(c measures.Comparison) string {
	return fmt.Sprintf("This report makes %d comparisons with a p-value. If groups differed in nothing, about %s of them would still have p under 0.05. "+
		"No p-value is adjusted for that; outcomes named before the data were seen weigh more than those found in them.", c.Tests, c.ExpectedFalse())
}

func researchContents(p researchPage) []link {
	links := []link{{"cohort", "Who is in the cohort, and why"}}
	if p.None == "" {
		links = []link{{"glance", "What differs, at a glance"}, {"cohort", "Who is in the cohort, and why"}, {"groups", "The groups compared"},
			{"outcomes", "Each outcome"}, {"course", "Time to escalation"}, {"sensitivity", "Without one exclusion"}}
	}
	return append(links, link{"limits", "What these numbers cannot say"}, link{"method", "How they are made"}, link{"checklist", "What a publication needs"}, link{"run", "Where it comes from"})
}
