package reports

import (
	"context"
	"errors"
	"fmt"
	"io"

	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// committeePage is the committee report as its templates take it: words, ready numbers and drawings.
type committeePage struct {
	Shell                     shell
	Team, Month, Span, Notice string
	Contents                  []link
	Overview                  overview
	Measures                  table
	Full                      bool // paper gets everything
	Parts                     []part
	Quiet, Unprinted          int // measures and cases that a short print leaves out
	Quality                   []table
	Notes                     notesPart
	Method                    methodPart
}

// link is a line of the table of contents.
type link struct{ Target, Text string }

// Committee writes the monthly report for a quality committee: one HTML file without script or outside reference.
//
// It refuses an incomplete Input and passes on the errors of the store; nothing is written then.
func Committee(ctx context.Context, w io.Writer, in Input) error {
	in, err := in.complete()
	if err != nil {
		return err
	}
	text, err := committee(ctx, in)
	if err != nil {
		return fmt.Errorf("committee report: %w", err)
	}
	return put(w, "committee", text)
}

// committee asks, composes and draws: machines that draw start while it asks, the charts are drawn beside the composing, and put into
// the finished text.
func committee(ctx context.Context, in Input) (text []byte, err error) {
	renderer := charts.NewBusyRenderer()
	if in.Interactive {
		renderer.Enliven()
	}
	found, err := gather(ctx, in)
	if err == nil {
		var page committeePage
		if page, err = compose(in, found, renderer); err == nil {
			text, err = document("committee", "committee", page)
		}
	}
	filled, drawn := renderer.Fill(withoutDeadLinks(text), withoutStyle) // ends the machines, whatever came before
	if err := errors.Join(err, drawn); err != nil {
		return nil, err
	}
	return enliven(filled, renderer)
}

// compose puts the facts into their places, in the order of the document, which is also the order in which charts are drawn.
func compose(in Input, f facts, renderer *charts.Renderer) (committeePage, error) {
	page := committeePage{Team: in.Team, Month: measures.MonthWords(in.Month), Notice: in.Notice,
		Span: fmt.Sprintf("%s to %s", measures.MonthWords(f.review.First), measures.MonthWords(in.Month))}
	if len(f.review.Items) > 0 && len(f.review.Items[0].Months) > monthsShown {
		page.Span += fmt.Sprintf("; what is drawn or listed by month, the latest %d", monthsShown)
	}
	var err error
	if page.Shell, err = newShell(fmt.Sprintf("%s, %s: transport review", in.Team, page.Month), in.Paper, in.Interactive); err != nil {
		return page, err
	}
	a := &artist{renderer: renderer, month: in.Month}
	page.Notes, a.marks = notesOf(f.notes, in.Month)
	a.markDefaults(&page.Notes, f)
	if page.Overview, err = a.overviewOf(in, f); err != nil {
		return page, err
	}
	if page.Measures, err = a.measuresTable(f.review); err != nil {
		return page, err
	}
	sections, err := a.sections(in, f)
	if err != nil {
		return page, err
	}
	if sections, err = a.addCases(sections, in, f); err != nil {
		return page, err
	}
	page.Full, page.Parts = in.Full, partsOf(in, sections)
	page.Quiet, page.Unprinted = shorten(sections)
	page.Quality = append(qualityTables(in, f.quality), doubtsTables(f)...)
	page.Method = methodOf(in, f)
	page.Contents = contents(page.Parts)
	return page, nil
}
