package reports

import (
	"context"
	"fmt"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// AlarmSource is what the section on alarms asks of package queries.
type AlarmSource interface {
	measures.ReplaySource
	measures.TrailSource
	AlarmGroups(ctx context.Context, by, from, to string) ([]queries.AlarmGroup, error)
	AlarmAnswers(ctx context.Context, from, to string) ([]queries.AlarmAnswer, error)
	AlarmCrowds(ctx context.Context, from, to string) ([]queries.AlarmCrowd, error)
	AlarmDefaults(ctx context.Context, from, to string) ([]queries.AlarmDefault, error)
	AlarmTransports(ctx context.Context, from, to string, most int) ([]queries.AlarmTransport, error)
}

// alarmFacts are the answers behind the section on alarms.
type alarmFacts struct {
	groups   []alarmGrouping
	kinds    []measures.AlarmRate // by condition
	answers  []queries.AlarmAnswer
	crowds   []queries.AlarmCrowd // of the month
	loudest  []queries.AlarmTransport
	changes  []measures.DefaultChange
	makers   [][]queries.AlarmMaker // of each change: who alarmed most in its first month
	replayed []measures.Replayed
}

type alarmGrouping struct {
	by, heading string
	now         []measures.AlarmRate // the month under report, by the same groups as all
	all         []measures.AlarmRate
}

// nameOf is a group's name as people read it: devices keep the names that the team gave them.
func (g alarmGrouping) nameOf(group string) string {
	if g.by == "device" {
		return group
	}
	return capital(words(group))
}

// alarmHeadings are the groupings shown beside the conditions, in this order.
var alarmHeadings = []struct{ by, heading string }{
	{"leg", "Leg of the trip"}, {"vehicle", "Vehicle"}, {"priority", "Priority"}, {"device", "Device"},
}

// replays is how many conditions are replayed, those with most onsets first; loudest how many transports are named.
const (
	replays = 2
	loudest = 5
)

func (f *facts) readAlarms(ctx context.Context, in Input) (err error) {
	first, month := f.review.First, in.Month
	for _, h := range alarmHeadings {
		g := alarmGrouping{by: h.by, heading: h.heading}
		if g.all, err = alarmRates(ctx, in, h.by, first, month); err != nil {
			return err
		}
		if g.now, err = alarmRates(ctx, in, h.by, month, month); err != nil {
			return err
		}
		f.watch.groups = append(f.watch.groups, g)
	}
	if f.watch.kinds, err = alarmRates(ctx, in, "condition", first, month); err != nil {
		return err
	}
	if f.watch.answers, err = in.Reader.AlarmAnswers(ctx, first, month); err != nil {
		return err
	}
	if f.watch.crowds, err = in.Reader.AlarmCrowds(ctx, month, month); err != nil {
		return err
	}
	if f.watch.loudest, err = in.Reader.AlarmTransports(ctx, month, month, loudest); err != nil {
		return err
	}
	return f.readLimits(ctx, in)
}

func alarmRates(ctx context.Context, in Input, by, from, to string) ([]measures.AlarmRate, error) {
	groups, err := in.Reader.AlarmGroups(ctx, by, from, to)
	if err != nil {
		return nil, err
	}
	return measures.AlarmRates(groups)
}

// readLimits finds the changes of defaults and replays the limits of the conditions that alarm most.
func (f *facts) readLimits(ctx context.Context, in Input) error {
	first, month := f.review.First, in.Month
	defaults, err := in.Reader.AlarmDefaults(ctx, first, month)
	if err != nil {
		return err
	}
	f.watch.changes = measures.DefaultChanges(defaults)
	for _, a := range f.watch.answers {
		if len(f.watch.replayed) == replays {
			break
		}
		r, ok, err := measures.ReplayCondition(ctx, in.Reader, a.Condition, defaults, first, month)
		if err != nil {
			return fmt.Errorf("replay of %s: %w", a.Condition, err)
		}
		if ok {
			f.watch.replayed = append(f.watch.replayed, r)
		}
	}
	return nil
}
