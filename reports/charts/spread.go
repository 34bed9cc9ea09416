package charts

import (
	"math"
	"sort"
)

// box is a rectangle in px.
type box struct{ left, top, right, bottom float64 }

func (b box) width() float64  { return b.right - b.left }
func (b box) height() float64 { return b.bottom - b.top }

// overlap is the common area of two boxes.
func (b box) overlap(o box) float64 {
	w := math.Min(b.right, o.right) - math.Max(b.left, o.left)
	h := math.Min(b.bottom, o.bottom) - math.Max(b.top, o.top)
	if w <= 0 || h <= 0 {
		return 0
	}
	return w * h
}

// spread moves places along a line apart so that neighbours are at least their half sizes away from each other, each as
// little as may be, inside lo..hi as far as they fit. Order is kept. at are the wanted centres, size their extents.
func spread(at, size []float64, lo, hi float64) []float64 {
	order := make([]int, len(at))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return at[order[a]] < at[order[b]] })
	out := make([]float64, len(at))
	for _, c := range clusters(order, at, size, lo, hi) {
		edge := c.start
		for _, i := range c.members {
			out[i] = edge + size[i]/2
			edge += size[i]
		}
	}
	return out
}

// cluster is a run of neighbours that touch: it sits where the mean of its members' wishes is met.
type cluster struct {
	members            []int
	start, total, wish float64 // wish: the sum over the members of the start that each would like
}

// clusters pools neighbours until none touch (pool adjacent violators).
func clusters(order []int, at, size []float64, lo, hi float64) []cluster {
	var out []cluster
	for _, i := range order {
		c := cluster{members: []int{i}, total: size[i], wish: at[i] - size[i]/2}
		c.settle(lo, hi)
		for len(out) > 0 && out[len(out)-1].start+out[len(out)-1].total > c.start {
			last := out[len(out)-1]
			out = out[:len(out)-1]
			c.wish = last.wish + c.wish - float64(len(c.members))*last.total
			c.members = append(last.members, c.members...)
			c.total += last.total
			c.settle(lo, hi)
		}
		out = append(out, c)
	}
	return out
}

func (c *cluster) settle(lo, hi float64) {
	c.start = math.Max(lo, math.Min(c.wish/float64(len(c.members)), hi-c.total))
}

// free picks, of several places for a label, the first that touches nothing taken, else the one that covers least.
func free(candidates []box, taken []box) (best box, clear bool) {
	least := math.Inf(1)
	for _, c := range candidates {
		sum := 0.0
		for _, t := range taken {
			sum += c.overlap(t)
		}
		if sum < least {
			least, best = sum, c
		}
		if sum == 0 {
			break
		}
	}
	return best, least == 0
}
