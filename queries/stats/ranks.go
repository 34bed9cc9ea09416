package stats

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// exactBelow is the group size from which the Mann-Whitney test uses the
// normal law (as R's wilcox.test).
const exactBelow = 50

// RankTest is a comparison of two groups by ranks.
type RankTest struct {
	// Test holds W, the number of pairs with x above y (ties count half), and
	// the two-sided p.
	Test
	// Shift is the Hodges-Lehmann shift of x against y, the median of all x - y,
	// in the unit of the values, with its interval.
	Shift Estimate
}

// MannWhitney compares two independent groups. Both under 50 values and no
// tie: exact law of W, and the interval of the shift between order statistics
// of the differences with its coverage; methods "exact". Else: normal law
// with correction for ties and continuity, and ranks from the normal law
// without the correction for ties (a little wide where many tie); methods
// "normal". Groups so small that no interval reaches 95 %: the widest there
// is, with a warning. Refused: an empty group, NaN, all values equal. Source:
// Hollander M, Wolfe DA. Nonparametric Statistical Methods, 1973, ch. 4; as R's
// wilcox.test (except the interval where values tie).
func MannWhitney(x, y []float64) (RankTest, error) {
	if err := first(atLeast("a rank test, first group,", len(x), 1), atLeast("a rank test, second group,", len(y), 1),
		finite("x", x), finite("y", y)); err != nil {
		return RankTest{}, err
	}
	ranks, ties := midranks(slices.Concat(x, y))
	m, n := float64(len(x)), float64(len(y))
	if total := m + n; ties == total*(total*total-1) {
		return RankTest{}, fmt.Errorf("stats: all %v values are equal: a rank test needs values that differ", total)
	}
	w := sum(ranks[:len(x)]) - m*(m+1)/2
	if ties == 0 && len(x) < exactBelow && len(y) < exactBelow {
		law := rankLaw(len(x), len(y))
		return RankTest{exactRank(w, law), exactShift(x, y, law)}, nil
	}
	return RankTest{normalRank(w, m, n, ties), normalShift(x, y)}, nil
}

// midranks gives ranks from 1, ties sharing their mean, and Σ(t³-t).
func midranks(v []float64) (ranks []float64, ties float64) {
	order := make([]int, len(v))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(v[a], v[b]) })
	ranks = make([]float64, len(v))
	for i := 0; i < len(order); {
		j := i
		for j < len(order) && v[order[j]] == v[order[i]] {
			ranks[order[j]] = 0
			j++
		}
		for k := i; k < j; k++ {
			ranks[order[k]] = float64(i+j+1) / 2
		}
		t := float64(j - i)
		ties += t*t*t - t
		i = j
	}
	return ranks, ties
}

// rankLaw is the cumulative law of W without ties, by the recursion on the
// largest value; law[w] = P(W <= w).
func rankLaw(m, n int) []float64 {
	ways := make([][]float64, n+1) // ways[j][w] for i values of x and j of y
	for j := range ways {
		ways[j] = []float64{1}
	}
	for i := 1; i <= m; i++ {
		next := make([][]float64, n+1)
		next[0] = []float64{1}
		for j := 1; j <= n; j++ {
			row := make([]float64, i*j+1)
			copy(row, next[j-1])
			for w, c := range ways[j] {
				row[w+j] += c
			}
			next[j] = row
		}
		ways = next
	}
	law := ways[n]
	for w := 1; w < len(law); w++ {
		law[w] += law[w-1]
	}
	total := law[len(law)-1]
	for w := range law {
		law[w] /= total
	}
	return law
}

func exactRank(w float64, law []float64) Test {
	k := int(w)
	lower := k
	if k > (len(law)-1)/2 {
		lower = len(law) - 1 - k // by symmetry the upper tail
	}
	return Test{Statistic: w, P: math.Min(1, 2*law[lower]), Method: "mann-whitney exact"}
}

func exactShift(x, y []float64, law []float64) Estimate {
	tail, k := (1-Level)/2, 0
	for law[k] < tail {
		k++
	}
	k = max(k, 1)
	e := shiftBetween(x, y, k)
	e.Method, e.Coverage = "hodges-lehmann exact", 1-2*law[k-1]
	if e.Coverage < Level {
		e.Warning = fmt.Sprintf("the groups are too small for 95 %%: the interval reaches %.1f %%", 100*e.Coverage)
	}
	return e
}

