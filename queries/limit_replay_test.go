package queries

import (
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
	"time"
)

// sample is one reading of the slow reference, in seconds from 12:00 UTC.
type sample struct {
	at    int
	value float64
}

// excursion is a stretch beyond a limit: its length in s and the longest part of it beyond the other limit.
type excursion struct{ seconds, further int }

// excursionsOf walks through one series second by second, as slowly and plainly as can be: what is the value now, and is it
// beyond the limit? A reading holds until the next, 60 s at most; of several at one moment the last of the list stands.
func excursionsOf(series []sample, beyond, further func(float64) bool) []excursion {
	var found []excursion
	inside, deep := false, 0
	valueAt := func(second int) (float64, bool) {
		for i := len(series) - 1; i >= 0; i-- {
			if s := series[i]; s.at <= second {
				return s.value, second < s.at+60
			}
		}
		return 0, false
	}
	for second := series[0].at; second < series[len(series)-1].at+60; second++ {
		value, ok := valueAt(second)
		if !ok || !beyond(value) {
			inside = false
			continue
		}
		if !inside {
			found, inside, deep = append(found, excursion{}), true, 0
		}
		e := &found[len(found)-1]
		e.seconds++
		if further(value) {
			deep++
			e.further = max(e.further, deep)
		} else {
			deep = 0
		}
	}
	return found
}

// randomSeries has gaps on both sides of 60 s, values on the limits themselves, and readings at one moment.
func randomSeries(r *rand.Rand, n int, tied bool) []sample {
	series := []sample{{at: 3600 + r.IntN(60), value: float64(r.IntN(12))}}
	for range n {
		next := sample{series[len(series)-1].at + []int{1, 2, 7, 20, 59, 60, 61, 90}[r.IntN(8)], float64(r.IntN(24)) / 2}
		if tied && r.IntN(6) == 0 {
			next.at = series[len(series)-1].at
		}
		series = append(series, next)
	}
	return series
}

// replayFixture stores random readings of three transports on two devices and gives them back by transport.
func replayFixture(t *testing.T, tied bool) (*fixture, map[string][][]sample) {
	r := rand.New(rand.NewPCG(7, 11))
	f, all := newFixture(t), map[string][][]sample{}
	for _, id := range []string{"A", "B", "C"} {
		f.trip(id, nil)
		for _, device := range []string{"V", "M"} {
			series := randomSeries(r, 40, tied)
			for _, s := range series {
				f.add("readings", cells{"trip": q(id), "device_id": q(device), "quantity": q("pip"), "value": fmt.Sprint(s.value),
					"recorded_at": fmt.Sprintf("timestamp '2026-03-10 12:00:00' + to_seconds(%d)", s.at)})
			}
			all[id] = append(all[id], series)
		}
	}
	return f, all
}

func side(high bool, limit float64) func(float64) bool {
	if high {
		return func(v float64) bool { return v > limit }
	}
	return func(v float64) bool { return v < limit }
}

// slowly answers for one limit as the reference sees it.
func slowly(all map[string][][]sample, high bool, limit, other float64, delay int) Held {
	var h Held
	for _, id := range slices.Sorted(maps.Keys(all)) {
		some, alone := 0, 0
		for _, series := range all[id] {
			for _, e := range excursionsOf(series, side(high, limit), side(high, other)) {
				if e.seconds < delay {
					continue
				}
				some++
				if e.further == 0 || e.further < delay {
					alone++
				}
			}
		}
		h.Onsets, h.Alone = h.Onsets+some, h.Alone+alone
		h.Transports, h.AloneTransports = h.Transports+min(some, 1), h.AloneTransports+min(alone, 1)
	}
	return h
}

func TestReplayAgainstTheSlowWay(t *testing.T) {
	for _, tied := range []bool{false, true} {
		f, all := replayFixture(t, tied)
		r := f.reader()
		for _, high := range []bool{true, false} {
			g := Grid{Quantity: "pip", High: high, Lowest: -0.5, Step: 0.5, Steps: 27}
			limits, err := r.Replay(t.Context(), g)
			if err != nil || len(limits) != g.Steps {
				t.Fatalf("got %d limits, %v", len(limits), err)
			}
			for _, l := range limits {
				want := slowly(all, high, l.Limit, l.Limit, 0)
				if l.Onsets != want.Onsets || l.Transports != want.Transports || l.Population != 3 {
					t.Errorf("ties %v, high %v, limit %v: got %d onsets on %d of %d, want %d on %d of 3", tied, high, l.Limit, l.Onsets, l.Transports, l.Population, want.Onsets, want.Transports)
				}
			}
			wantHours(t, limits[0].Hours, all)
			heldAgainstTheSlowWay(t, r, all, g)
		}
	}
}

func wantHours(t *testing.T, got float64, all map[string][][]sample) {
	t.Helper()
	seconds := 0
	for _, devices := range all {
		for _, series := range devices {
			for _, e := range excursionsOf(series, func(float64) bool { return true }, func(float64) bool { return false }) {
				seconds += e.seconds
			}
		}
	}
	if math.Abs(got-float64(seconds)/3600) > 1e-9 {
		t.Errorf("got %v h of readings, want %v", got, float64(seconds)/3600)
	}
}

// Volumes are replayed per kg; a transport without a weight has none.
func TestReplayOfVolumesIsPerWeight(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"weight": "2000"})
	f.trip("B", nil)
	for i, value := range []string{"10", "8", "10"} {
		f.reading("A", "V", 60+float64(i)/2, "expired_tidal_volume", value)
		f.reading("B", "V", 60+float64(i)/2, "expired_tidal_volume", value)
	}
	limits, err := f.reader().Replay(t.Context(), Grid{Quantity: "expired_tidal_volume", Lowest: 4, Step: 0.5, Steps: 3})
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []int{0, 1, 1} { // 4: the value on the limit is not beyond it; 4.5; 5: 5 per kg is not beyond
		if l := limits[i]; l.Onsets != want || l.Population != 1 {
			t.Errorf("limit %v: got %d onsets of %d transports, want %d of 1", l.Limit, l.Onsets, l.Population, want)
		}
	}
}

func TestReplayRefuses(t *testing.T) {
	r := newFixture(t).reader()
	for _, g := range []Grid{{Step: 0, Steps: 3}, {Step: 1, Steps: 0}, {Step: 1, Steps: 1001}, {Step: math.NaN(), Steps: 3}, {Lowest: math.Inf(1), Step: 1, Steps: 3}, {Step: 1, Steps: 3, From: "March"}} {
		if _, err := r.Replay(t.Context(), g); err == nil {
			t.Errorf("%+v was taken", g)
		}
	}
	if _, err := r.ReplayHeld(t.Context(), Grid{Quantity: "pip"}, HeldLimit{Limit: math.NaN(), Other: 1}); err == nil {
		t.Error("a limit that is no number was taken")
	}
	if _, err := r.ReplayHeld(t.Context(), Grid{Quantity: "pip"}, HeldLimit{1, 1, -time.Second}); err == nil {
		t.Error("a negative delay was taken")
	}
	if limits, err := r.Replay(t.Context(), Grid{Quantity: "pip", Step: 1, Steps: 2}); err != nil || len(limits) != 2 || limits[0].Population != 0 || limits[0].Hours != 0 {
		t.Errorf("no readings: got %v, %v", limits, err)
	}
}
