package measures

import (
	"bytes"
	"encoding/json"
	"math"
	"math/rand/v2"
	"regexp"
	"testing"

	"tripwake/queries"
)

// randomSum is a sum that the questions could give: few or many members, all, some or none with the property, all values equal,
// very small or very large.
func randomSum(r *rand.Rand, d Definition, month string) queries.Sum {
	n := []int{0, 0, 1, 2, 3, 6, 40, 400}[r.IntN(8)]
	s := queries.Sum{Measure: d.ID, Month: month, Facts: n, Transports: n}
	if r.IntN(3) == 0 {
		s.LeftOut = map[string]int{"not recorded": 1 + r.IntN(5)}
	}
	size := math.Pow(10, float64(r.IntN(9)-4))
	for range n {
		x, t := math.Round(r.ExpFloat64()*4), size*(0.01+r.Float64())
		switch {
		case d.Kind == Ratio:
			x = size * (1e-6 + r.ExpFloat64())
		case d.Kind == Time && r.IntN(3) > 0:
			x = size * r.ExpFloat64()
		case d.Kind == Rate && r.IntN(2) == 0:
			x = 0
		}
		s.Xs, s.Ts, s.X, s.T = append(s.Xs, x), append(s.Ts, t), s.X+x, s.T+t
	}
	if d.Kind == Proportion {
		s.T = float64(n)
		s.X = math.Floor(r.Float64() * (s.T + 1))
	}
	if d.Kind == Rate && d.Denominator == "transports" {
		s.T = float64(n)
	}
	sortIf(d.Kind == Time, s.Xs)
	return s
}

func sortIf(sorted bool, values []float64) {
	for i := 1; sorted && i < len(values); i++ {
		for j := i; j > 0 && values[j] < values[j-1]; j-- {
			values[j], values[j-1] = values[j-1], values[j]
		}
	}
}

func randomGaps(r *rand.Rand, months []string) queries.Gaps {
	g := queries.Gaps{SinceTransports: r.IntN(90), SinceHours: r.ExpFloat64() * 900}
	for _, m := range months {
		for range r.IntN(3) {
			g.Gaps = append(g.Gaps, queries.EventGap{Month: m, Transports: r.IntN(4) * r.IntN(40), Hours: float64(r.IntN(3)) * r.ExpFloat64() * 300})
		}
	}
	if g.Events = len(g.Gaps); g.Events > 0 {
		g.Events++
	}
	return g
}

var notANumber = regexp.MustCompile(`NaN|Inf|e\+[0-9]{3}`)

// finite fails where a number that is there is none.
func finite(t *testing.T, what string, numbers ...*float64) {
	t.Helper()
	for _, v := range numbers {
		if v != nil && (math.IsNaN(*v) || math.IsInf(*v, 0)) {
			t.Fatalf("%s: %g", what, *v)
		}
	}
}

// Whatever the records hold, no row, chart, signal or line of JSON holds a number that is none, and nothing fails.
func TestRandomSumsGiveNumbersOrNothing(t *testing.T) {
	for seed := range uint64(24) {
		r := rand.New(rand.NewPCG(seed, 7))
		f := &fake{first: "2025-01"}
		count := 1 + r.IntN(20)
		var months []string
		for _, d := range Catalogue() {
			sums := monthsOf(d.ID, func(int, *queries.Sum) {}, count)
			months = nil
			for _, s := range sums {
				months = append(months, s.Month)
				f.sums = append(f.sums, randomSum(r, d, s.Month))
			}
			f.sums = append(f.sums, randomSum(r, d, queries.AllMonths))
		}
		f.gaps = randomGaps(r, months)
		lim := Limits{}
		if seed%2 == 1 {
			lim = Limits{Baseline: Baseline{To: months[len(months)/3]}, Restarts: []Restart{{Month: months[len(months)/2], Measure: AllMeasures, Reason: "x"}}}
		}
		checkReview(t, f, months[len(months)-1], lim)
	}
}

