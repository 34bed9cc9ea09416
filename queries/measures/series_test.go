package measures

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// monthsOf makes the month sums of a measure, from 2025-01 on.
func monthsOf(measure string, fill func(i int, s *queries.Sum), n int) []queries.Sum {
	sums := make([]queries.Sum, n)
	for i := range sums {
		sums[i] = queries.Sum{Measure: measure, Month: fmt.Sprintf("%d-%02d", 2025+i/12, i%12+1)}
		fill(i, &sums[i])
	}
	return sums
}

// itemOf reviews the measure of the sums for their last month.
func itemOf(t *testing.T, f *fake, measure string) (Item, Review) {
	t.Helper()
	f.first = "2025-01"
	month := f.sums[len(f.sums)-1].Month
	review, err := NewReview(t.Context(), f, month, Limits{})
	if err != nil {
		t.Fatal(err)
	}
	at := slices.IndexFunc(review.Items, func(it Item) bool { return it.Definition.ID == measure })
	return review.Items[at], review
}

func close9(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, expected %.9g", what, got, want)
	}
}

// UK national neonatal transfers 2012 to 2016, ventilated of all: centre 0.25846, limits of 2012 0.24293 and 0.27399, no
// point outside.
func TestProportionsAreDrawnAsPChart(t *testing.T) {
	x, n := []float64{1889, 1961, 1949, 2155, 2000}, []float64{7152, 7562, 7892, 7997, 7910}
	f := &fake{sums: monthsOf("declined", func(i int, s *queries.Sum) { s.X, s.T, s.Facts, s.Transports = x[i], n[i], int(n[i]), int(n[i]) }, 5)}
	item, _ := itemOf(t, f, "declined")
	s := item.Series[0]
	chart, err := stats.PAuto(x, n, stats.Options{})
	if err != nil {
		t.Fatal(err)
	}
	close9(t, "centre", s.Points[0].Centre, 25.846, 5e-4)
	close9(t, "upper", s.Points[0].Upper, 100*chart.Points[0].Upper, 1e-9)
	if s.Points[0].N != 7152 || s.Unit != "%" || !s.Judged {
		t.Errorf("series %+v", s)
	}
}

// The same source, nitric oxide per 1,000: centre 15.839, limits of 2012 11.374 and 20.303; ours is per 100.
func TestRatesAreDrawnAsUChart(t *testing.T) {
	x, n := []float64{99, 111, 117, 138, 145}, []float64{7152, 7562, 7892, 7997, 7910}
	f := &fake{sums: monthsOf("adverse_events", func(i int, s *queries.Sum) { s.X, s.T, s.Transports = x[i], n[i], int(n[i]) }, 5)}
	item, _ := itemOf(t, f, "adverse_events")
	p := item.Series[0].Points[0]
	close9(t, "centre", p.Centre, 1.5839, 5e-5)
	close9(t, "lower", p.Lower, 1.1374, 5e-5)
	close9(t, "upper", p.Upper, 2.0303, 5e-5)
	if len(item.Series[0].Signals) != 0 || item.Word("2025-05") != "no signal" {
		t.Errorf("signals %v, word %q", item.Series[0].Signals, item.Word("2025-05"))
	}
}

// Births between rare events: limits 855 and centre 89 from the geometric law with mean 129 (R and Python).
func TestRareEventsAreDrawnAsGChart(t *testing.T) {
	var gaps queries.Gaps
	for i, g := range []int{99, 64, 255, 68, 148, 73, 35, 63, 286, 24, 176, 33, 418, 139, 54} {
		gaps.Gaps = append(gaps.Gaps, queries.EventGap{Month: fmt.Sprintf("2025-%02d", i/2+1), Transports: g})
	}
	gaps.Events, gaps.SinceTransports = 16, 12
	f := &fake{sums: monthsOf("medication_error", func(_ int, s *queries.Sum) { s.T, s.Transports = 10, 10 }, 8), gaps: gaps}
	item, _ := itemOf(t, f, "medication_error")
	s := item.Series[0]
	close9(t, "centre", s.Points[0].Centre, 89, 0)
	close9(t, "upper", s.Points[0].Upper, 855, 0)
	if s.SinceWords() != "12 transports since the last event" || s.Points[14].Month != "2025-08" {
		t.Errorf("since %q, points %v", s.SinceWords(), s.Points)
	}
}

// The same births by time: centre 16.3236326360958 and upper limit 190.400363460149 days (R and Python).
func TestSeriousEventsAreDrawnAsTChart(t *testing.T) {
	var gaps queries.Gaps
	for _, minutes := range []float64{25583, 14942, 74800, 14436, 38166, 17698, 8586, 12615, 59893, 5717, 34436, 8283, 90403, 34848, 9378} {
		gaps.Gaps = append(gaps.Gaps, queries.EventGap{Month: "2025-02", Hours: minutes / 60})
	}
	f := &fake{sums: monthsOf("serious_events", func(_ int, s *queries.Sum) { s.T, s.Transports = 10, 10 }, 2), gaps: gaps}
	item, _ := itemOf(t, f, "serious_events")
	close9(t, "centre", item.Series[0].Points[0].Centre, 16.3236326360958, 1e-9)
	close9(t, "upper", item.Series[0].Points[0].Upper, 190.400363460149, 1e-9)
}

