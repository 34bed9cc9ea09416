package reports

import (
	"slices"
	"strings"

	"tripwake/queries/measures"
)

// earlierAlarm is a signal of the alarms that had ended before the month under report, with its trail.
type earlierAlarm struct {
	measure measures.Definition
	signal  measures.Signal
	trail   *measures.AlarmTrail
}

// earlierTrails bounds how many earlier signals are followed: each asks for its transports.
const earlierTrails = 12

// earlierAlarms are the earlier signals that may be followed, the latest first. Two charts that signal the same count as one.
func earlierAlarms(r measures.Review) []earlierAlarm {
	var all []earlierAlarm
	for _, item := range r.Items {
		for _, s := range item.Series {
			for _, sig := range s.Earlier(r.Month) {
				same := func(e earlierAlarm) bool { return e.is(item.Definition, sig) }
				if measures.Followed(item.Definition, sig, r.First) && !slices.ContainsFunc(all, same) {
					all = append(all, earlierAlarm{measure: item.Definition, signal: sig})
				}
			}
		}
	}
	slices.SortStableFunc(all, func(a, b earlierAlarm) int {
		return strings.Compare(b.signal.Months[len(b.signal.Months)-1], a.signal.Months[len(a.signal.Months)-1])
	})
	return all[:min(earlierTrails, len(all))]
}

// is says that a signal leads along the same way: same measure, months and side.
func (e earlierAlarm) is(d measures.Definition, sig measures.Signal) bool {
	return e.measure.ID == d.ID && e.signal.Up == sig.Up && slices.Equal(e.signal.Months, sig.Months)
}

// trailOf is the way from an earlier signal, nil where there is none to follow.
func (f facts) trailOf(d measures.Definition, sig measures.Signal) *measures.AlarmTrail {
	for _, e := range f.earlier {
		if e.is(d, sig) {
			return e.trail
		}
	}
	return nil
}

// earlier is a signal that had ended before the month under report, in words, and of an alarm the way to what lies behind it.
type earlier struct {
	Text  string
	Trail []step
}

// earlierSignals are those that do not take in the month under report: they stand with their measure alone.
func (f facts) earlierSignals(in Input, item measures.Item) []earlier {
	var lines []earlier
	for _, s := range item.Series {
		for _, sig := range s.Earlier(in.Month) {
			lines = append(lines, earlier{"Earlier signal, " + spanWords(sig.Months) + ": " + sig.Words + ".", f.steps(in, f.trailOf(item.Definition, sig))})
		}
	}
	return lines
}
