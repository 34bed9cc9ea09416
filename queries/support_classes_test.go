package queries

import (
	"fmt"
	"slices"
	"testing"
)

func TestSupportClasses(t *testing.T) {
	f := newFixture(t)
	// cpap 60–100, simv 100–101 passed over, cpap to 120 (61 and its time: 60 min), then two modes of invasive to 180.
	f.trip("A", nil)
	f.setting("A", 60, "cpap", "nasal")
	f.setting("A", 100, "simv", "tube")
	f.setting("A", 101, "cpap", "nasal")
	f.setting("A", 120, "simv", "tube")
	f.setting("A", 140, "assist_control", "tube")
	f.setting("A", 160, "assist_control", "tube") // the same mode again is no change
	f.trip("declined", cells{"disposition": q("declined")})
	f.setting("declined", 60, "cpap", "nasal")
	classes, err := f.reader().SupportClasses(t.Context(), "", "")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, c := range classes {
		got = append(got, fmt.Sprintf("%s %d %d %.2f %.0f %d %d", c.Class, c.Transports, c.Episodes, c.Hours, *c.MiddleMinutes, c.PassedOver, c.ModeChanges))
	}
	if want := []string{"cpap 1 1 1.00 60 0 0", "invasive 1 1 1.00 60 1 1"}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