// Anhøj and Olesen 2014: with 12 points off the median more than 7 on one side are a signal.
func TestTimesAreDrawnAsRunChart(t *testing.T) {
	values := []float64{90, 91, 92, 93, 120, 121, 122, 123, 124, 125, 126, 127, 128}
	f := &fake{sums: monthsOf("stabilization_time", func(i int, s *queries.Sum) { s.Xs, s.Transports = []float64{values[i]}, 1 }, 12)}
	base := Baseline{From: "2025-01", To: "2025-05"} // median 92, five points above it are no run of the baseline
	f.first = "2025-01"
	review, err := NewReview(t.Context(), f, "2025-12", Limits{Baseline: base})
	if err != nil {
		t.Fatal(err)
	}
	found := review.Standings()
	want := "Stabilization time: median 127 min (n = 1) in December 2025, 90–92 min in the 3 months before April 2025; 9 months in a row above the median of 92 min."
	if len(found) == 0 || found[0].Sentence != want || found[0].Signal.Verdict != "worse" {
		t.Errorf("found %+v", found)
	}
	if months := found[0].Signal.Months; months[0] != "2025-04" || months[len(months)-1] != "2025-12" {
		t.Errorf("months %v", months)
	}
}

func TestMobilizationHasAlsoTheShareInTime(t *testing.T) {
	f := &fake{sums: monthsOf("mobilization_time", func(_ int, s *queries.Sum) { s.Xs, s.Transports = []float64{20, 25, 30, 40}, 4 }, 3)}
	item, _ := itemOf(t, f, "mobilization_time")
	if len(item.Series) != 2 || item.Series[1].Axis != "Share within 30 min" || item.Series[1].Points[0].Value != 75 {
		t.Errorf("series %+v", item.Series)
	}
}

// NIST/SEMATECH e-Handbook 6.3.2.2, on the log scale: the centre is the geometric mean, limits exp(mean ± 3 MR/1.128).
func TestRatiosAreDrawnAsXmROfLogs(t *testing.T) {
	ratios := []float64{1, math.E, 1, math.E, 1, math.E}
	f := &fake{sums: monthsOf("oxygen_ratio", func(i int, s *queries.Sum) { s.Xs, s.Ts, s.Transports = []float64{ratios[i]}, []float64{1}, 1 }, 6)}
	item, _ := itemOf(t, f, "oxygen_ratio")
	p := item.Series[0].Points[0]
	close9(t, "centre", p.Centre, math.Exp(0.5), 1e-9)
	close9(t, "upper", p.Upper, math.Exp(0.5+3/1.128), 1e-9)
}

func TestSignalBeyondTheLimitNamesMonthAndSide(t *testing.T) {
	f := &fake{sums: monthsOf("declined", func(i int, s *queries.Sum) {
		s.T, s.X, s.Transports = 200, 20, 200
		if i == 12 {
			s.X = 80
		}
		s.X += float64(i%2) * 2
	}, 13)}
	_, review := itemOf(t, f, "declined")
	found := review.Standings()
	if len(found) != 1 || found[0].Signal.Rule != stats.RuleBeyond || found[0].Signal.Verdict != "worse" {
		t.Fatalf("found %+v", found)
	}
	if !strings.Contains(found[0].Sentence, "40.0 % (95 % interval 33.5–46.9, n = 200) in January 2026, 10.0–11.0 % in the 12 months before; 40.0 % is above the upper limit of") {
		t.Errorf("sentence %q", found[0].Sentence)
	}
	if review.Judged == 0 || review.FalseSignals <= 0 {
		t.Errorf("judged %d, false signals to expect %g", review.Judged, review.FalseSignals)
	}
}

func TestFewerEventsAreBetterThoughTheGapGrows(t *testing.T) {
	d, _ := Find("medication_error")
	s := Series{Definition: d, Kind: ChartG, Points: []Point{{Month: "2025-01", Value: 9, Centre: 2, Upper: 5}}}
	if got := s.verdict(stats.Signal{Rule: stats.RuleBeyond, Up: true}); got != "better" {
		t.Errorf("a long stretch without medication error is %q", got)
	}
	s.Kind = ChartU
	if got := s.verdict(stats.Signal{Rule: stats.RuleBeyond, Up: true}); got != "worse" {
		t.Errorf("a high rate of medication error is %q", got)
	}
}

// With a mean gap of 2 the geometric law's 0.99865 quantile is 16: (2/3)^17 = 0.00101 < 0.00135 < (2/3)^16 (by hand).
func TestStretchBeyondTheLimitIsASignalBeforeItEnds(t *testing.T) {
	gaps := queries.Gaps{Events: 9, SinceTransports: 17}
	for range 8 {
		gaps.Gaps = append(gaps.Gaps, queries.EventGap{Month: "2025-02", Transports: 2})
	}
	f := &fake{sums: monthsOf("medication_error", func(_ int, s *queries.Sum) { s.T, s.Transports = 10, 10 }, 6), gaps: gaps}
	item, _ := itemOf(t, f, "medication_error")
	found := item.Series[0].Telling("2025-06")
	if len(found) != 1 || found[0].Verdict != "better" || found[0].Words != "17 transports since the last event, already more than the upper limit of 16 transports" {
		t.Errorf("found %+v", found)
	}
	f.gaps.SinceTransports = 16
	if item, _ = itemOf(t, f, "medication_error"); len(item.Series[0].Telling("2025-06")) != 0 {
		t.Error("a stretch on the limit is a signal")
	}
}

