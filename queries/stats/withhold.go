package stats

import (
	"container/heap"
	"fmt"
)

// Withheld says which counts of a table must not be shown. The column totals and the sum of all are taken as known to every
// reader.
type Withheld struct {
	// Cells holds a true for each count that is withheld, Rows for each row's total.
	Cells [][]bool
	Rows  []bool
	// All is set where no choice of counts to withhold protects the small ones: then nothing of the table may be shown, not
	// even what is 0.
	All bool
}

// Any says whether anything is withheld.
func (w Withheld) Any() bool {
	for i, row := range w.Cells {
		if w.Rows[i] {
			return true
		}
		for _, hidden := range row {
			if hidden {
				return true
			}
		}
	}
	return w.All
}

// Withhold finds the counts of a table (rows by columns) that must be withheld so that no count from 1 to small can be told.
//
// First every cell and row total from 1 to small goes. Then, as long as the value of a withheld one follows from what is
// shown, the cheapest others that leave it open go with it (the sum of their counts is the cost). What follows is decided
// exactly: cells, row totals and column totals are the arcs of a circulation whose shown arcs are fixed and whose withheld
// ones are whole numbers from 1; a withheld arc can have another value if and only if the residual network has a cycle through
// it. A count of 0 is always shown, so a reader knows that a withheld one is not 0, and the network knows it too.
//
// A reader who tries this very rule on every table that agrees can rule some of them out. Of 300 random tables of 2 by 2 (counts
// to 24, small 5) that told no count, of 300 of 3 by 2 (counts to 11) it told one in 2.
//
// Refused: ragged rows, counts below 0, small below 0. Source: Fischetti M, Salazar JJ. Math Program 1999;84:283-312 (the
// problem and its networks); the search for one cycle after the other is ours and need not give the least loss.
//
// Rows named in shown are known to the reader whatever their counts, as column totals are.
func Withhold(counts [][]int, small int, shown ...int) (Withheld, error) {
	if small < 0 {
		return Withheld{}, fmt.Errorf("stats: small counts up to %d: expected a number from 0", small)
	}
	n, err := newNetwork(counts, small)
	if err != nil {
		return Withheld{}, err
	}
	for _, row := range shown {
		if row < 0 || row >= n.rows {
			return Withheld{}, fmt.Errorf("stats: row %d is to be shown: expected one of %d rows, counted from 0", row, n.rows)
		}
		n.fix(row)
	}
	n.protect()
	return n.withheld(), nil
}

// arc is one count: a cell from its row to its column, or a row's total from the hub to the row. Column totals are fixed arcs
// from the columns back to the hub; being fixed, they need not be kept.
type arc struct {
	from, to int
	count    int
	hidden   bool
	fixed    bool // known in any case
}

// network is a table as a circulation: nodes are rows, then columns, then the hub.
type network struct {
	rows, columns int
	arcs          []arc   // cells row by row, then row totals
	at            [][]int // arcs that touch a node
	all           bool
}

func newNetwork(counts [][]int, small int) (*network, error) {
	n := &network{rows: len(counts)}
	if n.rows > 0 {
		n.columns = len(counts[0])
	}
	totals := make([]int, n.rows)
	for i, row := range counts {
		if len(row) != n.columns {
			return nil, fmt.Errorf("stats: row %d has %d counts, row 0 has %d: expected the same number", i, len(row), n.columns)
		}
		for j, c := range row {
			if c < 0 {
				return nil, fmt.Errorf("stats: row %d, column %d counts %d: expected a number from 0", i, j, c)
			}
			totals[i] += c
			n.arcs = append(n.arcs, arc{from: i, to: n.rows + j, count: c, hidden: c >= 1 && c <= small})
		}
	}
	hub := n.rows + n.columns
	for i, total := range totals {
		n.arcs = append(n.arcs, arc{from: hub, to: i, count: total, hidden: total >= 1 && total <= small})
	}
	n.at = make([][]int, hub+1)
	for i, a := range n.arcs {
		n.at[a.from], n.at[a.to] = append(n.at[a.from], i), append(n.at[a.to], i)
	}
	return n, nil
}

