package queries

import "testing"

func TestOutcomes(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"died_in_transit": "true", "died_within_7_days": "true"})
	f.trip("B", cells{"died_in_transit": "false"})
	f.trip("C", cells{"disposition": q("declined"), "died_in_transit": "true"})
	f.want("died_in_transit", map[string]string{"A": "1.0/1.0", "B": "0.0/1.0"})
	f.want("died_within_7_days", map[string]string{"A": "1.0/1.0", "B": "out: died_within_7_days not recorded"})
}