func checkReview(t *testing.T, f *fake, month string, lim Limits) {
	t.Helper()
	review, err := NewReview(t.Context(), f, month, lim)
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	for _, item := range review.Items {
		rows := append([]Row{item.Now, item.Before}, item.Months...)
		for _, row := range rows {
			finite(t, row.Measure, row.Value, row.Low, row.High, row.Coverage, row.PoissonLow, row.PoissonHigh)
			if row.Low != nil && row.High != nil && (*row.Low > *row.Value*(1+1e-9)+1e-12 || *row.High < *row.Value*(1-1e-9)-1e-12) {
				t.Errorf("%s %s: %g is not inside %g to %g", row.Measure, row.Month, *row.Value, *row.Low, *row.High)
			}
		}
		if err := Write(&out, "table", rows); err != nil {
			t.Fatal(err)
		}
		if err := Write(&out, "json", rows); err != nil {
			t.Fatal(err)
		}
		for _, s := range item.Series {
			for _, p := range s.Points {
				if math.IsInf(p.Value, 0) || math.IsInf(p.Centre, 0) || math.IsInf(p.Lower, 0) || math.IsInf(p.Upper, 0) || p.Lower > p.Upper {
					t.Fatalf("%s %s: %+v", s.Definition.ID, s.Kind, p)
				}
			}
		}
	}
	for _, s := range review.Standings() {
		out.WriteString(s.Sentence)
	}
	if err := WriteSignals(&out, "json", SignalRows(review, nil)); err != nil {
		t.Fatal(err)
	}
	if found := notANumber.FindIndex(out.Bytes()); found != nil {
		t.Fatalf("%s in the answers: %.200s", out.Bytes()[found[0]:found[1]], out.Bytes()[max(0, found[0]-100):])
	}
}

// 0, 1 and 2 members, and no spread among them: what each kind of row says.
func TestRowsOfNoneOneAndTwo(t *testing.T) {
	for _, d := range Catalogue() {
		for n := range 3 {
			s := queries.Sum{Measure: d.ID, Facts: n, Transports: n, X: float64(n), T: float64(n)}
			for range n {
				s.Xs, s.Ts = append(s.Xs, 1), append(s.Ts, 1)
			}
			row := rowOf(t, s)
			if _, err := json.Marshal(row); err != nil {
				t.Errorf("%s of %d: %v", d.ID, n, err)
			}
			if (row.Value == nil) != (n == 0) || row.N != n {
				t.Errorf("%s of %d: %+v", d.ID, n, row)
			}
			if warned := row.Warning != ""; warned != (n > 0 && d.Counts != "devices") {
				t.Errorf("%s of %d: warning %q", d.ID, n, row.Warning)
			}
		}
	}
}

func TestRandomRisks(t *testing.T) {
	for seed := range uint64(200) {
		r := rand.New(rand.NewPCG(seed, 11))
		var risks []queries.Risk
		for range r.IntN(60) {
			one := queries.Risk{Month: []string{"2025-01", "2025-02", "2025-03"}[r.IntN(3)], GestationBand: "under 28", ReferringMissing: "no assessment"}
			if score, died := r.IntN(66), r.IntN(6) == 0; r.IntN(5) > 0 {
				one.Referring, one.Receiving, one.Died = &score, &score, &died
			}
			risks = append(risks, one)
		}
		e, err := ExpectedOf(risks, Baseline{To: "2025-01"}, "2025-01", "2025-03")
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, d := range append([]Deaths{e.All, e.Month}, e.Bands...) {
			finite(t, "deaths", d.Expected, d.Ratio, d.Low, d.High, d.ObservedLow, d.ObservedHigh)
			if d.Band != "all" && d.Band != "this month" && d.Expected != nil {
				sum += *d.Expected
			}
		}
		if e.All.Expected != nil && math.Abs(*e.All.Expected-sum) > 1e-9 {
			t.Errorf("the bands expect %g together, all %g", sum, *e.All.Expected)
		}
	}
}
