package draft

import (
	"math"
	"math/rand/v2"
	"testing"
)

// best tries every pairing: the check by another way.
func best(scores [][]float64, row int, used []bool) float64 {
	if row == len(scores) {
		return 0
	}
	most := best(scores, row+1, used)
	for j, score := range scores[row] {
		if !used[j] && score > 0 {
			used[j] = true
			most = max(most, score+best(scores, row+1, used))
			used[j] = false
		}
	}
	return most
}

func TestAssignIsTheBestOfAllPairings(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 400 {
		n, m := 1+r.IntN(5), 1+r.IntN(5)
		scores := make([][]float64, n)
		for i := range scores {
			for range m {
				scores[i] = append(scores[i], float64(r.IntN(12)-3)/4)
			}
		}
		sum, seen := 0.0, map[int]bool{}
		for i, j := range assign(scores) {
			if j < 0 {
				continue
			}
			if seen[j] || scores[i][j] <= 0 {
				t.Fatalf("%v: column %d is taken twice or for nothing", scores, j)
			}
			seen[j] = true
			sum += scores[i][j]
		}
		if want := best(scores, 0, make([]bool, m)); math.Abs(sum-want) > 1e-9 {
			t.Fatalf("%v: sum %v, expected %v", scores, sum, want)
		}
	}
}
