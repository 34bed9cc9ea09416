package reports

import (
	"fmt"
	"slices"
	"testing"

	"tripwake/queries/measures"
)

func reviewOf(signals ...measures.Signal) measures.Review {
	alarms, _ := measures.Find("alarms_per_hour")
	times, _ := measures.Find("trip_time")
	series := measures.Series{Signals: signals}
	return measures.Review{Month: "2026-07", First: "2025-01", Items: []measures.Item{
		{Definition: times, Series: []measures.Series{series}}, {Definition: alarms, Series: []measures.Series{series, series}},
	}}
}

// Only alarms are followed, each way once though two charts tell it, the latest first, and never those that take in the month.
func TestEarlierAlarms(t *testing.T) {
	f := facts{review: reviewOf(
		measures.Signal{Months: []string{"2026-02"}, Up: true}, measures.Signal{Months: []string{"2026-05"}, Up: true}, measures.Signal{Months: []string{"2026-05"}},
		measures.Signal{Months: []string{"2026-06", "2026-07"}, Up: true}, measures.Signal{Months: []string{"2025-01"}, Up: true},
	)}
	var got []string
	for _, e := range earlierAlarms(f.review) {
		got = append(got, fmt.Sprint(e.measure.ID, e.signal.Months, e.signal.Up))
	}
	want := []string{"alarms_per_hour[2026-05] true", "alarms_per_hour[2026-05] false", "alarms_per_hour[2026-02] true"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestEarlierAlarmsAreBounded(t *testing.T) {
	var many []measures.Signal
	for i := range 30 {
		many = append(many, measures.Signal{Months: []string{fmt.Sprintf("%d-%02d", 2025+i/12, i%12+2)}})
	}
	all := earlierAlarms(reviewOf(many...))
	if len(all) != earlierTrails || all[0].signal.Months[0] < all[earlierTrails-1].signal.Months[0] {
		t.Errorf("got %d from %s to %s: want the latest %d", len(all), all[0].signal.Months, all[len(all)-1].signal.Months, earlierTrails)
	}
}
