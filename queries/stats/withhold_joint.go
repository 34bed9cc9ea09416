package stats

import (
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"math/bits"
)

// WithholdTogether is Withhold for several tables of the same members, whose counts can be told from each other: columns is
// each member's column (from 0), a table is each member's row in it (from 0). Column totals are known to every reader.
//
// Each table is protected by itself. Then, until nothing changes: counts of the same members have one fate in every table;
// and where a withheld count is a sum or a difference of shown ones, over whatever tables and however many, the smallest of
// these goes too. The second is decided by linear algebra over the members, so it takes any relation that holds among these
// members for one that a reader knows of: it may withhold more than it must, not less. It does not see what follows across
// tables only from counts being whole and above 0; within a table Withhold sees that.
//
// Refused: tables of unequal length, rows or columns below 0, small below 0.
func WithholdTogether(columns []int, tables [][]int, small int) ([]Withheld, error) {
	j := joint{columns: columns}
	for t, rows := range tables {
		if err := j.add(t, rows, small); err != nil {
			return nil, err
		}
	}
	j.sketch(tables)
	for changed := true; changed; {
		for _, n := range j.networks {
			n.protect()
		}
		changed = j.unify() || j.relate()
	}
	all := make([]Withheld, len(j.networks))
	for t, n := range j.networks {
		all[t] = n.withheld()
	}
	return all, nil
}

// joint is several tables over the same members.
type joint struct {
	columns  []int
	networks []*network
	keys     [][]uint64   // by table and arc: which members it counts
	members  [][][]uint64 // by table and arc: see sketch
	totals   [][]uint64   // sketches of the columns
}

func (j *joint) add(t int, rows []int, small int) error {
	if len(rows) != len(j.columns) {
		return fmt.Errorf("stats: table %d has %d members, columns have %d: expected the same number", t, len(rows), len(j.columns))
	}
	height, width := 0, 0
	for i, row := range rows {
		if row < 0 || j.columns[i] < 0 {
			return fmt.Errorf("stats: table %d, member %d: row %d, column %d: expected numbers from 0", t, i, row, j.columns[i])
		}
		height, width = max(height, row+1), max(width, j.columns[i]+1)
	}
	counts := make([][]int, height)
	for i := range counts {
		counts[i] = make([]int, width)
	}
	for i, row := range rows {
		counts[row][j.columns[i]]++
	}
	if small < 0 {
		return fmt.Errorf("stats: small counts up to %d: expected a number from 0", small)
	}
	n, err := newNetwork(counts, small)
	if err != nil {
		return err
	}
	j.networks = append(j.networks, n)
	return nil
}

// sketchSize is how many random sums stand for a set of members. Relations among fewer sets than that are found as they
// are, up to a chance of 1 in 2^61.
const sketchSize = 192

// sketch notes for each arc which members it counts: as a key, and as sums of random weights modulo a prime, which keep every
// linear relation among the sets however many members there are.
func (j *joint) sketch(tables [][]int) {
	for _, n := range j.networks {
		j.members = append(j.members, zeros(len(n.arcs)))
		j.totals = append(j.totals, zeros(max(0, n.columns-len(j.totals)))...)
	}
	weights := make([]uint64, sketchSize)
	for i, column := range j.columns {
		for d := range weights {
			weights[d] = weight(i, d)
		}
		if len(j.networks) > 0 {
			addTo(j.totals[column], weights)
		}
		for t, n := range j.networks {
			row := tables[t][i]
			addTo(j.members[t][row*n.columns+column], weights)
			addTo(j.members[t][n.rows*n.columns+row], weights)
		}
	}
	for _, arcs := range j.members {
		keys := make([]uint64, len(arcs))
		for k := range arcs {
			keys[k] = arcs[k][0]
		}
		j.keys = append(j.keys, keys)
	}
}

func zeros(n int) [][]uint64 {
	sums := make([][]uint64, n)
	for k := range sums {
		sums[k] = make([]uint64, sketchSize)
	}
	return sums
}

func addTo(sums, weights []uint64) {
	for d, w := range weights {
		sums[d] = addMod(sums[d], w)
	}
}

// weight is a number that member and position decide, as good as random.
func weight(member, position int) uint64 {
	h := fnv.New64a()
	var b [16]byte
	binary.LittleEndian.PutUint64(b[:8], uint64(member))
	binary.LittleEndian.PutUint64(b[8:], uint64(position))
	_, _ = h.Write(b[:]) // a hash takes every write
	x := h.Sum64()
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return (x ^ x>>31) % prime
}

