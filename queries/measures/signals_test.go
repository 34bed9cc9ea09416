package measures

import (
	"bytes"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"tripwake/queries"
)

// p chart by hand: 11 months of 20 and one of 80 in 200 make a centre of 300/2400 = 12.5 % and limits of
// 12.5 ± 3 × 100 √(0.125 × 0.875 / 200) = 12.5 ± 7.0156 %.
func TestSignalsAsData(t *testing.T) {
	f := stepped(80)
	for i := range 11 {
		f.sums[i].X = 20
	}
	review, err := NewReview(t.Context(), f, "2025-12", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := WriteSignals(&out, "json", SignalRows(review, []string{"declined", "trip_time"})); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	want := `{"measure":"declined","chart":"p chart","rule":"point beyond 3 sigma","first":"2025-12","last":"2025-12","direction":"up","verdict":"worse","current":true,` +
		`"value":40,"unit":"%","centre":12.5,"lower":5.48`
	if len(lines) != 2 || !strings.HasPrefix(lines[0], want) || !strings.Contains(lines[0], `,"upper":19.51`) ||
		!strings.HasSuffix(lines[0], `"text":"40.0 % is above the upper limit of 19.5 %"}`) {
		t.Errorf("got %s", out.String())
	}
	if !strings.Contains(lines[1], `"first":"2025-01","last":"2025-11","direction":"down","verdict":"better","current":false`) {
		t.Errorf("the run before: got %s", lines[1])
	}
}

// The report's first page, its sections and the data all say the same words.
func TestSignalsSayWhatTheReportSays(t *testing.T) {
	review, err := NewReview(t.Context(), stepped(80), "2025-12", Limits{Baseline: Baseline{To: "2025-06"}})
	if err != nil {
		t.Fatal(err)
	}
	rows := SignalRows(review, nil)
	standings := review.Standings()
	current := 0
	for _, row := range rows {
		if !row.Current {
			continue
		}
		current++
		if !slices.ContainsFunc(standings, func(s Standing) bool {
			return s.Definition.ID == row.Measure && strings.Contains(s.Sentence, row.Text) && s.Signal.Verdict == row.Verdict
		}) {
			t.Errorf("%+v is not on the first page", row)
		}
	}
	if current != len(standings) || current == 0 {
		t.Errorf("%d current signals, %d on the first page", current, len(standings))
	}
}

func TestLongStretchIsASignalRow(t *testing.T) {
	gaps := queries.Gaps{Events: 9, SinceTransports: 17}
	for range 8 {
		gaps.Gaps = append(gaps.Gaps, queries.EventGap{Month: "2025-02", Transports: 2})
	}
	f := &fake{first: "2025-01", sums: monthsOf("medication_error", func(_ int, s *queries.Sum) { s.T, s.Transports = 10, 10 }, 6), gaps: gaps}
	review, err := NewReview(t.Context(), f, "2025-06", Limits{})
	if err != nil {
		t.Fatal(err)
	}
	rows := SignalRows(review, []string{"medication_error"})
	if len(rows) == 0 || *rows[0].Value != 17 || rows[0].First != "2025-02" || rows[0].Last != "2025-06" || rows[0].Verdict != "better" || rows[0].Chart != "g chart" {
		t.Errorf("rows %+v", rows)
	}
	// Geometric law with mean 2: the median is 1, since 1 − (2/3)² = 0.56 and 1 − 2/3 = 0.33 (by hand).
	if len(rows) != 2 || rows[1].Text != "8 gaps in a row above the median of 1 transport" {
		t.Errorf("rows %+v", rows)
	}
}

func TestSignalsInEveryFormat(t *testing.T) {
	one := SignalRow{Measure: "trip_time", Chart: "run chart", Rule: "few crossings", First: "2025-01", Last: "2025-12", Direction: "none", Verdict: "changed", Unit: "min",
		Value: number(101.5), Centre: number(99), Text: "crosses less often, than chance would"}
	for format, want := range map[string]string{
		"table": "measure    chart      months              verdict  current  signal\n" +
			"trip_time  run chart  2025-01 to 2025-12  changed  no       crosses less often, than chance would\n",
		"csv": "measure,chart,rule,first,last,direction,verdict,current,value,unit,centre,lower,upper,text\n" +
			"trip_time,run chart,few crossings,2025-01,2025-12,none,changed,false,101.5,min,99,,,\"crosses less often, than chance would\"\n",
	} {
		var out bytes.Buffer
		if err := WriteSignals(&out, format, []SignalRow{one}); err != nil || out.String() != want {
			t.Errorf("%s: %v\ngot  %q\nwant %q", format, err, out.String(), want)
		}
	}
	var back SignalRow
	text, _ := json.Marshal(one)
	if err := json.Unmarshal(text, &back); err != nil || back.Lower != nil || !strings.Contains(string(text), `"lower":null`) {
		t.Errorf("%s: %v", text, err)
	}
	if err := WriteSignals(&bytes.Buffer{}, "xml", nil); err == nil {
		t.Error("an unknown format was written")
	}
}
