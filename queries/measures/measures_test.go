package measures

import (
	"bytes"
	"context"
	"encoding/csv"
	"math"
	"slices"
	"strings"
	"testing"

	"tripwake/queries"
)

// fake answers with sums made by hand, in order, and records what it was asked.
type fake struct {
	sums  []queries.Sum
	gaps  queries.Gaps
	first string
	asked []queries.Request
}

func (f *fake) Sums(_ context.Context, ask queries.Request) ([]queries.Sum, error) {
	f.asked = append(f.asked, ask)
	var found []queries.Sum
	for _, s := range f.sums {
		byMonth := s.Month != queries.AllMonths
		if slices.Contains(ask.Measures, s.Measure) && byMonth == ask.ByMonth {
			found = append(found, s)
		}
	}
	return found, nil
}

func (f *fake) EventGaps(context.Context, string, string) (queries.Gaps, error) { return f.gaps, nil }
func (f *fake) Period(context.Context) (string, string, error)                  { return f.first, "2026-03", nil }
func (f *fake) Settings() queries.Settings                                      { return queries.Defaults() }

func rowOf(t *testing.T, s queries.Sum) Row {
	t.Helper()
	if s.Month == "" {
		s.Month = queries.AllMonths
	}
	rows, err := Measure(t.Context(), &fake{sums: []queries.Sum{s}}, queries.Request{Measures: []string{s.Measure}})
	if err != nil || len(rows) != 1 {
		t.Fatalf("%s: %d rows, %v", s.Measure, len(rows), err)
	}
	return rows[0]
}

func near(t *testing.T, what string, got *float64, want, tolerance float64) {
	t.Helper()
	if got == nil || math.Abs(*got-want) > tolerance {
		t.Errorf("%s: got %s, expected %g", what, full(got), want)
	}
}

// Newcombe RG. Stat Med 1998;17:857, Table I: 81/263 and 1/29.
func TestProportionHasWilsonIntervalInPercent(t *testing.T) {
	row := rowOf(t, queries.Sum{Measure: "tube_confirmed", Facts: 263, Transports: 263, X: 81, T: 263})
	near(t, "value", row.Value, 100*81.0/263, 1e-9)
	near(t, "low", row.Low, 25.5288519878, 1e-9)
	near(t, "high", row.High, 36.6209576983, 1e-9)
	row = rowOf(t, queries.Sum{Measure: "tube_confirmed", Facts: 29, Transports: 29, X: 1, T: 29})
	near(t, "low of 1/29", row.Low, 0.611321429276, 1e-9)
	near(t, "high of 1/29", row.High, 17.1755218793, 1e-9)
	if row.N != 29 || row.Method != "wilson" || row.Warning != "" {
		t.Errorf("n %d, method %q, warning %q", row.N, row.Method, row.Warning)
	}
}

// The example of the design: 1 event in 23 transports; limits from Garwood 1936 (0.02531780798429 and 5.571643390939).
func TestRateHasExactPoissonIntervalPerHundred(t *testing.T) {
	row := rowOf(t, queries.Sum{Measure: "unplanned_extubation", Facts: 23, Transports: 23, X: 1, T: 23})
	near(t, "value", row.Value, 4.3478260869565, 1e-9)
	near(t, "low", row.Low, 2.531780798429/23, 1e-9)
	near(t, "high", row.High, 557.1643390939/23, 1e-9)
	if row.N != 23 || *row.Numerator != 1 || *row.Denominator != 23 || row.Method != "poisson exact" {
		t.Errorf("row %+v", row)
	}
}

// Garwood 1936: 0 events have the limits 0 and 3.688879454114.
func TestRatePerThousandHours(t *testing.T) {
	row := rowOf(t, queries.Sum{Measure: "unplanned_extubation_hours", Facts: 40, Transports: 40, X: 0, T: 125.5})
	near(t, "value", row.Value, 0, 0)
	near(t, "high", row.High, 3688.879454114/125.5, 1e-6)
	if row.Unit != "/1000 h" || row.N != 40 {
		t.Errorf("unit %q, n %d", row.Unit, row.N)
	}
}

