package measures

import "testing"

// Ten points, of which the last four are shown: a run from the fifth to the eighth keeps its two last, an earlier one goes, the
// phase that began before the cut begins with the chart.
func TestLatestPoints(t *testing.T) {
	s := Series{Signals: []Signal{{First: 4, Last: 7}, {First: 0, Last: 5}}, Phases: []ChartPhase{{Start: 0, End: 5}, {Start: 5, End: 8}, {Start: 8, End: 10}}}
	for i := range 10 {
		s.Points = append(s.Points, Point{N: i})
	}
	got, left := s.Latest(4)
	if left != 6 || len(got.Points) != 4 || got.Points[0].N != 6 {
		t.Fatalf("got %d left out and points %v", left, got.Points)
	}
	if len(got.Signals) != 1 || got.Signals[0].First != 0 || got.Signals[0].Last != 1 {
		t.Errorf("signals %+v, want one on the first two points shown", got.Signals)
	}
	if len(got.Phases) != 2 || got.Phases[0].Start != 0 || got.Phases[0].End != 2 || got.Phases[1].Start != 2 || got.Phases[1].End != 4 {
		t.Errorf("phases %+v", got.Phases)
	}
	if all, left := s.Latest(10); left != 0 || len(all.Points) != 10 || len(s.Points) != 10 {
		t.Errorf("%d left out of %d, want all ten and the series as it was", left, len(all.Points))
	}
}
