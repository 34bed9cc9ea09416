package measures

import (
	"slices"
	"strings"
	"testing"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// stepped are 12 months of 200 requests: 20 declined a month, from July on 40; the last month is given.
func stepped(last float64) *fake {
	return &fake{first: "2025-01", sums: monthsOf("declined", func(i int, s *queries.Sum) {
		s.T, s.Transports, s.X = 200, 200, 20
		if i >= 6 {
			s.X = 40
		}
		if i == 11 {
			s.X = last
		}
	}, 12)}
}

func seriesUnder(t *testing.T, f *fake, lim Limits) Series {
	t.Helper()
	review, err := NewReview(t.Context(), f, "2025-12", lim)
	if err != nil {
		t.Fatal(err)
	}
	at := slices.IndexFunc(review.Items, func(it Item) bool { return it.Definition.ID == "declined" })
	return review.Items[at].Series[0]
}

// Own derivation: 20 and 40 of 200 are 10 and 20 %, so each phase has its own months as centre and no month apart from it.
func TestRestartGivesEachPhaseItsOwnCentre(t *testing.T) {
	restart := Restart{Month: "2025-07", Measure: "declined", Reason: "second vehicle"}
	s := seriesUnder(t, stepped(40), Limits{Restarts: []Restart{restart}})
	close9(t, "centre before", s.Points[5].Centre, 10, 1e-9)
	close9(t, "centre after", s.Points[6].Centre, 20, 1e-9)
	if len(s.Signals) != 0 || len(s.Phases) != 2 || s.Phases[1].Start != 6 || s.Phases[1].Reason != "second vehicle" {
		t.Errorf("signals %v, phases %+v", s.Signals, s.Phases)
	}
	if got := s.LimitsWords(); len(got) != 1 || got[0] != "New limits from July 2025: second vehicle." {
		t.Errorf("words %q", got)
	}
	if plain := seriesUnder(t, stepped(40), Limits{}); len(plain.Phases) != 1 || plain.Points[6].Centre != plain.Points[5].Centre || len(plain.LimitsWords()) != 0 {
		t.Errorf("without a restart: %+v", plain.Phases)
	}
	other := Restart{Month: "2025-07", Measure: "declined_no_equipment", Reason: "x"}
	if got := seriesUnder(t, stepped(40), Limits{Restarts: []Restart{other}}); len(got.Phases) != 1 {
		t.Errorf("the restart of another measure made %+v", got.Phases)
	}
}

// p chart by hand: centre 10 %, n = 200, limits 10 ± 3 × 100 √(0.1 × 0.9 / 200) = 10 ± 6.364 %; frozen, so 20 % are beyond.
func TestFrozenLimitsDoNotMove(t *testing.T) {
	s := seriesUnder(t, stepped(40), Limits{Baseline: Baseline{To: "2025-06"}})
	close9(t, "upper of the last month", s.Points[11].Upper, 16.3639610307, 1e-9)
	if beyond := slices.IndexFunc(s.Signals, func(sig Signal) bool { return sig.Rule == stats.RuleBeyond && sig.First == 6 }); beyond < 0 {
		t.Errorf("signals %+v", s.Signals)
	}
	if s.Phases[0].Frozen(s.Points) != 6 || !strings.Contains(s.LimitsWords()[0], "frozen since") {
		t.Errorf("phases %+v, words %q", s.Phases, s.LimitsWords())
	}
	until := Restart{Month: "2025-07", Until: "2025-11", Measure: AllMeasures, Reason: "x"}
	s = seriesUnder(t, stepped(100), Limits{Restarts: []Restart{until}})
	close9(t, "centre of a frozen restart", s.Points[11].Centre, 20, 1e-9)
	if got := s.Telling("2025-12"); len(got) != 1 || got[0].Verdict != "worse" || s.Phases[1].Frozen(s.Points) != 11 {
		t.Errorf("signals %+v, phases %+v", got, s.Phases)
	}
}

// An XmR chart needs two months for its limits: with one after the restart the earlier ones stand, and the chart says so.
func TestRestartWaitsForData(t *testing.T) {
	f := &fake{first: "2025-01", sums: monthsOf("oxygen_ratio", func(i int, s *queries.Sum) {
		s.Xs, s.Ts, s.Transports = []float64{float64(10 + i%3)}, []float64{10}, 1
	}, 12)}
	of := func(month string) Series {
		review, err := NewReview(t.Context(), f, "2025-12", Limits{Restarts: []Restart{{Month: month, Measure: "oxygen_ratio", Reason: "new plan"}}})
		if err != nil {
			t.Fatal(err)
		}
		return review.Items[slices.IndexFunc(review.Items, func(it Item) bool { return it.Definition.ID == "oxygen_ratio" })].Series[0]
	}
	if s := of("2025-12"); len(s.Phases) != 1 || !strings.Contains(s.Warning, "too few points yet for new limits from December 2025") {
		t.Errorf("phases %+v, warning %q", s.Phases, s.Warning)
	}
	if s := of("2025-11"); len(s.Phases) != 2 {
		t.Errorf("phases %+v", s.Phases)
	}
	if s := of("2025-02"); len(s.Phases) != 1 || s.Phases[0].Reason != "new plan" || s.Phases[0].Start != 0 {
		t.Errorf("too few points before: phases %+v", s.Phases)
	}
	if s := of("2026-02"); len(s.Phases) != 1 || s.Warning != "" {
		t.Errorf("a restart after the last month: phases %+v, warning %q", s.Phases, s.Warning)
	}
}

func TestOwnRestartComesBeforeThatOfAll(t *testing.T) {
	lim := Limits{Restarts: []Restart{{Month: "2025-07", Measure: "declined", Reason: "own"}, {Month: "2025-07", Measure: AllMeasures, Reason: "all"}, {Month: "2025-03", Measure: AllMeasures, Reason: "first"}}}
	got := lim.of("declined")
	if len(got) != 2 || got[0].Reason != "first" || got[1].Reason != "own" {
		t.Errorf("got %+v", got)
	}
	if got = lim.of("trip_time"); len(got) != 2 || got[1].Reason != "all" {
		t.Errorf("got %+v", got)
	}
}

// A baseline without one event puts both limits at 0: the first event would be a signal that says nothing about chance.
func TestLimitsOfNoWidthGiveNoSignal(t *testing.T) {
	f := stepped(0)
	for i := range f.sums {
		f.sums[i].X = float64(i / 9)
	}
	s := seriesUnder(t, f, Limits{Baseline: Baseline{To: "2025-06"}})
	if len(s.Signals) != 0 || !strings.Contains(s.Warning, "no width") {
		t.Errorf("signals %+v, warning %q", s.Signals, s.Warning)
	}
}

func TestLimitsAreRefusedByName(t *testing.T) {
	good := Restart{Month: "2025-07", Measure: "declined", Reason: "x"}
	with := func(change func(*Restart)) Limits {
		r := good
		change(&r)
		return Limits{Restarts: []Restart{r}}
	}
	for want, lim := range map[string]Limits{
		"entry 1, month: expected a month such as":        with(func(r *Restart) { r.Month = "July" }),
		"entry 1, month: expected a month such as 2026":   with(func(r *Restart) { r.Month = "" }),
		"entry 1, until: expected a month that is not":    with(func(r *Restart) { r.Until = "2025-06" }),
		"entry 1, until: expected a month such as":        with(func(r *Restart) { r.Until = "2025-6" }),
		"entry 1, reason: expected":                       with(func(r *Restart) { r.Reason = "  " }),
		"entry 1, measure: expected all or the id":        with(func(r *Restart) { r.Measure = "speed" }),
		"entry 1, measure: expected one that is followed": with(func(r *Restart) { r.Measure = "crew_injury" }),
		"entry 2: expected one entry for declined":        {Restarts: []Restart{good, good}},
		"baseline: from 2025-03 to 2025-01":               {Baseline: Baseline{From: "2025-03", To: "2025-01"}},
		"baseline: from: expected a month":                {Baseline: Baseline{From: "x"}},
	} {
		if err := lim.Validate(); err == nil || !strings.HasPrefix(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("got %v, want %q", err, want)
		}
	}
	if err := (Limits{Baseline: Baseline{From: "2025-01"}, Restarts: []Restart{good}}).Validate(); err != nil {
		t.Error(err)
	}
}
