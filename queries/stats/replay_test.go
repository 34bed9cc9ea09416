package stats

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// Six requests on two units, worked out by hand (hours):
//
//	A 0–4 takes unit 1; B 1–3 takes unit 2; C 2–5 finds none free; D 3–6 takes unit 2, given back at 3;
//	E 3.5–7 finds none free (A until 4, D until 6); F 4–8 takes unit 1, given back at 4.
//
// With three units C takes the third (until 5), D unit 2, E finds none free (A, C, D), F unit 1. With four none is lost.
var sixRequests = []Hold{{0, 4}, {1, 3}, {2, 5}, {3, 6}, {3.5, 7}, {4, 8}}

func TestReplayByHand(t *testing.T) {
	for units, want := range map[int][]bool{
		0: {true, true, true, true, true, true},
		1: {false, true, true, true, true, false},
		2: {false, false, true, false, true, false},
		3: {false, false, false, false, true, false},
		4: {false, false, false, false, false, false},
	} {
		lost, err := ReplayLoss(sixRequests, Constant(0, units))
		if err != nil || !slices.Equal(lost, want) {
			t.Errorf("%d units: lost %v, want %v (%v)", units, lost, want, err)
		}
	}
}

// Two units, one of them away from 2.5 to 4: A and B keep theirs; D at 3 meets A alone, but only one unit is there, so D finds
// none free where it was served before; E too; F at 4 finds both back and A's given back.
func TestReplayWithUnitsAway(t *testing.T) {
	lost, err := ReplayLoss(sixRequests, []Step{{0, 2}, {2.5, 1}, {4, 2}})
	if want := []bool{false, false, true, true, true, false}; err != nil || !slices.Equal(lost, want) {
		t.Errorf("lost %v, want %v (%v)", lost, want, err)
	}
}

// A lasts 0–4, B 1–3, C 2–5, D 3–6, E 3.5–7, F 4–8 (all served): level 1 in 0–1, 2 in 1–2, 3 in 2–3 and 3–3.5 (B leaves as D
// comes), 4 in 3.5–4 and 4–5 (A leaves as F comes), 3 in 5–6, 2 in 6–7, 1 in 7–8, none in 8–10.
func TestConcurrencyByHand(t *testing.T) {
	for _, c := range []struct {
		from, to float64
		want     []float64
	}{{0, 10, []float64{2, 2, 2, 2.5, 1.5}}, {2, 4, []float64{0, 0, 0, 1.5, 0.5}}, {-1, 0, []float64{1}}, {20, 21, []float64{1}}} {
		levels, err := Concurrency(sixRequests, c.from, c.to)
		if err != nil || !slices.Equal(levels, c.want) {
			t.Errorf("%v to %v: %v, want %v (%v)", c.from, c.to, levels, c.want, err)
		}
	}
	levels, err := Concurrency(nil, 0, 3)
	if err != nil || !slices.Equal(levels, []float64{3}) {
		t.Errorf("no requests: %v (%v)", levels, err)
	}
}

// slowReplay asks at each request which of those served before still hold a unit: plain, and slow.
func slowReplay(requests []Hold, units []Step) []bool {
	lost := make([]bool, len(requests))
	for i, r := range requests {
		held, here := 0, 0
		for j := range i {
			if !lost[j] && requests[j].To > r.From {
				held++
			}
		}
		for _, s := range units {
			if s.At <= r.From {
				here = s.Units
			}
		}
		lost[i] = held >= here
	}
	return lost
}

// slowLevels counts at the middle of every stretch between two moments at which anything happens.
func slowLevels(requests []Hold, from, to float64) map[int]float64 {
	moments := []float64{from, to}
	for _, r := range requests {
		moments = append(moments, min(max(r.From, from), to), min(max(r.To, from), to))
	}
	slices.Sort(moments)
	levels := map[int]float64{}
	for i := 1; i < len(moments); i++ {
		middle, n := (moments[i-1]+moments[i])/2, 0
		for _, r := range requests {
			if r.From <= middle && middle < r.To {
				n++
			}
		}
		levels[n] += moments[i] - moments[i-1]
	}
	return levels
}

// made draws requests in order; whole numbers, so that ends and starts meet.
func made(d *rand.Rand) ([]Hold, []Step) {
	var requests []Hold
	at := 0.0
	for range d.IntN(60) {
		at += float64(d.IntN(3))
		requests = append(requests, Hold{at, at + float64(d.IntN(9))})
	}
	steps := []Step{{float64(d.IntN(3)), d.IntN(5)}}
	for range d.IntN(4) {
		steps = append(steps, Step{steps[len(steps)-1].At + float64(d.IntN(30)), d.IntN(5)})
	}
	return requests, steps
}

func TestReplayAgainstPlainSimulation(t *testing.T) {
	for seed := range uint64(400) {
		d := rand.New(rand.NewPCG(seed, 1))
		requests, steps := made(d)
		lost, err := ReplayLoss(requests, steps)
		if err != nil || !slices.Equal(lost, slowReplay(requests, steps)) {
			t.Fatalf("seed %d: %v %v: lost %v (%v)", seed, requests, steps, lost, err)
		}
		from := float64(d.IntN(20))
		to := from + 1 + float64(d.IntN(60))
		levels, err := Concurrency(requests, from, to)
		if err != nil || math.Abs(sum(levels)-(to-from)) > 1e-9 {
			t.Fatalf("seed %d: levels %v from %v to %v (%v)", seed, levels, from, to, err)
		}
		for n, hours := range slowLevels(requests, from, to) {
			if hours > 0 && (n >= len(levels) || math.Abs(levels[n]-hours) > 1e-9) {
				t.Fatalf("seed %d: level %d is %v in %v", seed, n, hours, levels)
			}
		}
	}
}

