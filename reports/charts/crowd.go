package charts

import (
	"maps"
	"math"
	"slices"
)

// MostDots is how many points of one group are drawn one by one; with more they hide each other, and a report grows by megabytes.
const MostDots = 1500

// crowdCell is the side in px of the squares into which the points of a larger group are counted.
const crowdCell = 5.0

// crowdSteps are the marks of a square by how many points fall into it.
var crowdSteps = []struct {
	name  string
	from  int
	shape marker
}{
	{"1", 1, marker{shape: "circle", size: 2.6, fill: white, edge: blue, edgeWidth: 0.6}},
	{"2 to 9", 2, marker{shape: "circle", size: 3.6, fill: blue}},
	{"10 or more", 10, marker{shape: "rect", size: 4.6, fill: ink}},
}

// crowded says that there are too many points to draw one by one. Only a single group is ever so large.
func (a Agreement) crowded() bool { return len(a.Groups) == 1 && len(a.Groups[0].Points) > MostDots }

// square is where some points lie together.
type square struct {
	points int
	sum    xy
}

// crowd draws one mark for each square that holds a point, at the mean of its points.
func (a Agreement) crowd(s *sheet) {
	squares := map[[2]int]square{}
	for _, p := range a.Groups[0].Points {
		at := [2]int{int(math.Floor((s.px(p.X) - s.plot.left) / crowdCell)), int(math.Floor((s.py(p.Y) - s.plot.top) / crowdCell))}
		q := squares[at]
		squares[at] = square{q.points + 1, xy{q.sum.X + p.X, q.sum.Y + p.Y}}
	}
	inOrder := slices.SortedFunc(maps.Keys(squares), func(a, b [2]int) int { return slices.Compare(a[:], b[:]) })
	var key []keyEntry
	for i, step := range crowdSteps {
		var marks []xy
		for _, at := range inOrder {
			q := squares[at]
			if n := float64(q.points); q.points >= step.from && (i+1 == len(crowdSteps) || q.points < crowdSteps[i+1].from) {
				mean := xy{q.sum.X / n, q.sum.Y / n}
				marks = append(marks, mean)
				s.tip(mean.X, mean.Y, a.X.value(mean.X)+", "+a.Y.value(mean.Y), number(n, 0)+" here")
			}
		}
		s.dots(marks, step.shape)
		key = append(key, keyEntry{step.name, step.shape})
	}
	s.key(titleRoom+4, key)
}
