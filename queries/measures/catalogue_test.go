package measures

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tripwake/pipeline/store"
	"tripwake/queries"
)

// The contract is testdata/contract/measures.csv.
func contract(t *testing.T) [][]string {
	t.Helper()
	file, err := os.Open("../../testdata/contract/measures.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	records, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return records
}

func TestCatalogueIsTheContract(t *testing.T) {
	records := contract(t)
	header, rows := records[0], records[1:]
	want := []string{"id", "section", "kind", "title", "population", "numerator", "denominator", "unit", "interval", "chart", "better", "source"}
	if !slices.Equal(header, want) {
		t.Fatalf("contract has columns %v, the catalogue expects %v", header, want)
	}
	if len(rows) != len(Catalogue()) {
		t.Fatalf("contract has %d measures, the catalogue %d", len(rows), len(Catalogue()))
	}
	for i, d := range Catalogue() {
		got := []string{d.ID, d.Section, string(d.Kind), d.Title, d.Population, d.Numerator, d.Denominator, d.Unit, d.Interval, d.Chart, d.Better, d.Source}
		if !slices.Equal(got, rows[i]) {
			t.Errorf("measure %d:\n catalogue %q\n contract  %q", i, got, rows[i])
		}
	}
}

// The unit of the contract is what the factor makes of numerator over denominator.
func TestScaleIsThatOfTheUnit(t *testing.T) {
	scales := map[string]float64{"%": 100, "/100": 100, "/1000 h": 1000, "/h": 1, "1": 1, "min": 1, "L/h": 1}
	for _, d := range Catalogue() {
		if want, ok := scales[d.Unit]; !ok || d.Scale != want {
			t.Errorf("%s: scale %g for unit %q, expected %g", d.ID, d.Scale, d.Unit, want)
		}
	}
}

func TestChartsAreThoseOfTheContract(t *testing.T) {
	words := map[ChartKind]string{ChartRun: "run chart", ChartP: "p chart", ChartPTarget: "p chart of the share within target", ChartU: "u chart",
		ChartG: "(g chart)", ChartT: "(t chart)", ChartXmR: "XmR chart", ChartExpected: "observed against expected", ChartAgreement: "agreement plot"}
	for _, d := range Catalogue() {
		if (d.Chart == "") != (len(d.Charts) == 0) {
			t.Errorf("%s: chart %q but kinds %v", d.ID, d.Chart, d.Charts)
		}
		for _, kind := range d.Charts {
			if !strings.Contains(d.Chart, words[kind]) {
				t.Errorf("%s: kind %q is not in %q", d.ID, kind, d.Chart)
			}
		}
	}
}

func TestEveryMeasureIsExplained(t *testing.T) {
	for _, d := range Catalogue() {
		if !strings.HasSuffix(d.Plain, ".") || len(d.Plain) < 30 || d.Counts == "" || d.Source == "" {
			t.Errorf("%s: plain %q, counts %q, source %q", d.ID, d.Plain, d.Counts, d.Source)
		}
		if !strings.Contains(d.Formula(), d.Numerator) {
			t.Errorf("%s: formula %q does not name %q", d.ID, d.Formula(), d.Numerator)
		}
	}
}

func TestFindListsWhatThereIs(t *testing.T) {
	if _, err := Find("mobilisation"); err == nil || !strings.Contains(err.Error(), "mobilization_time") {
		t.Errorf("an unknown id gives %v, expected an error that lists the ids", err)
	}
	if d, err := Find("care_time"); err != nil || d.Title != "Time on carried gas and power" {
		t.Errorf("care_time: %v, %v", d.Title, err)
	}
}

func TestSectionsInOrder(t *testing.T) {
	want := []string{"time", "condition on arrival", "airway and hand-over", "harm", "outcome", "alarms", "support", "gas", "power", "readiness", "demand", "records"}
	if got := Sections(); !slices.Equal(got, want) {
		t.Errorf("sections %v, expected %v", got, want)
	}
}

// Package queries answers every measure of the catalogue, and an empty store has no data for any.
func TestQueriesAnswersTheWholeCatalogue(t *testing.T) {
	ctx := t.Context()
	s, err := store.Open(ctx, filepath.Join(t.TempDir(), "empty.store"), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	r, err := queries.Open(ctx, s, queries.Defaults())
	if err != nil {
		t.Fatal(err)
	}
	rows, err := Measure(ctx, r, queries.Request{})
	if err != nil {
		t.Fatal(err)
	}
	if len(rows) != len(Catalogue()) {
		t.Fatalf("%d rows for %d measures", len(rows), len(Catalogue()))
	}
	for i, row := range rows {
		if row.Measure != Catalogue()[i].ID || row.N != 0 || row.Value != nil || row.Month != "all" {
			t.Errorf("empty store: %+v", row)
		}
	}
	if review, err := NewReview(ctx, r, "2026-03", Limits{}); err != nil || len(review.Standings()) != 0 {
		t.Errorf("review of an empty store: %v, signals %v", err, review.Standings())
	}
}