func TestRunSaysMoreThanFewCrossings(t *testing.T) {
	s := Series{Signals: []Signal{{Rule: stats.RuleFewCrossings, Months: []string{"2025-01"}}, {Rule: stats.RuleLongRun, Months: []string{"2025-01"}}}}
	if found := s.Telling("2025-01"); len(found) != 1 || found[0].Rule != stats.RuleLongRun {
		t.Errorf("found %+v", found)
	}
}

// Poisson exact: 6 of 25 has the limits 8.8 and 52.2 per 100, 9 of 400 the limits 1.03 and 4.27 (Garwood 1936): they do not
// touch. 9 members are too few to say so.
func TestMonthApartFromBeforeIsToldWithoutASignal(t *testing.T) {
	item := func(n int, x float64) Item {
		d, _ := Find("unplanned_extubation")
		now := rowOf(t, queries.Sum{Measure: d.ID, X: x, T: float64(n), Transports: n})
		now.Month = "2026-02"
		return Item{Definition: d, Now: now, Before: rowOf(t, queries.Sum{Measure: d.ID, X: 9, T: 400, Transports: 400})}
	}
	far := item(25, 6)
	if far.Apart() != "above" || far.Word("2026-02") != "apart from before" {
		t.Errorf("got %q, word %q", far.Apart(), far.Word("2026-02"))
	}
	review := Review{Month: "2026-02", Items: []Item{far, item(25, 1), item(9, 6)}}
	if got := review.Apart(); len(got) != 1 {
		t.Errorf("got %d measures apart, expected 1", len(got))
	}
}

func TestMonthsWithoutDataLeaveGapsAndNoLimits(t *testing.T) {
	f := &fake{sums: monthsOf("declined", func(i int, s *queries.Sum) {
		if i != 1 {
			s.T, s.X, s.Transports = 20, 5, 20
		}
	}, 3)}
	item, _ := itemOf(t, f, "declined")
	if p := item.Series[0].Points[1]; !math.IsNaN(p.Value) || !math.IsNaN(p.Upper) {
		t.Errorf("point of a month without data %+v", p)
	}
	empty := &fake{sums: monthsOf("declined", func(int, *queries.Sum) {}, 3)}
	item, _ = itemOf(t, empty, "declined")
	if s := item.Series[0]; s.Judged || s.Warning == "" || item.Word("2025-03") != "no data" {
		t.Errorf("series without data %+v", s)
	}
}

func TestBaselineWithoutDataFallsBackAndSaysSo(t *testing.T) {
	f := &fake{first: "2025-01", sums: monthsOf("declined", func(i int, s *queries.Sum) {
		if i > 1 {
			s.T, s.X, s.Transports = 20, 5, 20
		}
	}, 4)}
	review, err := NewReview(t.Context(), f, "2025-04", Limits{Baseline: Baseline{To: "2025-02"}})
	if err != nil {
		t.Fatal(err)
	}
	for _, it := range review.Items {
		if it.Definition.ID == "declined" && !strings.Contains(it.Series[0].Warning, "baseline has too little data") {
			t.Errorf("warning %q", it.Series[0].Warning)
		}
	}
}

func TestReviewAsksOnlyUpToItsMonth(t *testing.T) {
	f := &fake{first: "2025-01"}
	if _, err := NewReview(t.Context(), f, "2026-03", Limits{}); err != nil {
		t.Fatal(err)
	}
	now, before := f.asked[0], f.asked[1]
	if !now.ByMonth || now.From != "2025-01" || now.To != "2026-03" || before.ByMonth || before.To != "2026-02" {
		t.Errorf("asked %+v", f.asked)
	}
	if _, err := NewReview(t.Context(), f, "March", Limits{}); err == nil {
		t.Error("a month that is none was reviewed")
	}
}

// Own derivation in the package: 0.0027 + 2 × 2^-8 for a control chart with 8 points or more; stats.RunFalseAlarm for runs.
func TestFalseAlarms(t *testing.T) {
	chart := stats.Chart{Points: make([]stats.Point, 12)}
	for i := range chart.Points {
		chart.Points[i] = stats.Point{HasValue: true, Value: float64(i), Centre: 5.5}
	}
	close9(t, "control", falseAlarm(ChartP, chart.Points), 0.0105125, 1e-6)
	want, err := stats.RunFalseAlarm(12)
	if err != nil {
		t.Fatal(err)
	}
	close9(t, "run", falseAlarm(ChartRun, chart.Points), want, 0)
	close9(t, "run of few", falseAlarm(ChartRun, chart.Points[:9]), 0, 0)
}