// Ranks and quantiles: checks of the median interval (n = 10: ranks 2 and 9, coverage 0.978515625) and Hyndman–Fan type 7.
func TestTimeHasMedianAndOrderStatistics(t *testing.T) {
	ten := []float64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10}
	row := rowOf(t, queries.Sum{Measure: "stabilization_time", Facts: 10, Transports: 10, Xs: ten})
	near(t, "median", row.Value, 5.5, 1e-12)
	near(t, "p90", row.P90, 9.1, 1e-12)
	near(t, "mean", row.Mean, 5.5, 1e-12)
	near(t, "low", row.Low, 2, 0)
	near(t, "high", row.High, 9, 0)
	near(t, "coverage", row.Coverage, 0.978515625, 1e-12)
	if row.Numerator != nil || row.Denominator != nil || row.OnTarget != nil || row.N != 10 {
		t.Errorf("row %+v", row)
	}
}

// The target of mobilization is 30 min, at most (definitions); numbers are rounded to 1e-9 before.
func TestOnTargetCountsTheLimitItself(t *testing.T) {
	row := rowOf(t, queries.Sum{Measure: "mobilization_time", Facts: 4, Transports: 4, Xs: []float64{20, 30, 30 + 1e-12, 30.01}})
	near(t, "on_target", row.OnTarget, 75, 1e-12)
}

func TestFewTimesHaveNoInterval(t *testing.T) {
	row := rowOf(t, queries.Sum{Measure: "care_time", Facts: 5, Transports: 5, Xs: []float64{1, 2, 3, 4, 5}})
	if row.Low != nil || row.High != nil || row.Coverage != nil || !strings.Contains(row.Warning, "from 6") {
		t.Errorf("row %+v", row)
	}
}

// Ratios 1/2 and 2 have geometric mean 1 and log sd √2 ln 2; t(1) at 97.5 % is 12.7062 (any table of t).
func TestRatioHasGeometricMean(t *testing.T) {
	row := rowOf(t, queries.Sum{Measure: "oxygen_ratio", Facts: 2, Transports: 2, X: 250, T: 200, Xs: []float64{50, 200}, Ts: []float64{100, 100}})
	near(t, "value", row.Value, 1, 1e-12)
	near(t, "low", row.Low, math.Exp(-12.7062047*math.Ln2), 1e-8)
	if row.N != 2 || *row.Numerator != 250 || *row.Denominator != 200 || row.Method != "log-normal t" {
		t.Errorf("row %+v", row)
	}
	if one := rowOf(t, queries.Sum{Measure: "air_ratio", Xs: []float64{50}, Ts: []float64{100}, X: 50, T: 100}); *one.Value != 0.5 || one.Low != nil {
		t.Errorf("one transport: %+v", one)
	}
}

// Definitions: r = Σx/Σt, variance m/(m−1) · Σ(x_i − r t_i)² / (Σt)², normal on the log scale; here r = 3, residuals
// −2, 2, 0, variance 3/2 · 8/9 = 4/3.
func TestAlarmsAreClusteredByTransport(t *testing.T) {
	row := rowOf(t, queries.Sum{Measure: "alarms_per_hour", Facts: 3, Transports: 3, X: 9, T: 3, Xs: []float64{1, 5, 3}, Ts: []float64{1, 1, 1}})
	near(t, "value", row.Value, 3, 1e-12)
	half := 1.959963984540054 * math.Sqrt(4.0/3) / 3
	near(t, "low", row.Low, 3*math.Exp(-half), 1e-9)
	near(t, "high", row.High, 3*math.Exp(half), 1e-9)
	if row.PoissonLow == nil || row.PoissonHigh == nil || row.Method != "clustered by transport" {
		t.Errorf("row %+v", row)
	}
}

func TestAlarmsWithoutOnsetUseThePoissonInterval(t *testing.T) {
	row := rowOf(t, queries.Sum{Measure: "alarms_per_hour", Facts: 2, Transports: 2, T: 4, Xs: []float64{0, 0}, Ts: []float64{2, 2}})
	near(t, "high", row.High, 3.688879454114/4, 1e-9)
	if row.Method != "poisson exact" {
		t.Errorf("method %q", row.Method)
	}
	one := rowOf(t, queries.Sum{Measure: "alarms_per_hour", Facts: 1, Transports: 1, X: 7, T: 2, Xs: []float64{7}, Ts: []float64{2}})
	if one.Low != nil || *one.Value != 3.5 {
		t.Errorf("one transport: %+v", one)
	}
}

