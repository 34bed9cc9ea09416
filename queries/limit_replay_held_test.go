package queries

import (
	"testing"
	"time"
)

func heldAgainstTheSlowWay(t *testing.T, r *Reader, all map[string][][]sample, g Grid) {
	t.Helper()
	var asked []HeldLimit
	for _, delay := range []int{0, 7, 60, 61, 120} {
		for _, limit := range []float64{3, 6.5, 9} {
			other := limit + 2
			if !g.High {
				other = limit - 2
			}
			asked = append(asked, HeldLimit{limit, other, time.Duration(delay) * time.Second})
		}
	}
	got, err := r.ReplayHeld(t.Context(), g, asked...)
	if err != nil || len(got) != len(asked) {
		t.Fatalf("got %d answers, %v", len(got), err)
	}
	for i, a := range asked {
		if want := slowly(all, g.High, a.Limit, a.Other, int(a.Delay.Seconds())); got[i] != want {
			t.Errorf("high %v, %+v: got %+v, want %+v", g.High, a, got[i], want)
		}
		if alone, err := r.ReplayHeld(t.Context(), g, a); err != nil || alone[0] != got[i] {
			t.Errorf("high %v, %+v: got %+v alone, %+v with others, %v", g.High, a, alone, got[i], err)
		}
	}
}

// Every limit of a grid with every delay, in one go, is what the slow way gives for each alone.
func TestReplayDelaysAgainstTheSlowWay(t *testing.T) {
	delays := []time.Duration{20 * time.Second, 0, 61 * time.Second}
	for _, tied := range []bool{false, true} {
		f, all := replayFixture(t, tied)
		r := f.reader()
		for _, high := range []bool{true, false} {
			got, err := r.ReplayDelays(t.Context(), Grid{Quantity: "pip", High: high, Lowest: 2, Step: 1.5, Steps: 6}, delays)
			if err != nil || len(got) != 18 {
				t.Fatalf("got %d answers, %v", len(got), err)
			}
			for i, g := range got {
				limit, delay := 2+1.5*float64(i/3), delays[i%3]
				want := slowly(all, high, limit, limit, int(delay.Seconds()))
				if g.Limit != limit || g.Delay != delay || g.Onsets != want.Onsets || g.Transports != want.Transports {
					t.Errorf("ties %v, high %v: got %+v, want %d onsets on %d transports at %v for %v", tied, high, g, want.Onsets, want.Transports, limit, delay)
				}
			}
		}
	}
	r := newFixture(t).reader()
	for _, delays := range [][]time.Duration{nil, {-time.Second}} {
		if _, err := r.ReplayDelays(t.Context(), Grid{Quantity: "pip", Step: 1, Steps: 1}, delays); err == nil {
			t.Errorf("delays %v were taken", delays)
		}
	}
	if none, err := r.ReplayDelays(t.Context(), Grid{Quantity: "pip", Step: 1, Steps: 1}, []time.Duration{0}); err != nil || len(none) != 1 || none[0].Onsets != 0 {
		t.Errorf("no reading: got %v, %v", none, err)
	}
}
