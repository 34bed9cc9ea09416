package stats

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// shownOf is what a reader sees of a table: the column totals, and a star for what is withheld.
func shownOf(counts [][]int, w Withheld) string {
	var out strings.Builder
	totals := make([]int, len(counts[0]))
	for i, row := range counts {
		sum := 0
		for j, c := range row {
			sum, totals[j] = sum+c, totals[j]+c
			out.WriteString(starred(c, w.Cells[i][j]))
		}
		out.WriteString(starred(sum, w.Rows[i]))
	}
	return out.String() + fmt.Sprint(totals)
}

func starred(count int, hidden bool) string {
	if hidden {
		return "* "
	}
	return fmt.Sprint(count, " ")
}

// tables calls a function with every table of that shape whose counts are 0 to most.
func tables(rows, columns, most int, each func([][]int)) {
	flat := make([]int, rows*columns)
	for {
		counts := make([][]int, rows)
		for i := range counts {
			counts[i] = append([]int(nil), flat[i*columns:(i+1)*columns]...)
		}
		each(counts)
		at := 0
		for ; at < len(flat) && flat[at] == most; at++ {
			flat[at] = 0
		}
		if at == len(flat) {
			return
		}
		flat[at]++
	}
}

// could says whether a table agrees with what is seen of another: equal where that is shown, above 0 where it is withheld
// (0 is always shown), with the same column totals.
func could(counts, seen [][]int, w Withheld) bool {
	for j := range seen[0] {
		a, b := 0, 0
		for i := range seen {
			a, b = a+counts[i][j], b+seen[i][j]
		}
		if a != b {
			return false
		}
	}
	for i, row := range seen {
		a, b := 0, 0
		for j, c := range row {
			a, b = a+counts[i][j], b+c
			if !w.All && (w.Cells[i][j] && counts[i][j] == 0 || !w.Cells[i][j] && counts[i][j] != c) {
				return false
			}
		}
		if !w.All && (w.Rows[i] && a == 0 || !w.Rows[i] && a != b) {
			return false
		}
	}
	return true
}

// No withheld count can be derived: for every table of a shape, every table that agrees with what is shown is tried, and each
// withheld count and row total must come out with two values at least.
func TestNoWithheldCountCanBeDerived(t *testing.T) {
	for _, shape := range []struct{ rows, columns, most, small int }{{2, 2, 6, 2}, {2, 2, 4, 1}, {3, 2, 3, 1}, {2, 3, 3, 2}, {3, 1, 7, 2}, {4, 1, 5, 2}} {
		t.Run(fmt.Sprint(shape), func(t *testing.T) {
			withheld := 0
			tables(shape.rows, shape.columns, shape.most, func(seen [][]int) {
				w, err := Withhold(seen, shape.small)
				if err != nil {
					t.Fatal(err)
				}
				if w.Any() {
					withheld++
					holdUnderivable(t, seen, w)
				}
				holdSmallAreWithheld(t, seen, w, shape.small)
			})
			if withheld == 0 {
				t.Error("nothing was ever withheld: the test says nothing")
			}
		})
	}
}

// holdUnderivable tries every table with the same column totals.
func holdUnderivable(t *testing.T, seen [][]int, w Withheld) {
	t.Helper()
	values := map[[2]int]map[int]bool{}
	note := func(i, j, value int, hidden bool) {
		if !hidden {
			return
		}
		if values[[2]int{i, j}] == nil {
			values[[2]int{i, j}] = map[int]bool{}
		}
		values[[2]int{i, j}][value] = true
	}
	alike(seen, 0, make([][]int, len(seen)), func(counts [][]int) {
		if !could(counts, seen, w) {
			return
		}
		for i, row := range counts {
			sum := 0
			for j, c := range row {
				sum += c
				note(i, j, c, w.Cells[i][j])
			}
			note(i, len(row), sum, w.Rows[i])
		}
	})
	for at, found := range values {
		if total := columnTotal(seen, at[1]); len(found) < 2 && total != 0 { // an empty column is known to be empty
			t.Fatalf("%v shown as %q: the count in row %d, column %d can only be %v", seen, shownOf(seen, w), at[0], at[1], found)
		}
	}
}

// columnTotal of the column after the last is the sum of all.
func columnTotal(counts [][]int, column int) int {
	sum := 0
	for _, row := range counts {
		for j, c := range row {
			if j == column || column == len(row) {
				sum += c
			}
		}
	}
	return sum
}

// alike calls a function with every table that has the column totals of the one seen.
func alike(seen [][]int, column int, counts [][]int, each func([][]int)) {
	if column == len(seen[0]) {
		each(counts)
		return
	}
	splits(columnTotal(seen, column), len(seen), func(split []int) {
		next := make([][]int, len(seen))
		for i := range next {
			next[i] = append(append([]int(nil), counts[i]...), split[i])
		}
		alike(seen, column+1, next, each)
	})
}

// splits calls a function with every way to part a total into so many counts.
func splits(total, parts int, each func([]int)) {
	if parts == 1 {
		each([]int{total})
		return
	}
	for first := 0; first <= total; first++ {
		splits(total-first, parts-1, func(rest []int) { each(append([]int{first}, rest...)) })
	}
}

