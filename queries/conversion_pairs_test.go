package queries

import (
	"slices"
	"testing"
)

func TestConversionPairs(t *testing.T) {
	f := newFixture(t)
	for _, id := range []string{"A", "B"} {
		f.trip(id, nil)
		f.setting(id, 60, "cpap", "nasal")
		f.setting(id, 100, "simv", "tube")
	}
	f.setting("B", 120, "cpap", "nasal")
	f.setting("B", 140, "simv", "tube") // B changes twice from cpap to invasive
	got, err := f.reader().ConversionPairs(t.Context(), "2026-03", "2026-03")
	if err != nil {
		t.Fatal(err)
	}
	want := []ConversionPair{{"cpap", "invasive", 3, 2}, {"invasive", "cpap", 1, 1}}
	if !slices.Equal(got, want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if later, err := f.reader().ConversionPairs(t.Context(), "2026-04", ""); err != nil || len(later) != 0 {
		t.Errorf("April: got %v, %v, want none", later, err)
	}
}
