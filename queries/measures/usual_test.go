package measures

import "testing"

func monthsOfValues(values ...float64) Item {
	d, _ := Find("stabilization_time")
	it := Item{Definition: d}
	for i, v := range values {
		row := Row{Month: string(rune('a' + i)), N: 30}
		if v >= 0 {
			row.Value = number(v)
		}
		it.Months = append(it.Months, row)
	}
	it.Now = it.Months[len(it.Months)-1]
	return it
}

// Twelve months before the last count, the two before these do not, nor does a month without a value (-1).
func TestUsualRange(t *testing.T) {
	it := monthsOfValues(500, 1, 96, 100, 104, 99, -1, 97, 98, 101, 102, 103, 100, 99, 128)
	u, ok := it.Usual()
	if !ok || u.Months != 11 || it.UsualText(u) != "96–104" {
		t.Errorf("got %+v %v, %q: want 96–104 of 11 months", u, ok, it.UsualText(u))
	}
	if u, ok := monthsOfValues(90, 91, 92).Usual(); ok {
		t.Errorf("got %+v: two months are no range", u)
	}
	if got := monthsOfValues(90, 90, 90, 95); got.UsualText(Usual{Low: 90, High: 90}) != "90" {
		t.Error("a range of one value is that value")
	}
}

// A run is held against the months before it began, a single month against those before it.
func TestRunIsHeldAgainstWhatWasBefore(t *testing.T) {
	it := monthsOfValues(96, 100, 104, 120, 125, 128)
	for want, months := range map[string][]string{"96–104 min in the 3 months before d": {"d", "e", "f"}, "96–125 min in the 5 months before": {"f"}} {
		if got := it.usualWords(Signal{Months: months}); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
