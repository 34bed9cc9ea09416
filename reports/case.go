package reports

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"tripwake/queries"
	"tripwake/queries/measures"
	"tripwake/reports/charts"
)

// CaseSource is what the pages of single transports ask of package queries.
type CaseSource interface {
	CaseTimelines(ctx context.Context, transports []string) ([]queries.CaseLine, error)
}

// caseWidth is the width of a case's drawing: its table stands under it on paper and beside it on a wide screen.
const caseWidth = 640

// readCases reads what happened on the transports that a list of the month leads to: the cases to read, the loudest and
// those with a flood.
func (f *facts) readCases(ctx context.Context, in Input) error {
	var ids []string
	for _, c := range measures.ByGravity(f.cases) {
		ids = append(ids, c.TransportID)
	}
	for _, t := range f.watch.loudest {
		ids = append(ids, t.TransportID)
	}
	for _, c := range f.watch.crowds {
		ids = append(ids, c.TransportID)
	}
	if len(ids) == 0 {
		return nil
	}
	lines, err := in.Reader.CaseTimelines(ctx, ids)
	f.courses = measures.CaseCourses(lines)
	return err
}

// caseID is the fragment of a transport's page. It is made with the team's key, so that it tells no more than the pseudonym.
func caseID(in Input, transportID string) string {
	return "case-" + strings.ToLower(pseudonym(in.Key, transportID))
}

// lead makes the first cell of the last row lead to an id.
func (t *table) lead(id string) { t.Rows[len(t.Rows)-1].Cells[0].Target = id }

// addCases puts the pages of the month's cases behind the other sections.
func (a *artist) addCases(page *committeePage, in Input, f facts) error {
	if len(f.courses) == 0 {
		return nil
	}
	s := section{ID: "section-cases", Question: "The cases of the month, one by one", Intro: nil}
	for _, c := range f.courses {
		fig, err := a.caseFigure(in, f, c)
		if err != nil {
			return err
		}
		s.Figures = append(s.Figures, fig)
	}
	page.Sections = append(page.Sections, s)
	return nil
}

func (a *artist) caseFigure(in Input, f facts, c measures.CaseCourse) (figure, error) {
	name := in.name(c.TransportID)
	fig := figure{Title: "Transport " + name, ID: caseID(in, c.TransportID), Caption: "Minutes from the start of the trip, when the team was tasked. Dark orange: alarms of high priority, " +
		"time on battery, events with harm. Traces: lowest to highest value of each stretch; where a device logged nothing, nothing is drawn."}
	fig.Remarks = caseReasons(f, c.TransportID)
	fig.Table = table{Caption: "Step by step, transport " + name, Head: columns("Minute#", "What", "Detail")}
	for _, s := range c.Steps {
		fig.Table.add("", s.MinuteText(), s.What, s.Text)
	}
	lanes := lanesOf(c)
	if len(lanes) == 0 || c.To <= c.From {
		return fig, nil
	}
	svg, err := a.renderer.Timeline(charts.Timeline{From: c.From, To: c.To, XTitle: "min from the start of the trip", Lanes: lanes,
		Frame: charts.Frame{ID: caseID(in, c.TransportID) + "-course", Width: caseWidth, Title: fig.Title,
			Desc: "One axis of time with the legs of the trip, support, settings, alarms, power, cylinders, events and readings; the table lists the steps."}})
	fig.Drawing = picture(svg)
	return fig, err
}

// caseReasons say why the transport is here.
func caseReasons(f facts, transportID string) []string {
	var why []string
	if at := slices.IndexFunc(f.cases, func(c queries.Case) bool { return c.TransportID == transportID }); at >= 0 {
		for _, id := range f.cases[at].Reasons {
			why = append(why, reasonWords(id))
		}
	}
	for _, t := range f.watch.loudest {
		if t.TransportID == transportID {
			why = append(why, fmt.Sprintf("among the loudest, %d alarm onsets", t.Onsets))
		}
	}
	for _, c := range f.watch.crowds {
		if c.TransportID == transportID {
			why = append(why, "an alarm flood")
			break
		}
	}
	return []string{"Why it is here: " + strings.Join(why, "; ") + "."}
}

func lanesOf(c measures.CaseCourse) []charts.TimeLane {
	var lanes []charts.TimeLane
	for _, l := range c.Lanes {
		lane := charts.TimeLane{Name: l.Name, Unit: l.Unit}
		for _, s := range l.Spans {
			lane.Spans = append(lane.Spans, charts.TimeSpan{From: s.From, To: s.To, Label: s.Label, Strong: s.Strong, Other: s.Other})
		}
		for _, r := range l.Readings {
			lane.Values = append(lane.Values, charts.TimeValue{From: r.From, To: r.To, Low: *r.Low, High: *r.High})
		}
		lanes = append(lanes, lane)
	}
	return lanes
}
