package reports

import (
	"cmp"
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
	CaseFlags(ctx context.Context, transports []string) ([]queries.CaseFlag, error)
}

// caseWidth is the width of a case's drawing: its table stands under it on paper and beside it on a wide screen.
const caseWidth = 640

// readCases reads what happened on the transports that the report names: the cases of the month, those behind a signal, a
// change of a default, the loudest and those with a flood. There are pages for the first of them alone, by that order.
func (f *facts) readCases(ctx context.Context, in Input) error {
	f.pages = map[string]bool{}
	var ids []string
	for _, id := range f.named() {
		if _, met := f.pages[id]; met {
			continue
		}
		if f.pages[id] = len(ids) < in.CasePages; f.pages[id] {
			ids = append(ids, id)
		}
	}
	if len(ids) == 0 {
		return nil
	}
	var err error
	if f.flags, err = in.Reader.CaseFlags(ctx, ids); err != nil {
		return err
	}
	lines, err := in.Reader.CaseTimelines(ctx, ids)
	f.courses = measures.CaseCourses(lines)
	slices.SortStableFunc(f.courses, func(a, b measures.CaseCourse) int {
		return cmp.Compare(slices.Index(ids, a.TransportID), slices.Index(ids, b.TransportID))
	})
	return err
}

// named are the transports that the report leads to, those that matter most first, some of them several times.
func (f *facts) named() []string {
	var ids, behind []string
	for _, c := range measures.ByGravity(f.cases) {
		ids = append(ids, c.TransportID)
	}
	for _, s := range f.standings {
		if s.trail != nil {
			behind = append(behind, makersOf(s.trail.Makers)...)
		}
		for _, c := range s.toRead() {
			behind = append(behind, c.TransportID)
		}
	}
	for _, makers := range f.watch.makers {
		behind = append(behind, makersOf(makers)...)
	}
	for _, t := range f.watch.loudest {
		behind = append(behind, t.TransportID)
	}
	for _, c := range f.watch.crowds {
		behind = append(behind, c.TransportID)
	}
	for _, e := range f.earlier {
		if e.trail != nil {
			behind = append(behind, makersOf(e.trail.Makers)...)
		}
	}
	return append(ids, behind...)
}

func makersOf(makers []queries.AlarmMaker) []string {
	var ids []string
	for _, m := range makers {
		ids = append(ids, m.TransportID)
	}
	return ids
}

// caseID is the fragment of a transport's page. It is made with the team's key, so that it tells no more than the pseudonym.
func caseID(in Input, transportID string) string {
	return "case-" + strings.ToLower(pseudonym(in.Key, transportID))
}

// lead makes the first cell of the last row lead to the page of a transport, where it has one.
func (t *table) lead(l link) { t.Rows[len(t.Rows)-1].Cells[0].Target = l.Target }

// addCases puts the pages of the month's cases behind the other sections.
func (a *artist) addCases(sections []section, in Input, f facts) ([]section, error) {
	if len(f.courses) == 0 || !slices.Contains(in.Parts, partCases) {
		return sections, nil
	}
	s := section{ID: "section-cases", Question: "The cases, one by one", Intro: pagesWords(f)}
	for _, c := range f.courses {
		fig, err := a.caseFigure(in, f, c)
		if err != nil {
			return nil, err
		}
		s.Figures = append(s.Figures, fig)
	}
	return append(sections, s), nil
}

// pagesWords say of which transports there are no pages, and how to get them.
func pagesWords(f facts) []string {
	if left := len(f.pages) - len(f.courses); left > 0 {
		return []string{fmt.Sprintf("%s named in this report have no page here: those with the gravest reason come first. The setting case_pages allows more; tripwake measure --cases lists every case of the month with its reasons.", plural(left, "transport"))}
	}
	return nil
}

func (a *artist) caseFigure(in Input, f facts, c measures.CaseCourse) (figure, error) {
	name := in.name(c.TransportID)
	fig := figure{Title: "Transport " + name, ID: caseID(in, c.TransportID), Caption: "Minutes from the start of the trip, when the team was tasked. Dark orange: alarms of high priority, " +
		"time on battery, events with harm. Traces: lowest to highest value of each stretch; where a device logged nothing, nothing is drawn."}
	fig.Remarks = append(caseReasons(f, c.TransportID), flagWords(f, c.TransportID))
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
	for _, s := range f.standings {
		if at := slices.IndexFunc(s.toRead(), func(c queries.Case) bool { return c.TransportID == transportID }); at >= 0 {
			why = append(why, "behind the signal of "+lower(s.Definition.Title)+", "+measures.MonthWords(s.cases[at].Month))
		}
	}
	return []string{"Why it is here: " + strings.Join(append(why, alarmReasons(f, transportID)...), "; ") + "."}
}

// flagWords counts the flags of the rows of a transport, in words.
func flagWords(f facts, transportID string) string {
	var parts []string
	for _, c := range f.flags {
		if c.TransportID == transportID {
			parts = append(parts, fmt.Sprintf("%s of %s (%d)", words(c.Flag), c.Table, c.Rows))
		}
	}
	if len(parts) == 0 {
		return "No row of it bears a flag."
	}
	return "Flagged rows: " + strings.Join(parts, "; ") + "."
}

// alarmReasons are those of the transports that the section on alarms names.
func alarmReasons(f facts, transportID string) []string {
	var why []string
	for i, c := range f.watch.changes {
		if at := slices.IndexFunc(f.watch.makers[i], func(m queries.AlarmMaker) bool { return m.TransportID == transportID }); at >= 0 {
			why = append(why, fmt.Sprintf("%s alarmed %s when its default changed, %s", words(c.Condition), times(f.watch.makers[i][at].Onsets), measures.MonthWords(c.Month)))
		}
	}
	for _, t := range f.watch.loudest {
		if t.TransportID == transportID {
			why = append(why, fmt.Sprintf("among the loudest, %d alarm onsets", t.Onsets))
		}
	}
	if slices.ContainsFunc(f.watch.crowds, func(c queries.AlarmCrowd) bool { return c.TransportID == transportID }) {
		why = append(why, "an alarm flood")
	}
	if len(why) == 0 {
		return trailReasons(f, transportID)
	}
	return why
}

// trailReasons name the condition to which the first trail that names a transport leads.
func trailReasons(f facts, transportID string) []string {
	var trails []*measures.AlarmTrail
	for _, s := range f.standings {
		trails = append(trails, s.trail)
	}
	for _, e := range f.earlier {
		trails = append(trails, e.trail)
	}
	for _, t := range trails {
		if t != nil && slices.Contains(makersOf(t.Makers), transportID) {
			return []string{"much of the alarm " + words(t.Condition) + ", " + measures.MonthWords(t.Month)}
		}
	}
	return nil
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