func normalRank(w, m, n, ties float64) Test {
	total := m + n
	variance := m * n / 12 * (total + 1 - ties/(total*(total-1)))
	d := w - m*n/2
	z := math.Max(0, math.Abs(d)-0.5) / math.Sqrt(variance)
	return Test{Statistic: w, P: normalTwoSidedP(z), Method: "mann-whitney normal"}
}

func normalShift(x, y []float64) Estimate {
	m, n := float64(len(x)), float64(len(y))
	k := math.Ceil(m*n/2 - zTwoSided(Level)*math.Sqrt(m*n*(m+n+1)/12) - 0.5)
	e := shiftBetween(x, y, int(math.Max(1, k)))
	e.Method = "hodges-lehmann normal"
	if k < 1 {
		e.Warning = "the groups are too small for 95 %: the interval is the widest there is"
	}
	return e
}

// shiftBetween is the median of the differences between their k-th least and
// k-th greatest.
func shiftBetween(x, y []float64, k int) Estimate {
	x, y = sortedCopy(x), sortedCopy(y)
	all := len(x) * len(y)
	middle := (difference(x, y, (all+1)/2) + difference(x, y, all/2+1)) / 2
	return Estimate{Value: middle, Interval: Interval{Low: difference(x, y, k), High: difference(x, y, all+1-k)}}
}

// difference is the k-th least (from 1) of all x - y of sorted slices, by
// halving the range of float64 values and counting: memory does not grow with
// the number of pairs.
func difference(x, y []float64, k int) float64 {
	lo, hi := ordinal(x[0]-y[len(y)-1]), ordinal(x[len(x)-1]-y[0])
	for lo < hi {
		mid := lo + (hi-lo)/2
		if pairsUpTo(x, y, fromOrdinal(mid)) >= k {
			hi = mid
		} else {
			lo = mid + 1
		}
	}
	return fromOrdinal(lo) + 0 // no negative zero
}

// pairsUpTo counts the pairs with x - y <= d.
func pairsUpTo(x, y []float64, d float64) int {
	pairs, j := 0, 0
	for _, v := range x {
		for j < len(y) && v-y[j] > d {
			j++
		}
		pairs += len(y) - j
	}
	return pairs
}

// ordinal numbers the float64 values in their order.
func ordinal(v float64) uint64 {
	b := math.Float64bits(v)
	if b>>63 == 1 {
		return ^b
	}
	return b | 1<<63
}

func fromOrdinal(o uint64) float64 {
	if o>>63 == 1 {
		return math.Float64frombits(o &^ (1 << 63))
	}
	return math.Float64frombits(^o)
}

// KruskalWallis compares two or more independent groups: H =
// (12/(N(N+1)) ΣR²/n - 3(N+1)) / (1 - Σ(t³-t)/(N³-N)), chi-square with k-1
// degrees of freedom. A group under 5 values gives a warning. Refused: fewer
// than 2 groups, an empty group, NaN, all values equal. Source: Hollander M,
// Wolfe DA 1973, ch. 6; as R's kruskal.test.
func KruskalWallis(groups ...[]float64) (Test, error) {
	if err := atLeast("a Kruskal-Wallis test, in groups,", len(groups), 2); err != nil {
		return Test{}, err
	}
	least := math.MaxInt
	for i, g := range groups {
		if err := first(atLeast(fmt.Sprintf("group %d", i), len(g), 1), finite(fmt.Sprintf("group %d, values", i), g)); err != nil {
			return Test{}, err
		}
		least = min(least, len(g))
	}
	ranks, ties := midranks(slices.Concat(groups...))
	n := float64(len(ranks))
	if ties == n*n*n-n {
		return Test{}, fmt.Errorf("stats: all %v values are equal: a rank test needs values that differ", n)
	}
	h, from := 0.0, 0
	for _, g := range groups {
		r := sum(ranks[from : from+len(g)])
		h, from = h+r*r/float64(len(g)), from+len(g)
	}
	h = math.Max(0, (12/(n*(n+1))*h-3*(n+1))/(1-ties/(n*n*n-n)))
	df := float64(len(groups) - 1)
	test := Test{Statistic: h, DF: df, P: chiSquareP(h, df), Method: "kruskal-wallis"}
	if least < 5 {
		test.Warning = fmt.Sprintf("a group has only %d values: chi-square is rough", least)
	}
	return test, nil
}
