package queries

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// support is a record of random settings and readings, and what follows from it when it is added up reading by reading.
type support struct {
	apart              []float64 // of each pair of a reading and a setting
	hours, far         float64
	shares             []float64 // of the time below, by transport, in %
	below, above, read float64
}

// randomSupport has transports with two or three settings under way (minute 60 to 180) and readings at random minutes, each holding
// to the next, 1 min at most; PIP and SpO2 are the same numbers, as samples or alone. Set PIP is 20 to 22; above counts from 35.
func randomSupport(f *fixture, random *rand.Rand, transports int) support {
	var all support
	for n := range transports {
		id := fmt.Sprintf("T%02d", n)
		f.trip(id, nil)
		starts, pips := []float64{60}, []float64{float64(20 + random.IntN(3))}
		for range 1 + random.IntN(2) {
			starts, pips = append(starts, starts[len(starts)-1]+float64(5+random.IntN(30))), append(pips, float64(20+random.IntN(3)))
		}
		for i, minute := range starts {
			f.add("settings", cells{"trip": q(id), "device_id": q("V"), "recorded_at": at(minute), "mode": q("simv"), "interface": q("tube"), "pip": fmt.Sprint(pips[i]), "fio2": "40"})
		}
		starts = append(starts, 180)
		minutes := random.Perm(1200)[:20+random.IntN(40)]
		slices.Sort(minutes)
		below, read := 0.0, 0.0
		for i, minute := range minutes {
			from, value := 50+float64(minute)/8, float64(140+random.IntN(250))/10
			until := from + 1
			if i+1 < len(minutes) {
				until = min(until, 50+float64(minutes[i+1])/8)
			}
			f.sampled(random.IntN(2) == 0, id, from, cells{"pip": fmt.Sprint(value), "spo2": fmt.Sprint(value)})
			f.sampled(random.IntN(2) == 0, id, from+random.Float64()/8, cells{"peep": "5"}) // ends the hold of no other
			for k, pip := range pips {
				held := (min(until, starts[k+1]) - max(from, starts[k])) / 60
				if held <= 1e-12 {
					continue
				}
				apart := math.Round((value-pip)*1e9) / 1e9
				all.apart, all.hours = append(all.apart, apart), all.hours+held
				if math.Abs(apart) > Defaults().PressureApart {
					all.far += held
				}
				if read += held; value < 18 {
					below += held
				} else if value > 35 {
					all.above += held
				}
			}
		}
		if all.read, all.below = all.read+read, all.below+below; read > 0 {
			all.shares = append(all.shares, 100*below/read)
		}
	}
	return all
}

// middle is the median of type 7.
func middle(values []float64) float64 {
	slices.Sort(values)
	return (values[(len(values)-1)/2] + values[len(values)/2]) / 2
}

// Whatever fits into memory at a time, three readings or all, what is said of measured against set, and of a range, is what reading by
// reading adds up to.
func TestSupportHeldInPartsIsTheSame(t *testing.T) {
	whole := readingsAtOnce
	t.Cleanup(func() { readingsAtOnce = whole })
	for seed := range uint64(4) {
		f := newFixture(t)
		want := randomSupport(f, rand.New(rand.NewPCG(seed, 1)), 9)
		f.set.SpO2Low, f.set.SpO2High = 18, 35
		for _, readingsAtOnce = range []int{3, 100, whole} {
			r := f.reader()
			m, err := r.SetAgainstMeasured(t.Context(), "pip", "2026-03", "2026-03")
			if err != nil {
				t.Fatal(err)
			}
			ranges, err := r.Saturations(t.Context(), "", "")
			if err != nil {
				t.Fatal(err)
			}
			got := []float64{float64(m.Transports), m.Hours, m.ApartHours, *m.Middle, float64(ranges.Transports), ranges.Hours, ranges.Below, ranges.Above, *ranges.MiddleBelow}
			numbers := []float64{9, want.hours, want.far, middle(want.apart), float64(len(want.shares)), want.read, want.below, want.above, middle(want.shares)}
			for i := range got {
				if math.Abs(got[i]-numbers[i]) > 1e-9 {
					t.Errorf("seed %d, %d readings at once: got %v, want %v", seed, readingsAtOnce, got, numbers)
					break
				}
			}
		}
		if parts, err := f.reader().readingParts(t.Context(), "2026-04", "", whole, false, "pip"); err != nil || len(parts) != 1 || parts[0].from.Valid {
			t.Errorf("got %v, %v for a month without transports: want one open range", parts, err)
		}
	}
}