func TestShareOfTimeCountsTransports(t *testing.T) {
	row := rowOf(t, queries.Sum{Measure: "alarming_time", Facts: 14, Transports: 12, X: 1.5, T: 30})
	near(t, "value", row.Value, 5, 1e-12)
	if row.N != 12 || row.Low != nil || row.Method != "none" {
		t.Errorf("row %+v", row)
	}
}

func TestNoDataIsNullAndSaysWhatWasLeftOut(t *testing.T) {
	for _, d := range Catalogue() {
		row := rowOf(t, queries.Sum{Measure: d.ID, LeftOut: map[string]int{"not recorded": 4}})
		if row.Value != nil || row.Low != nil || row.High != nil || row.N != 0 || row.Method == "" || row.Warning != "no data: all 4 were left out" {
			t.Errorf("%s: %+v", d.ID, row)
		}
		if (row.TimeParts != nil) != (d.Kind == Time) {
			t.Errorf("%s: mean, p90 and on_target belong to times alone", d.ID)
		}
	}
}

func TestSmallNumbersWarn(t *testing.T) {
	small := rowOf(t, queries.Sum{Measure: "declined", Facts: 9, Transports: 9, X: 1, T: 9})
	enough := rowOf(t, queries.Sum{Measure: "declined", Facts: 10, Transports: 10, X: 1, T: 10})
	if small.Warning != "only 9 requests: too few to say anything" || enough.Warning != "" {
		t.Errorf("warnings %q and %q", small.Warning, enough.Warning)
	}
	devices := rowOf(t, queries.Sum{Measure: "device_failures", Facts: 3, Transports: 3, X: 2, T: 40000})
	if devices.Warning != "" || devices.N != 3 {
		t.Errorf("three devices over years: %+v", devices)
	}
}

func TestMeasureRefusesWhatItDoesNotKnow(t *testing.T) {
	if _, err := Measure(t.Context(), &fake{}, queries.Request{Measures: []string{"speed"}}); err == nil {
		t.Error("an unknown measure was answered")
	}
	if _, err := Measure(t.Context(), &fake{}, queries.Request{By: "patient_key"}); err == nil {
		t.Error("a group that is none was answered")
	}
}

func TestParseBy(t *testing.T) {
	for text, want := range map[string]struct {
		month bool
		by    string
	}{"": {}, "month": {true, ""}, "vehicle": {false, "vehicle"}, "month,vehicle": {true, "vehicle"}, "age_band, month": {true, "age_band"}} {
		if month, by, err := ParseBy(text); err != nil || month != want.month || by != want.by {
			t.Errorf("%q: %v %q %v", text, month, by, err)
		}
	}
	for _, text := range []string{"patient_key", "vehicle,team", "months"} {
		if _, _, err := ParseBy(text); err == nil {
			t.Errorf("%q was accepted", text)
		}
	}
}

// The line of the design, in full precision, with its keys in their order.
func TestJSONLine(t *testing.T) {
	row := rowOf(t, queries.Sum{Measure: "unplanned_extubation", Month: queries.AllMonths, Facts: 23, Transports: 23, X: 1, T: 23})
	row.Month, row.By, row.Group = "2026-03", "vehicle", "ground"
	var out bytes.Buffer
	if err := WriteJSON(&out, []Row{row}); err != nil {
		t.Fatal(err)
	}
	want := `{"measure":"unplanned_extubation","month":"2026-03","by":"vehicle","group":"ground","n":23,` +
		`"numerator":1,"denominator":23,"value":4.3478260869565215,"unit":"/100","low":0.110077426`
	if !strings.HasPrefix(out.String(), want) || !strings.HasSuffix(out.String(), `,"method":"poisson exact"}`+"\n") {
		t.Errorf("got %s", out.String())
	}
}

