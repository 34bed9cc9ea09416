package draft

import "math"

// assign pairs rows with columns, each at most once, so that the sum of the scores is the greatest (the Hungarian method by
// shortest augmenting paths, O(n²m)). It gives for each row its column, −1 for none; pairs with a score of 0 or less are
// none. Equal sums are settled by the order of rows and columns alone.
func assign(scores [][]float64) []int {
	n := len(scores)
	if n == 0 {
		return nil
	}
	m := len(scores[0])
	width := m + n // a column of its own for each row, at no cost: unpaired
	cost := func(i, j int) float64 {
		if j >= m || scores[i][j] <= 0 {
			return 0
		}
		return -scores[i][j]
	}
	rowPrice, columnPrice := make([]float64, n+1), make([]float64, width+1)
	rowOf, way := make([]int, width+1), make([]int, width+1)
	for i := 1; i <= n; i++ {
		rowOf[0] = i
		last := augment(i, width, cost, rowPrice, columnPrice, rowOf, way)
		for last != 0 {
			before := way[last]
			rowOf[last], last = rowOf[before], before
		}
	}
	return pairs(n, m, rowOf, scores)
}

// augment finds the free column that row i reaches at the least cost, and leaves the way to it.
func augment(i, width int, cost func(i, j int) float64, rowPrice, columnPrice []float64, rowOf, way []int) int {
	least, used := make([]float64, width+1), make([]bool, width+1)
	for j := range least {
		least[j] = math.Inf(1)
	}
	at := 0
	for rowOf[at] != 0 {
		used[at] = true
		row, delta, next := rowOf[at], math.Inf(1), 0
		for j := 1; j <= width; j++ {
			if used[j] {
				continue
			}
			if c := cost(row-1, j-1) - rowPrice[row] - columnPrice[j]; c < least[j] {
				least[j], way[j] = c, at
			}
			if least[j] < delta {
				delta, next = least[j], j
			}
		}
		for j := 0; j <= width; j++ {
			if used[j] {
				rowPrice[rowOf[j]] += delta
				columnPrice[j] -= delta
			} else {
				least[j] -= delta
			}
		}
		at = next
	}
	return at
}

func pairs(n, m int, rowOf []int, scores [][]float64) []int {
	found := make([]int, n)
	for i := range found {
		found[i] = -1
	}
	for j := 1; j <= m; j++ {
		if i := rowOf[j]; i > 0 && scores[i-1][j-1] > 0 {
			found[i-1] = j - 1
		}
	}
	return found
}
