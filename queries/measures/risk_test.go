package measures

import (
	"strings"
	"testing"

	"tripwake/queries"
)

// patients are n transports of one month with a score, of whom so many died.
func patients(month string, score, n, died int) []queries.Risk {
	list := make([]queries.Risk, n)
	for i := range list {
		dead := i < died
		list[i] = queries.Risk{Month: month, GestationBand: "32–36", Referring: &score, Died: &dead}
	}
	return list
}

func join(lists ...[]queries.Risk) []queries.Risk {
	var all []queries.Risk
	for _, l := range lists {
		all = append(all, l...)
	}
	return all
}

// The definitions' bands, by their limits.
func TestBandsOfRisk(t *testing.T) {
	for score, want := range map[int]string{0: "0–10", 10: "0–10", 11: "11–20", 20: "11–20", 21: "21–30", 30: "21–30", 31: "31–40", 40: "31–40", 41: "over 40", 65: "over 40"} {
		if got := RiskBands()[riskBand(score)]; got != want {
			t.Errorf("%d: band %s, expected %s", score, got, want)
		}
	}
}

// By hand: the baseline has 2 deaths of 20 at low and 4 of 10 at middle risk; 30 and 5 transports after it are expected to
// have 3 + 2 = 5 deaths. Observed 10: Garwood 1936 gives 10 the limits 4.795388696132 and 18.39035604202.
func TestObservedAgainstExpected(t *testing.T) {
	risks := join(patients("2025-01", 5, 20, 2), patients("2025-02", 25, 10, 4),
		patients("2025-03", 5, 20, 4), patients("2025-04", 5, 10, 2), patients("2025-04", 25, 5, 4), patients("2025-04", 50, 1, 1))
	risks = append(risks, queries.Risk{Month: "2025-04", ReferringMissing: "response not recorded", Died: new(bool)}, queries.Risk{Month: "2025-02"})
	e, err := ExpectedOf(risks, Baseline{To: "2025-02"}, "2025-01", "2025-04")
	if err != nil {
		t.Fatal(err)
	}
	near(t, "expected", e.All.Expected, 5, 1e-12)
	near(t, "ratio", e.All.Ratio, 2, 1e-12)
	near(t, "low", e.All.Low, 4.795388696132/5, 1e-9)
	near(t, "high", e.All.High, 18.39035604202/5, 1e-9)
	near(t, "low of the deaths", e.All.ObservedLow, 4.795388696132, 1e-9)
	near(t, "expected in the month", e.Month.Expected, 3, 1e-12)
	if e.None != "" || e.From != "2025-03" || e.All.N != 35 || e.All.Observed != 10 || e.Month.Observed != 6 || e.All.BaselineN != 30 {
		t.Errorf("got %+v", e)
	}
	if high := e.Bands[4]; high.N != 1 || high.Observed != 1 || high.Expected != nil || high.Ratio != nil {
		t.Errorf("a band without baseline: %+v", high)
	}
	if e.LeftOut["no baseline transport of risk over 40"] != 1 || e.LeftOut["response not recorded"] != 1 || e.LeftOutOf["died_within_7_days not recorded"] != 1 {
		t.Errorf("left out %v, of the baseline %v", e.LeftOut, e.LeftOutOf)
	}
	if !strings.Contains(e.All.Warning, "only 6 deaths") || e.All.RatioText() != "2.00 (0.96–3.68)" || e.All.ExpectedText() != "5.0" {
		t.Errorf("warning %q, text %q", e.All.Warning, e.All.RatioText())
	}
}

// Breslow and Day, Welsh nickel workers: 137 against 24.19893 is 5.66140734321724 (4.75312480484875, 6.69270933417607). The
// expectation is made of one band: 2419893 deaths in ten million.
func TestRatioIsThatOfThePublishedExample(t *testing.T) {
	d := Deaths{N: 679, Observed: 137, Expected: number(24.19893)}
	if err := d.ratio(); err != nil {
		t.Fatal(err)
	}
	near(t, "ratio", d.Ratio, 5.66140734321724, 1e-9)
	near(t, "low", d.Low, 4.75312480484875, 1e-9)
	near(t, "high", d.High, 6.69270933417607, 1e-9)
}

func TestWithoutBaselineObservedStandsAlone(t *testing.T) {
	risks := join(patients("2025-01", 5, 20, 2), patients("2025-03", 5, 4, 0))
	for name, c := range map[string]struct {
		base Baseline
		none string
	}{
		"none set":          {Baseline{}, "no baseline is set"},
		"ends too late":     {Baseline{To: "2025-03"}, "the baseline ends in March 2025, not before the month under report"},
		"no death":          {Baseline{From: "2025-02", To: "2025-02"}, "no death with a score lies in the baseline"},
		"before everything": {Baseline{To: "2024-02"}, "no death with a score lies in the baseline"},
	} {
		e, err := ExpectedOf(risks, c.base, "2025-01", "2025-03")
		if err != nil || e.None != c.none || e.All.Expected != nil || e.All.Ratio != nil || e.All.Observed != 2 || e.All.N != 24 || e.From != "2025-01" {
			t.Errorf("%s: %v, %+v", name, err, e)
		}
	}
	if _, err := ExpectedOf(risks, Baseline{From: "2025-01"}, "2025-01", "2025-03"); err == nil {
		t.Error("a baseline without an end was taken")
	}
	if e, err := ExpectedOf(nil, Baseline{}, "2025-01", "2025-03"); err != nil || e.All.N != 0 || e.All.ObservedLow != nil || len(e.Bands) != 5 {
		t.Errorf("nothing: %v, %+v", err, e)
	}
}

// Ranks of the median interval for n = 6: 1 and 6, coverage 0.96875 (checks). The median of six is the mean of the middle two.
func TestChangeOfRisk(t *testing.T) {
	var risks []queries.Risk
	for i, change := range []int{5, -2, 0, 7, 1, 3} {
		before := 10 + i
		after := before + change
		risks = append(risks, queries.Risk{Month: "2025-01", GestationBand: "under 28", Referring: &before, Receiving: &after})
	}
	before := 4
	risks = append(risks, queries.Risk{Month: "2025-02", GestationBand: "not recorded", Referring: &before})
	byMonth, err := RiskChangesByMonth(risks, []string{"2025-01", "2025-02"})
	if err != nil {
		t.Fatal(err)
	}
	first, second := byMonth[0], byMonth[1]
	near(t, "median", first.Median, 2, 1e-12)
	near(t, "low", first.Low, -2, 0)
	near(t, "high", first.High, 7, 0)
	near(t, "coverage", first.Coverage, 0.96875, 1e-12)
	near(t, "team", first.Referring, 12.5, 1e-12)
	if team, _, change := first.Texts(); team != "12.5" || change != "2" || first.IntervalText() != "-2 to 7" {
		t.Errorf("texts %q %q %q", team, change, first.IntervalText())
	}
	if second.N != 0 || second.Median != nil || second.LeftOut != 1 || second.IntervalText() != "" {
		t.Errorf("no pair: %+v", second)
	}
	bands, err := RiskChangesByGestation(risks)
	if err != nil || len(bands) != 2 || bands[0].Group != "under 28" || bands[1].Group != queries.NotRecorded {
		t.Errorf("bands %+v, %v", bands, err)
	}
}
