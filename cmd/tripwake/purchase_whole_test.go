package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"
)

// fixedCandidates are those that testdata/recompute/purchases.py replays.
const fixedCandidates = `[{"name": "battery", "kind": "battery", "endurance": 150, "endurance_dimmed": 180, "derating": 0.7, "price": 1, "life": 1},
	{"name": "set", "kind": "cylinders", "sizes": ["E", "E"], "pressure": 2000, "price": 1, "life": 1}]`

func (r purchaseRow) key() string {
	return fmt.Sprintf("%s %s %q %q %s", r.Candidate, r.Kind, r.Team, r.Group, r.Name)
}

// holdPurchase compares the replays of a store with those of the second reading: every number that it gives.
func holdPurchase(t *testing.T, p *place, want string) {
	t.Helper()
	found := map[string]float64{}
	for _, r := range objects[purchaseRow](t, p.good("measure", "--purchase", "--format", "json", "--candidates", fixedCandidates)) {
		if r.Value != nil {
			found[r.key()] = *r.Value
		}
	}
	compared := 0
	for _, r := range objects[purchaseRow](t, want) {
		if got, ok := found[r.key()]; !ok || math.Abs(got-*r.Value) > wholeDigits*math.Max(1, math.Abs(*r.Value)) {
			t.Errorf("%s: %v (%v), want %v", r.key(), got, ok, *r.Value)
		}
		compared++
	}
	if compared < 50 {
		t.Errorf("%d numbers compared, expected at least 50", compared)
	}
}

// The replays of the whole-run cases against a second, slow reading of the definitions (testdata/recompute/purchases.py).
func TestWholePurchases(t *testing.T) {
	for _, name := range []string{"mixed-exports-a", "mixed-exports-b"} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			data := filepath.Join("..", "..", "testdata")
			in, err := filepath.Abs(filepath.Join(data, name, "in"))
			if err != nil {
				t.Fatal(err)
			}
			want, err := os.ReadFile(filepath.Join(data, "purchases", name+".jsonl"))
			if err != nil {
				t.Fatal(err)
			}
			p := newPlace(t, wholeZone)
			p.good("load", in)
			holdPurchase(t, p, string(want))
		})
	}
}
