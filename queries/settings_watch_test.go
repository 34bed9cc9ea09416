package queries

import (
	"strings"
	"testing"
	"time"
)

// definitions.md fixes the end of a flood and how long a reading holds; the ranges are common practice.
func TestWatchDefaults(t *testing.T) {
	want := Watch{FloodEnd: 5, ReadingHolds: time.Minute, PressureApart: 2, TidalVolumeLow: 4, TidalVolumeHigh: 6, SpO2Low: 90, SpO2High: 95}
	if got := Defaults().Watch; got != want {
		t.Errorf("got %+v, want %+v", got, want)
	}
	for key, spoil := range map[string]func(*Settings){
		"flood_end": func(s *Settings) { s.FloodEnd = 0 }, "spo2_low": func(s *Settings) { s.SpO2Low = 101 }, "reading_holds": func(s *Settings) { s.ReadingHolds = -time.Second },
	} {
		s := Defaults()
		spoil(&s)
		if err := s.Validate(); err == nil || !strings.HasPrefix(err.Error(), key+": expected") {
			t.Errorf("%s: got %v", key, err)
		}
	}
}

// A reading that holds for 30 s at most halves the time read; the gap of 60 s then parts two excursions.
func TestReadingHoldsReachesTheReplay(t *testing.T) {
	f := newFixture(t)
	f.trip("A", nil)
	f.reading("A", "V", 70, "pip", "30")
	f.reading("A", "V", 71, "pip", "30")
	for holds, want := range map[time.Duration]ReplayedLimit{
		time.Minute:      {Limit: 25, Onsets: 1, Transports: 1, Population: 1, Hours: 120.0 / 3600},
		30 * time.Second: {Limit: 25, Onsets: 2, Transports: 1, Population: 1, Hours: 60.0 / 3600},
	} {
		f.set.ReadingHolds = holds
		got, err := f.reader().Replay(t.Context(), Grid{Quantity: "pip", High: true, Lowest: 25, Step: 1, Steps: 1})
		if err != nil || len(got) != 1 || got[0] != want {
			t.Errorf("%v: got %+v, %v, want %+v", holds, got, err, want)
		}
	}
}
