package reports

import (
	"html"
	"regexp"
	"strings"
	"testing"

	"tripwake/queries/measures"
)

func contains(t *testing.T, doc string, texts ...string) {
	t.Helper()
	for _, text := range texts {
		if !strings.Contains(doc, text) {
			t.Errorf("%q is not in the report", text)
		}
	}
}

func TestDeathsStandAloneWithoutABaseline(t *testing.T) {
	doc := html.UnescapeString(cached(t, ""))
	contains(t, doc, "Observed deaths stand alone, because no baseline is set", "risk_baseline_to", "Deaths by TRIPS (transport risk index, 0 to 65) when the team arrived, January 2025 to June 2026",
		"Left out of the deaths by risk: died within 7 days not recorded: 1.", `id="deaths-by-risk-title"`, "Change of risk under way")
	if strings.Contains(doc, "Observed over expected") {
		t.Error("a ratio stands without a baseline")
	}
}

// limited is the report under settings of limits and of risk, its entities as characters.
func limited(t *testing.T) string {
	t.Helper()
	if documents["limited"] == "" {
		in := inputOf(fake{months: 18, size: 20})
		in.RiskBaseline = measures.Baseline{To: "2025-12"}
		in.Limits = measures.Limits{Baseline: measures.Baseline{To: "2025-08"},
			Restarts: []measures.Restart{{Month: "2026-01", Measure: measures.AllMeasures, Reason: "new [bag]"}}}
		documents["limited"] = html.UnescapeString(written(t, in))
	}
	return documents["limited"]
}

// By hand: each month has one patient in each of three bands, of whom one dies in turn. The 12 months of the baseline have 4
// deaths of 12 in each band, so the 18 patients of the 6 months after it are expected to have 6 deaths, and have 6.
func TestDeathsAgainstTheBaseline(t *testing.T) {
	doc := limited(t)
	contains(t, doc, "and expected from the baseline, the months up to December 2025", "January 2026 to June 2026: observed",
		`<th scope="row">All</th><td class="num">18</td><td class="num">6</td><td class="num">6.0</td><td class="num">1.00 (0.37–2.18)</td><td class="num">36</td><td class="num">12</td>`)
	elements(t, doc)
}

func TestFunnelsAreNoRanking(t *testing.T) {
	doc := html.UnescapeString(cached(t, ""))
	for _, id := range funnels {
		d, err := measures.Find(id)
		if err != nil {
			t.Fatal(err)
		}
		contains(t, doc, d.Title+" by referring hospital, in order of name", `id="funnel-`+slug(id)+`-title"`)
	}
	contains(t, doc, "A funnel is no ranking", "Left out, because the referring hospital is not recorded: 20.", "Only 3 units: over-dispersion is hard to tell.")
}

func TestNewLimitsStandInChartAndText(t *testing.T) {
	contains(t, limited(t), "Limits made from the months up to August 2025, frozen since. New limits from January 2026: new [bag].",
		">baseline</text>", ">frozen</text>", ">new</text>", "come from the months up to August 2025, and were made anew where this stands beside a chart")
	if plain := cached(t, ""); strings.Contains(plain, ">baseline</text>") || strings.Contains(plain, "made anew where") {
		t.Error("a report without settings speaks of phases")
	}
}

var notANumber = regexp.MustCompile(`NaN|[+-]Inf\b|%!`)

// Whatever the size of a month, no number that is none is printed, and no text that was badly formatted.
func TestNoReportPrintsWhatIsNoNumber(t *testing.T) {
	for _, f := range []fake{{months: 1, size: 0}, {months: 1, size: 1}, {months: 2, size: 2}, {months: 9, size: 6}} {
		in := inputOf(f)
		in.RiskBaseline = measures.Baseline{To: "2025-01"}
		if found := notANumber.FindString(written(t, in)); found != "" {
			t.Errorf("%d months of %g: %q in the report", f.months, f.size, found)
		}
	}
	if found := notANumber.FindString(cached(t, "")); found != "" {
		t.Errorf("%q in the report", found)
	}
}
