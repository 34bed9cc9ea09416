package measures

import (
	"context"
	"testing"

	"tripwake/queries"
)

// heard answers with the onsets of two conditions in ten monitored hours, before and since April.
type heard struct{ asked []string }

func (h *heard) AlarmGroups(_ context.Context, _, from, to string) ([]queries.AlarmGroup, error) {
	h.asked = append(h.asked, from+" to "+to)
	if to < "2026-04" {
		return []queries.AlarmGroup{{Name: "leak", Onsets: 20, High: 2, Hours: 10}, {Name: "spo2_low", Onsets: 10, High: 4, Hours: 10}}, nil
	}
	return []queries.AlarmGroup{{Name: "leak", Onsets: 10, High: 6, Hours: 10}, {Name: "spo2_low", Onsets: 40, High: 3, Hours: 10}}, nil
}

func (h *heard) AlarmMakers(_ context.Context, condition, from, _ string, _ int) ([]queries.AlarmMaker, error) {
	return []queries.AlarmMaker{{TransportID: condition, Month: from, Onsets: 7}}, nil
}

func alarmSignal(measure string, up bool, months ...string) Standing {
	d, _ := Find(measure)
	return Standing{Definition: d, Signal: Signal{Up: up, Months: months}}
}

// The rates are worked out by hand: SpO2 1.0 to 4.0 per hour is the largest rise, leak 2.0 to 1.0 the only fall; of high priority
// alone leak rises from 0.2 to 0.6.
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
		h := &heard{}
		trail, ok, err := TrailOf(t.Context(), h, alarmSignal(c.measure, c.up, "2026-04", "2026-05"), "2025-01", "2026-05", changes)
		if err != nil || !ok {
			t.Fatalf("%s: %v, %v", c.measure, ok, err)
		}
		if trail.Condition != c.condition || trail.RatesWords() != c.words || len(trail.Changes) != c.changes {
			t.Errorf("%s: got %s, %s with %d changes, want %s, %s with %d", c.measure, trail.Condition, trail.RatesWords(), len(trail.Changes), c.condition, c.words, c.changes)
		}
		if h.asked[0] != "2025-01 to 2026-03" || h.asked[1] != "2026-04 to 2026-05" || trail.Makers[0].Month != "2026-05" {
			t.Errorf("%s: asked for %v, transports of %s", c.measure, h.asked, trail.Makers[0].Month)
		}
	}
	if got := changes[0].LimitWords(); got != "from 88 to 92 %" {
		t.Errorf("got %q", got)
	}
}

// There is no trail from other sections, nor where no month lies before the signal.
func TestNoTrail(t *testing.T) {
	for _, s := range []Standing{alarmSignal("declined", true, "2026-04"), alarmSignal("alarms_per_hour", true, "2025-01"), alarmSignal("alarms_per_hour", true)} {
		if _, ok, err := TrailOf(t.Context(), &heard{}, s, "2025-01", "2026-05", nil); ok || err != nil {
			t.Errorf("%s of %v: got a trail, or %v", s.Definition.ID, s.Signal.Months, err)
		}
	}
}
