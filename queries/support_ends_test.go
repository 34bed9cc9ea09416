package queries

import (
	"fmt"
	"slices"
	"testing"
)

func TestSupportEnds(t *testing.T) {
	f := newFixture(t)
	f.leggedTrip("A") // leaves at 120, arrives at 150
	f.setting("A", 60, "cpap", "nasal")
	f.setting("A", 100, "simv", "tube")
	f.setting("A", 150, "cpap", "nasal")
	f.leggedTrip("B")
	f.setting("B", 60, "cpap", "nasal")
	f.setting("B", 130, "nippv", "nasal")
	ends, err := f.reader().SupportEnds(t.Context(), "", "")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range ends {
		got = append(got, fmt.Sprintf("%s: %s %s %d", e.Place, e.From, e.To, e.N))
	}
	want := []string{": cpap cpap 1", ": cpap nippv 1", "at the referring hospital: cpap invasive 1", "patient leg: cpap nippv 1", "at the receiving hospital: invasive cpap 1"}
	if !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
