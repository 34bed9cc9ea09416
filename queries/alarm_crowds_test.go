package queries

import (
	"fmt"
	"slices"
	"testing"
	"time"
)

// crowds writes floods as "transport start length onsets", start in min after 12:00 UTC.
func (f *fixture) crowds() []string {
	f.t.Helper()
	found, err := f.reader().AlarmCrowds(f.t.Context(), "", "")
	if err != nil {
		f.t.Fatal(err)
	}
	var lines []string
	for _, c := range found {
		start := c.From.Sub(time.Date(2026, 3, 10, 12, 0, 0, 0, time.UTC)).Minutes()
		lines = append(lines, fmt.Sprintf("%s %.4f %.4f %d", c.TransportID, start, c.Minutes, c.Onsets))
	}
	return lines
}

// many begins n alarms, so many minutes apart.
func (f *fixture) many(id string, n int, from, apart float64) {
	f.t.Helper()
	for i := range n {
		f.alarm(id, from+float64(i)*apart, unended, nil)
	}
	f.reading(id, "V", 180, "spo2", "90")
}

// checks.md, Alarms: 11 onsets 30 s apart are a flood that begins at the eleventh; 10 are none. Sliding window, both ends
// included: 11 onsets exactly 1 min apart lie within 10 min, 11 onsets 61 s apart do not.
func TestFloodBeginsAtTheEleventh(t *testing.T) {
	f := newFixture(t)
	for i, id := range []string{"eleven", "ten", "edge", "wide"} {
		f.trip(id, nil)
		f.many(id, []int{11, 10, 11, 11}[i], 60, []float64{0.5, 0.5, 1, 61.0 / 60}[i])
	}
	// The fifth last onset, the seventh, leaves the window 10 min after it: from then on fewer than 5 are in it.
	// eleven: begins at 65, seventh at 63, ends at 73. edge: begins at 70, seventh at 66, ends at 76.
	if got, want := f.crowds(), []string{"eleven 65.0000 8.0000 11", "edge 70.0000 6.0000 11"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}

func TestFloodEndsBelowFive(t *testing.T) {
	f := newFixture(t)
	// 12 onsets 30 s apart to 65.5; the eighth of them (63.5) leaves at 73.5. One at exactly 73.5 keeps four of the old
	// (64, 64.5, 65, 65.5) and itself: still a flood, until 64 leaves at 74. Another at 100 is apart.
	f.trip("held", nil)
	f.many("held", 12, 60, 0.5)
	f.alarm("held", 73.5, unended, nil)
	f.alarm("held", 100, unended, nil)
	// The same with one at 73.6: ended at 73.5, and it does not begin again.
	f.trip("ended", nil)
	f.many("ended", 12, 60, 0.5)
	f.alarm("ended", 73.6, unended, nil)
	// Two floods an hour apart; devices count together.
	f.trip("twice", nil)
	f.many("twice", 11, 60, 0.5)
	f.many("twice", 6, 130, 0.5)
	for i := range 5 {
		f.alarm("twice", 130.1+float64(i)*0.5, unended, cells{"device_id": q("M")})
	}
	// An alarm without an end and one that ends before it starts are onsets as any other.
	f.trip("odd", nil)
	f.many("odd", 9, 60, 0.5)
	f.alarm("odd", 65, unended, nil)
	f.alarm("odd", 65, 66, nil)
	want := []string{"ended 65.0000 8.5000 12", "held 65.0000 9.0000 13", "odd 65.0000 8.0000 11", "twice 65.0000 8.0000 11", "twice 132.5000 9.0000 11"}
	if got := f.crowds(); !slices.Equal(got, want) {
		t.Errorf("\n got %q\nwant %q", got, want)
	}
}
