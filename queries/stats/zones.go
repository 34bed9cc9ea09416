package stats

// The rules below read z-scores, (value - centre)/sigma of each point in
// order, and return the indexes (from 0) of the points at which a pattern is
// complete. They are for exploration: the reports use the rules of Signal.
// NaN is on no side and breaks every pattern; an empty slice gives none.

// BeyondZ finds single points with |z| strictly above limit. Source: Nelson LS.
// J Qual Technol 1984;16:237-239, test 1.
func BeyondZ(z []float64, limit float64) []int {
	return windows(z, 1, func(w []float64) bool { return outside(w, limit, 1) != 0 })
}

// MostBeyondZ finds points that complete "k of the last n beyond limit on one
// side" and are themselves such a point: (2, 3, 2) and (4, 5, 1) are tests 5
// and 6. Source: Nelson 1984; Western Electric, Statistical Quality Control
// Handbook 1956.
func MostBeyondZ(z []float64, k, n int, limit float64) []int {
	return windows(z, n, func(w []float64) bool {
		side := outside(w, limit, k)
		return side != 0 && w[len(w)-1]*side > limit
	})
}

// SameSideZ finds points that complete n in a row strictly on one side of 0.
// n is 8 for Western Electric's fourth rule and 9 for Nelson's test 2. Source:
// as MostBeyondZ.
func SameSideZ(z []float64, n int) []int {
	return windows(z, n, func(w []float64) bool { return outside(w, 0, n) != 0 })
}

// MonotoneZ finds points that complete n in a row, each strictly above (or
// each strictly below) the one before; n is 6 for Nelson's test 3. Source:
// Nelson 1984.
func MonotoneZ(z []float64, n int) []int {
	return windows(z, n, func(w []float64) bool {
		up, down := 0, 0
		for i := 1; i < len(w); i++ {
			if w[i] > w[i-1] {
				up++
			}
			if w[i] < w[i-1] {
				down++
			}
		}
		return up == n-1 || down == n-1
	})
}

// windows slides over n points and returns the ends of those that match.
func windows(z []float64, n int, match func([]float64) bool) []int {
	var ends []int
	for end := n; n > 0 && end <= len(z); end++ {
		if match(z[end-n : end]) {
			ends = append(ends, end-1)
		}
	}
	return ends
}

// outside is 1 if at least k points lie above limit, -1 if below -limit, 0 if
// neither.
func outside(w []float64, limit float64, k int) float64 {
	up, down := 0, 0
	for _, v := range w {
		if v > limit {
			up++
		}
		if v < -limit {
			down++
		}
	}
	switch {
	case up >= k:
		return 1
	case down >= k:
		return -1
	}
	return 0
}
