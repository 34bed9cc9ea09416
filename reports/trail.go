package reports

import (
	"context"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// step is one step of the way from a signal to what lies behind it: words, links, words.
type step struct {
	Lead  string
	Links []link
	Rest  string
}

// readTrails follows the signals of the alarms, and finds for each change of a default the transports that alarmed most under
// the new one in its first month.
func (f *facts) readTrails(ctx context.Context, in Input) error {
	months, err := in.Reader.AlarmMonths(ctx, f.review.First, in.Month)
	if err != nil {
		return err
	}
	trailOf := func(d measures.Definition, sig measures.Signal) (*measures.AlarmTrail, error) {
		t, ok, err := measures.TrailOf(ctx, in.Reader, months, d, sig, f.review.First, f.watch.changes)
		if err != nil || !ok {
			return nil, err
		}
		return &t, nil
	}
	for i, s := range f.standings {
		if f.standings[i].trail, err = trailOf(s.Definition, s.Signal); err != nil {
			return fmt.Errorf("trail of %s: %w", s.Definition.ID, err)
		}
	}
	f.earlier = earlierAlarms(f.review)
	for i, e := range f.earlier {
		if f.earlier[i].trail, err = trailOf(e.measure, e.signal); err != nil {
			return fmt.Errorf("trail of %s: %w", e.measure.ID, err)
		}
	}
	for _, c := range f.watch.changes {
		makers, err := in.Reader.AlarmMakers(ctx, c.Condition, c.Month, c.Month, makersShown)
		if err != nil {
			return err
		}
		f.watch.makers = append(f.watch.makers, makers)
	}
	return nil
}

// makersShown is how many transports stand beside a change of a default.
const makersShown = 3

// steps puts a trail into words and links.
func (f facts) steps(in Input, t *measures.AlarmTrail) []step {
	if t == nil {
		return nil
	}
	steps := []step{{Lead: "Moved most:", Links: []link{f.conditionLink(t.Condition)}, Rest: ", " + t.RatesWords() + "."}}
	for _, c := range t.Changes {
		steps = append(steps, step{Lead: "Its default limit changed:", Links: []link{{defaultID(c), c.LimitWords()}}, Rest: ", " + c.DevicesWords() + "."})
	}
	if len(t.Makers) > 0 {
		steps = append(steps, step{Lead: "Most of it in " + measures.MonthWords(t.Month) + " on", Links: f.makerLinks(in, t.Makers), Rest: "."})
	}
	return steps
}

// conditionLink leads to the row of a condition, where it has one.
func (f facts) conditionLink(condition string) link {
	if slices.ContainsFunc(f.alarms, func(t measures.AlarmTally) bool { return t.Condition == condition }) {
		return link{conditionID(condition), words(condition)}
	}
	return link{Text: words(condition)}
}

func (f facts) makerLinks(in Input, makers []queries.AlarmMaker) []link {
	var all []link
	for _, m := range makers {
		l := f.caseLink(in, m.TransportID)
		l.Text += fmt.Sprintf(" (%d)", m.Onsets)
		all = append(all, l)
	}
	return all
}

// caseLink names a transport and leads to its page, where it has one.
func (f facts) caseLink(in Input, transportID string) link {
	if f.pages[transportID] {
		return link{caseID(in, transportID), in.name(transportID)}
	}
	return link{Text: in.name(transportID)}
}

var notInIDs = regexp.MustCompile(`[^a-z0-9]+`)

// conditionID and defaultID are the ids of a condition's row and of a change of its default.
func conditionID(condition string) string {
	return "alarm-" + strings.Trim(notInIDs.ReplaceAllString(strings.ToLower(condition), "-"), "-")
}

func defaultID(c measures.DefaultChange) string {
	return conditionID(c.Condition) + "-default-" + c.Month
}
