package queries

import (
	"fmt"
	"slices"
	"testing"
)

// Worked out by hand: in March A and B are monitored for 4 h and 1 h, in April C for 2 h and silent.
func TestAlarmMonths(t *testing.T) {
	f := newFixture(t)
	f.leggedTrip("A")
	f.reading("A", "V", 0, "spo2", "90")
	f.reading("A", "V", 240, "spo2", "90")
	f.alarm("A", 100, unended, cells{"priority": q("high")})
	f.alarm("A", 100.5, unended, nil) // a repeat
	f.alarm("A", 140, unended, cells{"condition": q("spo2_low")})
	f.trip("B", nil)
	f.reading("B", "V", 60, "spo2", "90")
	f.reading("B", "V", 120, "spo2", "90")
	april := 31 * 24 * 60.0
	f.trip("C", cells{"accepted_at": at(april), "called_at": "null", "departed_base_at": at(april + 10), "arrived_referring_at": at(april + 50), "at_patient_at": at(april + 60),
		"departed_referring_at": at(april + 120), "arrived_receiving_at": at(april + 150), "handed_over_at": at(april + 180), "available_at": at(april + 240)})
	f.reading("C", "V", april, "spo2", "90")
	f.reading("C", "V", april+120, "spo2", "90")
	for _, c := range []struct {
		from, to string
		want     []string
	}{
		{"", "", []string{"2026-03 apnea 2 1 1 5.00", "2026-03 spo2_low 1 0 0 5.00", "2026-04  0 0 0 2.00"}},
		{"2026-04", "2026-04", []string{"2026-04  0 0 0 2.00"}},
		{"2026-05", "", nil},
	} {
		months, err := f.reader().AlarmMonths(t.Context(), c.from, c.to)
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, m := range months {
			got = append(got, fmt.Sprintf("%s %s %d %d %d %.2f", m.Month, m.Condition, m.Onsets, m.High, m.Repeats, m.Hours))
		}
		if !slices.Equal(got, c.want) {
			t.Errorf("%s to %s:\n got %q\nwant %q", c.from, c.to, got, c.want)
		}
	}
	if _, err := f.reader().AlarmMonths(t.Context(), "March", ""); err == nil {
		t.Error("a month that is none was taken")
	}
}
