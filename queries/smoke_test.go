package queries

import (
	"testing"

	"tripwake/pipeline/store"
)

// Every question answers an empty store and every block can be made there.
func TestEveryMeasureOfAnEmptyStore(t *testing.T) {
	f := newFixture(t)
	r := f.reader()
	for _, question := range questions() {
		for measure := range question.measures {
			sums, err := r.Sums(t.Context(), Request{Measures: []string{measure}})
			if err != nil {
				t.Errorf("%s: %v", measure, err)
			} else if len(sums) != 1 || sums[0].Facts != 0 || sums[0].Month != AllMonths {
				t.Errorf("%s: got %+v, want one sum without facts", measure, sums)
			}
		}
	}
}

// A store that is open for reading alone takes every question: blocks are temporary.
func TestReadOnlyStore(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"departed_base_at": at(20)})
	if err := f.store.Close(); err != nil {
		t.Fatal(err)
	}
	s, err := store.OpenReadOnly(t.Context(), f.store.Path(), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	r, err := Open(t.Context(), s, Defaults())
	if err != nil {
		t.Fatal(err)
	}
	for _, question := range questions() {
		for measure := range question.measures {
			if _, err := r.Sums(t.Context(), Request{Measures: []string{measure}, ByMonth: true, By: "team"}); err != nil {
				t.Errorf("%s: %v", measure, err)
			}
		}
	}
	if got := f.one(r, Request{Measures: []string{"mobilization_time"}}); got.X != 20 {
		t.Errorf("got %+v, want 20 min", got)
	}
	if got := r.Settings().FloodOnsets; got != 11 {
		t.Errorf("settings: got %d onsets, want 11", got)
	}
}