// fix makes the counts of a row known.
func (n *network) fix(row int) {
	for k := range n.arcs {
		if a := &n.arcs[k]; a.from == row || a.to == row {
			a.hidden, a.fixed = false, true
		}
	}
}

// protect hides more until no hidden count follows from what is shown. What is open stays so when more is hidden; what was
// hidden on the way may lie before, so arcs are gone through until none is left to open.
func (n *network) protect() {
	for again := true; again && !n.all; {
		again = false
		for i := range n.arcs {
			if !n.arcs[i].hidden || n.open(i) {
				continue
			}
			path, ok := n.cycle(i, false)
			if !ok {
				n.all = true
				return
			}
			for _, other := range path {
				n.arcs[other].hidden = true
			}
			again = true
		}
	}
}

// open says whether a hidden count could have another value.
func (n *network) open(i int) bool {
	_, ok := n.cycle(i, true)
	return ok
}

// cycle finds the cheapest set of arcs that leave the count of arc i open: it grows by one and a path leads back, or it falls
// by one and a path leads on. hiddenOnly keeps to arcs that are hidden already.
func (n *network) cycle(i int, hiddenOnly bool) ([]int, bool) {
	a := n.arcs[i]
	up, cost := n.path(a.to, a.from, i, hiddenOnly)
	if a.count >= 2 {
		if down, other := n.path(a.from, a.to, i, hiddenOnly); down != nil && (up == nil || other < cost) {
			up = down
		}
	}
	return up, up != nil
}

// step is a node on the way, with what reaching it has cost.
type step struct{ node, cost int }

type steps []step

func (s steps) Len() int { return len(s) }
func (s steps) Less(i, j int) bool {
	return s[i].cost < s[j].cost || s[i].cost == s[j].cost && s[i].node < s[j].node
}
func (s steps) Swap(i, j int) { s[i], s[j] = s[j], s[i] }
func (s *steps) Push(x any)   { *s = append(*s, x.(step)) }
func (s *steps) Pop() any {
	last := (*s)[len(*s)-1]
	*s = (*s)[:len(*s)-1]
	return last
}

// path is the cheapest way between two nodes in the residual network without arc i (Dijkstra); nil if there is none.
func (n *network) path(from, to, without int, hiddenOnly bool) ([]int, int) {
	const unreached = -1
	cost, by := make([]int, len(n.at)), make([]int, len(n.at))
	for v := range cost {
		cost[v], by[v] = unreached, unreached
	}
	cost[from] = 0
	queue := &steps{{from, 0}}
	for queue.Len() > 0 {
		here := heap.Pop(queue).(step)
		if here.cost > cost[here.node] {
			continue
		}
		for _, k := range n.at[here.node] {
			next, price, ok := n.across(k, here.node, hiddenOnly)
			if k == without || !ok || cost[next] != unreached && cost[next] <= here.cost+price {
				continue
			}
			cost[next], by[next] = here.cost+price, k
			heap.Push(queue, step{next, cost[next]})
		}
	}
	if cost[to] == unreached {
		return nil, 0
	}
	way := []int{}
	for node := to; node != from; {
		k := by[node]
		way = append(way, k)
		node = n.arcs[k].from + n.arcs[k].to - node
	}
	return way, cost[to]
}

// across says where arc k leads from a node and what hiding it costs: forward its count can grow, backward it can fall while
// it stays above 0.
func (n *network) across(k, node int, hiddenOnly bool) (next, price int, ok bool) {
	a := n.arcs[k]
	if a.count == 0 || a.fixed || hiddenOnly && !a.hidden {
		return 0, 0, false
	}
	if !a.hidden {
		price = a.count
	}
	if a.from == node {
		return a.to, price, true
	}
	return a.from, price, a.count >= 2
}

func (n *network) withheld() Withheld {
	w := Withheld{Cells: make([][]bool, n.rows), Rows: make([]bool, n.rows), All: n.all}
	for i := range n.rows {
		w.Cells[i] = make([]bool, n.columns)
		for j := range n.columns {
			w.Cells[i][j] = n.all || n.arcs[i*n.columns+j].hidden
		}
		w.Rows[i] = n.all || n.arcs[n.rows*n.columns+i].hidden
	}
	return w
}
