package queries

import (
	"slices"
	"testing"
)

// 1e16 and 1 cannot be told from 1e16 in a double: which number meets which decides the sum, and the key must say so, not the
// order of the rows. Empty fractions are passed over; a group that has no others has no sum.
func TestSumInOrder(t *testing.T) {
	f := newFixture(t)
	got := f.rows(`select g || ': ' || coalesce(sum_in_order(x, (k, j))::varchar, 'empty')
		from (values ('late', 3, 1, -1e16), ('late', 2, 1, 1.0), ('late', 1, 9, 1e16), ('late', 2, 2, null),
			('early', 3, 0, 1.0), ('early', 2, 7, -1e16), ('early', 2, 6, 1e16), ('none', 1, 1, null)) as v (g, k, j, x)
		group by g order by g`)
	if want := []string{"early: 1.0", "late: 0.0", "none: empty"}; !slices.Equal(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}