// Poisson arrivals of exponential length meet Erlang B: a load of 2 on 3 units loses (4/3)/(1 + 2 + 2 + 4/3) = 4/19 (Erlang AK
// 1917), within four standard errors of 200 000 requests.
func TestReplayMeetsErlangB(t *testing.T) {
	d := rand.New(rand.NewPCG(7, 7))
	const n = 200_000
	var requests []Hold
	at := 0.0
	for range n {
		at += d.ExpFloat64()
		requests = append(requests, Hold{at, at + 2*d.ExpFloat64()})
	}
	lost, err := ReplayLoss(requests, Constant(0, 3))
	if err != nil {
		t.Fatal(err)
	}
	count := 0.0
	for _, l := range lost {
		if l {
			count++
		}
	}
	model, err := ErlangB(2, 3)
	if err != nil || math.Abs(model-4.0/19) > 1e-12 {
		t.Fatalf("Erlang B %v, want %v (%v)", model, 4.0/19, err)
	}
	if got := count / n; math.Abs(got-model) > 0.006 {
		t.Errorf("lost %v, Erlang B says %v", got, model)
	}
}

func TestReplayRefuses(t *testing.T) {
	for _, c := range []struct {
		requests []Hold
		units    []Step
	}{
		{[]Hold{{2, 3}, {1, 4}}, nil}, {[]Hold{{2, 1}}, nil}, {[]Hold{{math.NaN(), 1}}, nil}, {nil, []Step{{2, 1}, {1, 1}}}, {nil, []Step{{0, -1}}},
	} {
		if _, err := ReplayLoss(c.requests, c.units); err == nil {
			t.Errorf("%v on %v was taken", c.requests, c.units)
		}
	}
	for _, c := range [][2]float64{{1, 1}, {2, 1}, {math.Inf(-1), 1}} {
		if _, err := Concurrency(nil, c[0], c[1]); err == nil {
			t.Errorf("concurrency from %v to %v was taken", c[0], c[1])
		}
	}
}

// Weeks of 0 to 3 lost requests: the bootstrap of the sum comes near the normal one, n·mean ± 1.96·sd·√n (central limit), and
// the same seed gives the same limits.
func TestBootstrapSum(t *testing.T) {
	d := rand.New(rand.NewPCG(3, 3))
	weeks := make([]float64, 80)
	for i := range weeks {
		weeks[i] = float64(d.IntN(4))
	}
	e, err := BootstrapSum(weeks, 1)
	if err != nil || e.Value != sum(weeks) {
		t.Fatalf("%+v (%v)", e, err)
	}
	half := 1.959964 * sd(weeks) * math.Sqrt(80)
	if math.Abs(e.Low-(e.Value-half)) > 4 || math.Abs(e.High-(e.Value+half)) > 4 {
		t.Errorf("limits %v to %v, the normal ones are %v to %v", e.Low, e.High, e.Value-half, e.Value+half)
	}
	again, _ := BootstrapSum(weeks, 1)
	other, _ := BootstrapSum(weeks, 2)
	if again != e || other.Value != e.Value || fmt.Sprint(other) == fmt.Sprint(e) {
		t.Errorf("seed 1 gives %v and %v, seed 2 %v", e, again, other)
	}
	none, err := BootstrapSum(make([]float64, 40), 1)
	if err != nil || none.Low != 0 || none.High != 0 || none.Warning == "" {
		t.Errorf("nothing in 40 weeks: %+v (%v)", none, err)
	}
}

// One block has one sum. Two blocks of 0 and 1 give sums 0, 1, 2 in the ratio 1 : 2 : 1, so that the limits are 0 and 2.
func TestBootstrapOfFew(t *testing.T) {
	if e, err := BootstrapSum([]float64{5}, 1); err != nil || e.Value != 5 || e.Low != 5 || e.High != 5 || e.Warning == "" {
		t.Errorf("one block: %+v (%v)", e, err)
	}
	if e, err := BootstrapSum([]float64{0, 1}, 1); err != nil || e.Value != 1 || e.Low != 0 || e.High != 2 {
		t.Errorf("two blocks: %+v (%v)", e, err)
	}
	if e, err := BootstrapRatio([]float64{1, 3}, []float64{4, 4}, 1); err != nil || e.Value != 0.5 || e.Low != 0.25 || e.High != 0.75 {
		t.Errorf("ratio: %+v (%v)", e, err)
	}
	for _, bad := range []func() (Estimate, error){
		func() (Estimate, error) { return BootstrapSum(nil, 1) },
		func() (Estimate, error) { return BootstrapSum([]float64{math.NaN()}, 1) },
		func() (Estimate, error) { return BootstrapRatio([]float64{1}, []float64{0}, 1) },
		func() (Estimate, error) { return BootstrapRatio([]float64{1}, []float64{1, 2}, 1) },
	} {
		if e, err := bad(); err == nil {
			t.Errorf("taken: %+v", e)
		}
	}
}