// unify hides in every table what is hidden in one.
func (j *joint) unify() (changed bool) {
	hidden := map[uint64]bool{}
	for t, n := range j.networks {
		for k, a := range n.arcs {
			if a.count > 0 && (a.hidden || n.all) {
				hidden[j.keys[t][k]] = true
			}
		}
	}
	for t, n := range j.networks {
		for k := range n.arcs {
			if a := &n.arcs[k]; a.count > 0 && !a.hidden && hidden[j.keys[t][k]] {
				a.hidden, changed = true, true
			}
		}
	}
	return changed
}

// relate hides one more of the shown counts that a hidden one follows from.
func (j *joint) relate() bool {
	b := &basis{}
	for c, sums := range j.totals {
		b.add(sums, source{table: -1, arc: c})
	}
	for t, n := range j.networks {
		for k, a := range n.arcs {
			if a.count > 0 && !a.hidden && !n.all {
				b.add(j.members[t][k], source{t, k})
			}
		}
	}
	for t, n := range j.networks {
		for k, a := range n.arcs {
			if a.count == 0 || !a.hidden && !n.all {
				continue
			}
			if from, follows := b.express(j.members[t][k]); follows && j.hideOne(from) {
				return true
			}
		}
	}
	return false
}

// hideOne hides the smallest count of those named; totals of columns cannot be hidden.
func (j *joint) hideOne(from []source) bool {
	best := (*arc)(nil)
	for _, s := range from {
		if s.table < 0 {
			continue
		}
		if a := &j.networks[s.table].arcs[s.arc]; best == nil || a.count < best.count {
			best = a
		}
	}
	if best == nil {
		return false
	}
	best.hidden = true
	return true
}

// prime is 2^61 - 1; arithmetic is modulo it.
const prime = 1<<61 - 1

func addMod(a, b uint64) uint64 {
	if a += b; a >= prime {
		a -= prime
	}
	return a
}

func mulMod(a, b uint64) uint64 {
	high, low := bits.Mul64(a, b)
	return addMod(low&prime, high<<3|low>>61) % prime // 2^61 is 1
}

func inverseMod(a uint64) uint64 {
	out := uint64(1)
	for e := uint64(prime - 2); e > 0; e >>= 1 {
		if e&1 == 1 {
			out = mulMod(out, a)
		}
		a = mulMod(a, a)
	}
	return out
}

// source names a count: a table and an arc, or a column's total.
type source struct{ table, arc int }

// basis is a set of vectors in echelon form, each with the sum of the given ones that it is.
type basis struct {
	vectors [][]uint64
	leads   []int
	parts   []map[source]uint64
}

// reduce takes the basis vectors out of v and returns what is left of it and what was taken.
func (b *basis) reduce(v []uint64) (rest []uint64, taken map[source]uint64) {
	rest, taken = append([]uint64(nil), v...), map[source]uint64{}
	for i, u := range b.vectors {
		c := rest[b.leads[i]]
		if c == 0 {
			continue
		}
		for d := range rest {
			rest[d] = addMod(rest[d], prime-mulMod(c, u[d]))
		}
		for s, f := range b.parts[i] {
			taken[s] = addMod(taken[s], mulMod(c, f))
		}
	}
	return rest, taken
}

// add takes a vector into the basis; one that follows from it already changes nothing.
func (b *basis) add(v []uint64, s source) {
	rest, taken := b.reduce(v)
	for d, x := range rest {
		if x == 0 {
			continue
		}
		scale := inverseMod(x)
		for e := range rest {
			rest[e] = mulMod(rest[e], scale)
		}
		parts := map[source]uint64{s: scale}
		for from, f := range taken {
			parts[from] = addMod(parts[from], prime-mulMod(scale, f))
		}
		b.vectors, b.leads, b.parts = append(b.vectors, rest), append(b.leads, d), append(b.parts, parts)
		return
	}
}

// express says whether a vector is a sum of given ones, and of which.
func (b *basis) express(v []uint64) ([]source, bool) {
	rest, taken := b.reduce(v)
	for _, x := range rest {
		if x != 0 {
			return nil, false
		}
	}
	var from []source
	for s, f := range taken {
		if f != 0 && f != prime {
			from = append(from, s)
		}
	}
	return from, true
}
