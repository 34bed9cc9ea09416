package queries

import (
	"slices"
	"testing"
)

func TestAlarmConditions(t *testing.T) {
	f := newFixture(t)
	for _, id := range []string{"A", "B"} {
		f.trip(id, nil)
		f.alarm(id, 60, 62, cells{"priority": q("high")})
		f.alarm(id, 70, unended, cells{"condition": q("leak")})
	}
	f.alarm("A", 62.5, 63, cells{"priority": q("high")}) // a repeat, 0.5 min long
	got, err := f.reader().AlarmConditions(t.Context(), "", "")
	if err != nil {
		t.Fatal(err)
	}
	want := []AlarmCondition{
		{Condition: "apnea", Priority: "high", Onsets: 3, Repeats: 1, Transports: 2, Minutes: 4.5},
		{Condition: "leak", Priority: NotRecorded, Onsets: 2, Transports: 2},
	}
	if !slices.Equal(got, want) {
		t.Errorf("got %+v, want %+v", got, want)
	}
}