func holdSmallAreWithheld(t *testing.T, seen [][]int, w Withheld, small int) {
	t.Helper()
	for i, row := range seen {
		sum := 0
		for j, c := range row {
			sum += c
			if c >= 1 && c <= small && !w.Cells[i][j] {
				t.Fatalf("%v: the %d in row %d, column %d is shown", seen, c, i, j)
			}
		}
		if sum >= 1 && sum <= small && !w.Rows[i] {
			t.Fatalf("%v: the total %d of row %d is shown", seen, sum, i)
		}
	}
}

// Worked by hand: with a small count something must go in its row and in its column, and those leave their own open, as a
// square of cells does, or two cells and their rows' totals.
func TestWithheldByHand(t *testing.T) {
	for _, c := range []struct {
		counts [][]int
		want   string
	}{
		{[][]int{{20, 30}, {40, 50}}, "20 30 50 40 50 90 [60 80]"},
		{[][]int{{0, 30}, {40, 50}}, "0 30 30 40 50 90 [40 80]"},
		{[][]int{{3, 20}, {97, 80}}, "* * 23 * * 177 [100 100]"},
		{[][]int{{3, 90}, {97, 10}, {40, 80}}, "* * 93 * * 107 40 80 120 [140 180]"},
		{[][]int{{5}, {95}}, "* * * * [100]"},
		{[][]int{{5}, {60}, {35}}, "* * 60 60 * * [100]"},
		{[][]int{{1, 0}, {0, 1}}, "all"},
		{[][]int{{1, 1}}, "all"},
	} {
		w, err := Withhold(c.counts, 10)
		if err != nil {
			t.Fatal(err)
		}
		got := shownOf(c.counts, w)
		if w.All {
			got = "all"
		}
		if got != c.want {
			t.Errorf("%v: got %q, want %q", c.counts, got, c.want)
		}
	}
	for _, wrong := range [][][]int{{{1, 2}, {3}}, {{-1, 4}}} {
		if _, err := Withhold(wrong, 10); err == nil {
			t.Errorf("%v: expected an error", wrong)
		}
	}
}

// dealt is one way to deal members over traits, and what of its counts a reader sees.
type dealt struct {
	columns []int
	tables  [][]int
	values  []int
	marks   []byte // of each value: 's' shown, 'h' withheld, 'a' in a table of which nothing is shown
}

// deal makes the ways to deal two groups over six kinds of members: a trait of three levels and one of two. Tables count the
// first, the second, and a coarser form of the first, as a band is of a number.
func deal(sizes [2]int) (all []*dealt) {
	splits(sizes[0], 6, func(a []int) {
		splits(sizes[1], 6, func(b []int) {
			d := &dealt{tables: make([][]int, 3)}
			for column, split := range [][]int{a, b} {
				for kind, n := range split {
					for range n {
						d.columns = append(d.columns, column)
						for at, row := range []int{kind % 3, kind / 3, min(kind%3, 1)} {
							d.tables[at] = append(d.tables[at], row)
						}
					}
				}
			}
			all = append(all, d)
		})
	})
	return all
}

// publish marks what is shown. A row without members is seen to have none.
func (d *dealt) publish(t *testing.T, small int) {
	t.Helper()
	withheld, err := WithholdTogether(d.columns, d.tables, small)
	if err != nil {
		t.Fatal(err)
	}
	for at, w := range withheld {
		counts := [3][3]int{}
		for i, row := range d.tables[at] {
			counts[row][d.columns[i]]++
			counts[row][2]++
		}
		for r, row := range counts {
			for c, n := range row {
				mark := byte('s')
				switch {
				case w.All:
					mark = 'a'
				case r < len(w.Rows) && (c == 2 && w.Rows[r] || c < 2 && w.Cells[r][c]):
					mark = 'h'
				}
				d.values, d.marks = append(d.values, n), append(d.marks, mark)
			}
		}
	}
}

// agrees says whether what is seen of d could be of other.
func (d *dealt) agrees(other *dealt) bool {
	for i, v := range other.values {
		switch {
		case d.marks[i] == 's' && v != d.values[i], d.marks[i] == 'h' && v == 0:
			return false
		}
	}
	return true
}

// Several tables of the same members: for every way to deal two groups over two traits, every other way that agrees with what
// is shown of three tables is tried; no withheld count may come out the same in all of them.
func TestNothingFollowsFromSeveralTables(t *testing.T) {
	all := deal([2]int{3, 4})
	for _, d := range all {
		d.publish(t, 1)
	}
	hidden := 0
	for _, d := range all {
		left := []int{} // withheld counts for which no second value was found yet
		for i, mark := range d.marks {
			if mark == 'h' || mark == 'a' && d.values[i] > 0 {
				left = append(left, i)
			}
		}
		hidden += len(left)
		for _, other := range all {
			if len(left) == 0 {
				break
			}
			if d.agrees(other) {
				left = slices.DeleteFunc(left, func(i int) bool { return other.values[i] != d.values[i] })
			}
		}
		if len(left) > 0 {
			t.Fatalf("counts %v, marked %s: counts %v can have no other value", d.values, d.marks, left)
		}
	}
	if hidden == 0 {
		t.Error("nothing was ever withheld: the test says nothing")
	}
}