func TestJSONOfTimesAndOfNoData(t *testing.T) {
	rows := []Row{rowOf(t, queries.Sum{Measure: "care_time", Xs: []float64{90}, Facts: 1, Transports: 1}), rowOf(t, queries.Sum{Measure: "declined"})}
	var out bytes.Buffer
	if err := WriteJSON(&out, rows); err != nil {
		t.Fatal(err)
	}
	want := `{"measure":"care_time","month":"all","by":"","group":"","n":1,"numerator":null,"denominator":null,"value":90,"unit":"min",` +
		`"low":null,"high":null,"method":"order statistics","mean":90,"p90":90,"on_target":null,"warning":"only 1 intervals: too few to say anything; a median has an interval from 6"}
{"measure":"declined","month":"all","by":"","group":"","n":0,"numerator":0,"denominator":0,"value":null,"unit":"%","low":null,"high":null,"method":"wilson"}
`
	want = strings.Replace(want, "1 intervals", "1 interval", 1)
	if out.String() != want {
		t.Errorf("got  %s\nwant %s", out.String(), want)
	}
}

// OWASP, CSV injection: a cell that begins with = + - @ tab or return is run as a formula.
func TestCSVDefusesFormulas(t *testing.T) {
	var out bytes.Buffer
	rows := []Row{{Measure: "declined", Month: "all", By: "referring_site", Group: `=HYPERLINK("x")`}, {Measure: "declined", Group: "@a"}, {Measure: "declined", Group: "St. Mary"}}
	if err := WriteCSV(&out, rows); err != nil {
		t.Fatal(err)
	}
	records, err := csv.NewReader(&out).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(records[0], Columns()) || records[1][3] != `'=HYPERLINK("x")` || records[2][3] != "'@a" || records[3][3] != "St. Mary" {
		t.Errorf("records %q", records)
	}
}

func TestCSVHasTheKeysOfTheJSON(t *testing.T) {
	v := 1.0
	row := Row{TimeParts: &TimeParts{}, Coverage: &v, PoissonLow: &v, PoissonHigh: &v, LeftOut: map[string]int{"a": 1}, Warning: "w"}
	var out bytes.Buffer
	if err := WriteJSON(&out, []Row{row}); err != nil {
		t.Fatal(err)
	}
	at := 0
	for _, column := range Columns() {
		next := strings.Index(out.String(), `"`+column+`":`)
		if next < at {
			t.Errorf("column %s is not a key after the one before it in %s", column, out.String())
		}
		at = next
	}
}

func TestTableIsAlignedAndRounded(t *testing.T) {
	rows := []Row{
		rowOf(t, queries.Sum{Measure: "tube_confirmed", Facts: 263, Transports: 263, X: 81, T: 263, LeftOut: map[string]int{"not recorded": 2}}),
		rowOf(t, queries.Sum{Measure: "stabilization_time", Xs: []float64{60, 70, 80, 90, 100, 110}}),
		rowOf(t, queries.Sum{Measure: "declined"}),
	}
	var out bytes.Buffer
	if err := Write(&out, "table", rows); err != nil {
		t.Fatal(err)
	}
	want := `measure             month    n    value  unit  95 % interval  p90  left out  note
tube_confirmed      all    263     30.8  %         25.5–36.6              2
stabilization_time  all      6       85  min          60–110  105            only 6 intervals: too few to say anything
declined            all      0  no data  %
`
	if out.String() != want {
		t.Errorf("got\n%swant\n%s", out.String(), want)
	}
	if err := Write(&out, "xml", rows); err == nil {
		t.Error("an unknown format was written")
	}
}

func TestNumbersInWords(t *testing.T) {
	if got := fixed(-0.2, 0); got != "0" {
		t.Errorf("-0.2 without decimals is %q, expected 0", got)
	}
	d, _ := Find("stabilization_time")
	row := Row{N: 41, Value: number(128), Low: number(110.2), High: number(139.6), Coverage: number(0.9586)}
	if got := d.ValueText(row); got != "128 min (96 % interval 110–140, n = 41)" {
		t.Errorf("got %q", got)
	}
	if got := MonthWords("2026-03"); got != "March 2026" {
		t.Errorf("got %q", got)
	}
	if got, err := MonthBefore("2026-01"); got != "2025-12" || err != nil {
		t.Errorf("got %q, %v", got, err)
	}
}
