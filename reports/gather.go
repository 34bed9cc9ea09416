package reports

import (
	"context"
	"fmt"
	"slices"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// facts are all answers that a committee report prints.
type facts struct {
	review    measures.Review
	standings []standing
	earlier   []earlierAlarm
	months    []string // from the first shown to the month under report
	activity  []queries.ActivityCount
	alarms    []measures.AlarmTally
	changes   measures.Changes
	watch     alarmFacts
	courses   []measures.CaseCourse
	pages     map[string]bool // transports named: whether they have a page
	flags     []queries.CaseFlag
	support   supportFacts
	supplies  supplies
	cases     []queries.Case
	notes     []queries.Note
	quality   queries.Quality
	groups    map[string][]grouping // by measure
	funnels   map[string]measures.Funnel
	risk      risk
}

// standing is a signal with the transports to read for it.
type standing struct {
	measures.Standing
	cases []queries.Case
	trail *measures.AlarmTrail // of an alarm signal
}

// grouping is one measure by one kind of group, over all months shown.
type grouping struct {
	heading string
	by      string
	rows    []measures.Row
	rest    int // groups with data that are not shown
}

// byGroup are the measures that vary so much between patients or places that the whole says too little (definitions: bands).
var byGroup = []string{"stabilization_time", "hypothermia_on_arrival"}

// most groups that one chart can show.
const most = 14

func gather(ctx context.Context, in Input) (facts, error) {
	var f facts
	var err error
	if f.review, err = measures.NewReview(ctx, in.Reader, in.Month, in.Limits); err != nil {
		return f, err
	}
	for _, read := range []func(context.Context, Input) error{f.readActivity, f.readSignals, f.readSupport, f.readAlarms, f.readSupportTimes, f.readSupplies, f.readGroups, f.readFunnels, f.readRisk, f.readRecords, f.readTrails, f.readCases} {
		if err := read(ctx, in); err != nil {
			return f, err
		}
	}
	return f, nil
}

func (f *facts) readActivity(ctx context.Context, in Input) (err error) {
	if f.months, err = in.Reader.Months(ctx, f.review.First, in.Month); err != nil {
		return err
	}
	f.months = f.months[max(0, len(f.months)-monthsShown):]
	f.activity, err = in.Reader.Activity(ctx, f.review.First, in.Month)
	return err
}

// readSignals finds the transports to read for each signal.
func (f *facts) readSignals(ctx context.Context, in Input) error {
	for _, s := range f.review.Standings() {
		one := standing{Standing: s}
		if months := s.Signal.Months; hasCases(s) {
			cases, err := in.Reader.CasesOf(ctx, s.Definition.ID, months[0], months[len(months)-1])
			if err != nil {
				return fmt.Errorf("cases of %s: %w", s.Definition.ID, err)
			}
			one.cases = cases
		}
		f.standings = append(f.standings, one)
	}
	return nil
}

// hasCases says whether those that a measure counts are the transports to read for a signal: not for one to the better, not
// where more is better, not where rows or devices are counted.
func hasCases(s measures.Standing) bool {
	d := s.Definition
	return !everyTransport(d) && d.Better != "higher" && s.Signal.Verdict != "better" && d.Counts != "rows" && d.Counts != "devices"
}

func (f *facts) readSupport(ctx context.Context, in Input) error {
	first := f.review.First
	span, err := in.Reader.AlarmConditions(ctx, first, in.Month)
	if err != nil {
		return err
	}
	now, err := in.Reader.AlarmConditions(ctx, in.Month, in.Month)
	if err != nil {
		return err
	}
	f.alarms = measures.AlarmTallies(span, now)
	pairs, err := in.Reader.ConversionPairs(ctx, first, in.Month)
	if err != nil {
		return err
	}
	f.changes = measures.ChangesOf(pairs)
	return nil
}

func (f *facts) readGroups(ctx context.Context, in Input) error {
	f.groups = map[string][]grouping{}
	for _, id := range byGroup {
		for _, by := range []struct{ name, heading string }{{"gestation_band", "Gestation at birth, completed weeks"}, {"referring_site", "Referring hospital"}} {
			if by.name == "referring_site" && slices.Contains(funnels, id) {
				continue // hospitals stand in its funnel
			}
			rows, rest, err := measures.Grouped(ctx, in.Reader, id, by.name, f.review.First, in.Month, most)
			if err != nil {
				return err
			}
			if len(rows) > 0 {
				f.groups[id] = append(f.groups[id], grouping{by.heading, by.name, rows, rest})
			}
		}
	}
	return nil
}

func (f *facts) readRecords(ctx context.Context, in Input) (err error) {
	if f.cases, err = in.Reader.Cases(ctx, in.Month); err != nil {
		return err
	}
	if f.notes, err = in.Reader.Notes(ctx, "", in.Month); err != nil {
		return err
	}
	f.quality, err = in.Reader.Quality(ctx)
	return err
}
