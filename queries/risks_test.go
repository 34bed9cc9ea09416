package queries

import (
	"fmt"
	"strings"
	"testing"
)

// ill is an assessment with every part of the score at its best; more overrides.
func ill(stage string, more cells) cells {
	row := cells{"stage": q(stage), "temperature": "36.8", "respiratory_status": q("none"), "systolic_pressure": "60", "response": q("vigorous")}
	for k, v := range more {
		row[k] = v
	}
	return row
}

func (f *fixture) scores(stage string) string {
	f.t.Helper()
	return strings.Join(f.rows("select transport_id || ': ' || coalesce(score::varchar, missing) from risk_scores where stage = '"+stage+"' order by transport_id"), ", ")
}

// checks, Risk and indices: all worst 65; intubated, all else best 14 (from memory; the maximum is confirmed).
func TestWorstAndIntubated(t *testing.T) {
	f := newFixture(t)
	f.assess("best", ill("referring_arrival", nil))
	f.assess("intubated", ill("referring_arrival", cells{"respiratory_status": q("severe")}))
	f.assess("worst", ill("referring_arrival", cells{"temperature": "35", "respiratory_status": q("severe"), "systolic_pressure": "19", "response": q("none")}))
	if got, want := f.scores("referring_arrival"), "best: 0, intubated: 14, worst: 65"; got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// definitions, Risk: the limits of each part, one part at a time.
func TestPointsOfEachPart(t *testing.T) {
	for column, values := range map[string]map[string]int{
		"temperature": {"36.04": 8, "36.05": 1, "36.1": 1, "36.54": 1, "36.55": 0, "36.6": 0, "37.14": 0, "37.15": 1, "37.6": 1, "37.64": 1, "37.65": 8, "20": 8, "45": 8,
			"36.050000000000004": 1, "37.149999999999999": 1}, // the last is what 37.15 becomes in binary
		"respiratory_status": {"'none'": 0, "'moderate'": 5, "'severe'": 14},
		"systolic_pressure":  {"0": 26, "19.9": 26, "20": 16, "40": 16, "40.0000000001": 16, "40.1": 0, "300": 0},
		"response":           {"'vigorous'": 0, "'lethargic'": 6, "'none'": 17},
	} {
		f := newFixture(t)
		var want []string
		for value := range values {
			f.assess(strings.Trim(value, "'"), ill("receiving_arrival", cells{column: value}))
		}
		for _, line := range strings.Split(f.scores("receiving_arrival"), ", ") {
			name, got, _ := strings.Cut(line, ": ")
			points, ok := values[name]
			if !ok {
				points = values["'"+name+"'"]
			}
			if got != fmt.Sprint(points) {
				want = append(want, fmt.Sprintf("%s: got %s, want %d", name, got, points))
			}
		}
		if len(want) > 0 {
			t.Errorf("%s: %v", column, want)
		}
	}
}

// definitions: missing if any part is; the last assessment of a stage counts, also where its cell is empty.
func TestMissingPartsAndLastAssessment(t *testing.T) {
	f := newFixture(t)
	f.assess("one", ill("referring_arrival", cells{"systolic_pressure": "null"}))
	f.assess("two", ill("referring_arrival", cells{"systolic_pressure": "null", "response": "null"}))
	f.assess("last", ill("referring_arrival", cells{"recorded_at": at(70)}))
	f.assess("last", ill("referring_arrival", cells{"recorded_at": at(60), "temperature": "30"}))
	f.assess("empty", ill("referring_arrival", nil))
	f.assess("empty", ill("referring_arrival", cells{"recorded_at": at(60), "temperature": "null"}))
	f.assess("other stage", ill("referring_departure", nil))
	want := "empty: temperature not recorded, last: 0, one: systolic_pressure not recorded, two: several parts not recorded"
	if got := f.scores("referring_arrival"); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

func TestRisks(t *testing.T) {
	f := newFixture(t)
	for _, alike := range []string{"A", "E"} {
		f.trip(alike, cells{"died_within_7_days": "true", "gestation": "30"})
		f.assess(alike, ill("referring_arrival", cells{"response": q("lethargic")}))
		f.assess(alike, ill("receiving_arrival", cells{"respiratory_status": q("severe")}))
	}
	f.trip("B", nil)
	f.assess("B", ill("receiving_arrival", cells{"temperature": "null"}))
	f.trip("C", cells{"disposition": q("cancelled")})
	f.trip("D", cells{"accepted_at": utc("2026-04-10 12:00:00")})
	got, err := f.reader().Risks(t.Context(), "2026-03", "2026-03")
	if err != nil || len(got) != 3 || got[0] != got[1] {
		t.Fatalf("got %+v, %v, want A, its like E, and B", got, err)
	}
	a, b := got[0], got[2]
	if *a.Referring != 6 || *a.Receiving != 14 || !*a.Died || a.Month != "2026-03" || a.GestationBand != "28–31" || a.ReferringMissing != "" {
		t.Errorf("A: got %+v", a)
	}
	if b.Referring != nil || b.ReferringMissing != "no assessment" || b.Receiving != nil || b.ReceivingMissing != "temperature not recorded" || b.Died != nil {
		t.Errorf("B: got %+v", b)
	}
	if _, err := f.reader().Risks(t.Context(), "March", ""); err == nil {
		t.Error("a month that is none was answered")
	}
}
