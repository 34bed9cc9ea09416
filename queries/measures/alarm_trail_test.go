package measures

import (
	"context"
	"testing"

	"tripwake/queries"
)

// heard are the onsets of two conditions: in ten monitored hours before April 2026, in ten from April to May, in ten in June.
var heard = []queries.AlarmMonth{
	{Month: "2025-01", Condition: "leak", Onsets: 12, High: 2, Hours: 6}, {Month: "2025-01", Condition: "spo2_low", Onsets: 10, High: 4, Hours: 6},
	{Month: "2026-02", Hours: 1}, {Month: "2026-03", Condition: "leak", Onsets: 8, Hours: 3},
	{Month: "2026-04", Condition: "leak", Onsets: 10, High: 6, Hours: 4}, {Month: "2026-04", Condition: "spo2_low", Onsets: 15, High: 3, Hours: 4},
	{Month: "2026-05", Condition: "spo2_low", Onsets: 25, Hours: 6},
	{Month: "2026-06", Condition: "leak", Onsets: 900, High: 900, Hours: 10},
}

type makers struct{}

func (makers) AlarmMonths(context.Context, string, string) ([]queries.AlarmMonth, error) {
	return heard, nil
}

func (makers) AlarmMakers(_ context.Context, condition, from, _ string, _ int) ([]queries.AlarmMaker, error) {
	return []queries.AlarmMaker{{TransportID: condition, Month: from, Onsets: 7}}, nil
}

func alarmSignal(measure string, up bool, months ...string) (Definition, Signal) {
	d, _ := Find(measure)
	return d, Signal{Up: up, Months: months}
}

// The rates are worked out by hand: SpO2 1.0 to 4.0 per hour is the largest rise, leak 2.0 to 1.0 the only fall; of high priority
// alone leak rises from 0.2 to 0.6. June, after the signal, counts for nothing.
func TestTrailFollowsWhatMovedMost(t *testing.T) {
	changes := []DefaultChange{
		{Condition: "spo2_low", From: 88, To: 92, Month: "2026-04", Devices: []string{"M1"}, Months: []string{"2026-04"}},
		{Condition: "spo2_low", From: 85, To: 88, Month: "2025-06"}, {Condition: "leak", From: 40, To: 60, Month: "2026-04"},
	}
	for _, c := range []struct {
		measure, condition, words string
		up                        bool
		changes                   int
	}{
		{"alarms_per_hour", "spo2_low", "from 1.00 to 4.00 per hour", true, 1},
		{"alarms_per_hour", "leak", "from 2.00 to 1.00 per hour", false, 1},
		{"high_priority_alarms_per_hour", "leak", "from 0.20 to 0.60 per hour", true, 1},
	} {
		d, sig := alarmSignal(c.measure, c.up, "2026-04", "2026-05")
		trail, ok, err := TrailOf(t.Context(), makers{}, heard, d, sig, "2025-01", changes)
		if err != nil || !ok {
			t.Fatalf("%s: %v, %v", c.measure, ok, err)
		}
		if trail.Condition != c.condition || trail.RatesWords() != c.words || len(trail.Changes) != c.changes {
			t.Errorf("%s: got %s, %s with %d changes, want %s, %s with %d", c.measure, trail.Condition, trail.RatesWords(), len(trail.Changes), c.condition, c.words, c.changes)
		}
		if trail.Month != "2026-05" || trail.Makers[0].Month != "2026-05" {
			t.Errorf("%s: transports of %s, want those of the last month of the signal", c.measure, trail.Makers[0].Month)
		}
	}
	if got := changes[0].LimitWords(); got != "from 88 to 92 %" {
		t.Errorf("got %q", got)
	}
}

// There is no trail from other sections, where no month lies before the signal, nor where nothing moved to its side.
func TestNoTrail(t *testing.T) {
	for _, c := range []struct {
		measure string
		up      bool
		months  []string
	}{
		{"declined", true, []string{"2026-04"}}, {"alarms_per_hour", true, []string{"2025-01"}}, {"alarms_per_hour", true, nil},
		{"alarms_per_hour", true, []string{"2026-02"}}, // silent: nothing rose
	} {
		d, sig := alarmSignal(c.measure, c.up, c.months...)
		if _, ok, err := TrailOf(t.Context(), makers{}, heard, d, sig, "2025-01", nil); ok || err != nil {
			t.Errorf("%s of %v: got a trail, or %v", c.measure, c.months, err)
		}
	}
}
