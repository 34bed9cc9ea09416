package measures

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"tripwake/queries"
)

// madeData is what a study reads, made by a test.
type madeData struct{ *queries.StudyData }

// source gives the data to a comparison.
type source struct{ data madeData }

func (s source) StudyData(context.Context, queries.Study) (queries.StudyData, error) {
	return *s.data.StudyData, nil
}

// newData makes n transports of as many patients, in no column yet.
func newData(n int) madeData {
	d := madeData{&queries.StudyData{Columns: map[string]queries.Cells{}, Members: map[string][]bool{}}}
	for i := range n {
		d.InPeriod, d.Patient, d.Followed = append(d.InPeriod, true), append(d.Patient, i), append(d.Followed, -1)
	}
	for _, name := range []string{"completed", "escalations", "cooling"} {
		d.set(name, func(int) any { return nil })
	}
	d.set("completed", func(int) any { return 1.0 })
	return d
}

// set fills a column: a number (or 0 or 1), a text, or nil where nothing is recorded.
func (d madeData) set(name string, of func(i int) any) {
	column, err := queries.StudyColumn(name)
	if err != nil {
		panic(err)
	}
	c := queries.Cells{Column: column}
	for i := range d.InPeriod {
		number, isNumber := of(i).(float64)
		text, isText := of(i).(string)
		c.Known, c.Number, c.Text = append(c.Known, isNumber || isText), append(c.Number, number), append(c.Text, text)
	}
	d.Columns[name] = c
}

func flag(yes bool) any {
	if yes {
		return 1.0
	}
	return 0.0
}

func madeStudy(outcomes, adjust, describe []string, small int) queries.Study {
	s := queries.DefaultStudy()
	s.Outcomes, s.AdjustFor, s.Describe, s.SmallCell = outcomes, adjust, describe, small
	return s
}

func mustCompare(t *testing.T, d madeData, s queries.Study) Comparison {
	t.Helper()
	c, err := Compare(t.Context(), source{d}, s, CohortRecords{Read: len(d.InPeriod)})
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// table22 makes x1 of n1 by rotor and x2 of n2 by ground, twice over, in the two strata of a flag. copies of each are of one patient.
func table22(x1, n1, x2, n2, copies int) madeData {
	half := n1 + n2
	d := newData(2 * half * copies)
	place := func(i int) (rotor, event bool) {
		k := i / copies % half
		if k < n1 {
			return true, k < x1
		}
		return false, k-n1 < x2
	}
	d.set("vehicle", func(i int) any {
		if rotor, _ := place(i); rotor {
			return "rotor"
		}
		return "ground"
	})
	d.set("died_within_7_days", func(i int) any { _, event := place(i); return flag(event) })
	d.set("not_planned", func(i int) any { return flag(i/copies >= half) })
	for i := range d.Patient {
		d.Patient[i] = i / copies
	}
	return d
}

// In strata that are alike the adjusted risk ratio is the plain one, and the robust error of modified Poisson regression is that
// of the logarithm of the risk ratio, times the factor G/(G-1) of the variance (Zou G. Am J Epidemiol 2004;159:702-706). With every
// transport there twice under one patient, the error stays that of half as many.
func TestAdjustedRiskRatio(t *testing.T) {
	study := madeStudy([]string{"died_within_7_days"}, []string{"not_planned"}, nil, 0)
	for _, copies := range []int{1, 2} {
		c := mustCompare(t, table22(24, 119, 38, 381, copies), study)
		o := c.Outcomes[0]
		poisson, logistic := o.Models[0], o.Models[1]
		if poisson.None != "" || logistic.None != "" || len(poisson.Terms) != 2 || !poisson.Terms[0].Group {
			t.Fatalf("models: %+v", o.Models)
		}
		// By hand: twice 24 of 119 against twice 38 of 381.
		ratio, g := 24.0/119/(38.0/381), 1000.0
		se := math.Sqrt((1/48.0 - 1/238.0 + 1/76.0 - 1/762.0) * g / (g - 1))
		got := poisson.Terms[0].Ratio
		if math.Abs(got.Value-ratio) > 1e-9 || math.Abs(math.Log(got.High/got.Low)/(2*1.959963984540054)-se) > 1e-9 {
			t.Errorf("%d copies: %+v, want %v with error %v", copies, got, ratio, se)
		}
		if odds := logistic.Terms[0].Ratio.Value; math.Abs(odds-24.0/95/(38.0/343)) > 1e-9 {
			t.Errorf("odds ratio %v", odds)
		}
		if poisson.Clusters.N != 1000 || poisson.Complete.N != 1000*copies || c.Patients.MovedAgain.N != 1000*(copies-1) {
			t.Errorf("%d copies: %+v, %+v", copies, poisson, c.Patients)
		}
	}
}

// A covariate that separates the outcomes has no finite ratio, one that never varies is left out; both are said.
func TestModelsSayWhatTheyCannot(t *testing.T) {
	d := table22(24, 119, 38, 381, 1)
	d.set("gestation", func(i int) any { return 30.0 })
	c := mustCompare(t, d, madeStudy([]string{"died_within_7_days"}, []string{"gestation"}, nil, 0))
	if m := c.Outcomes[0].Models[0]; len(m.LeftOut) != 1 || !strings.Contains(m.LeftOut[0], "the same in all") || len(m.Terms) != 1 {
		t.Errorf("a constant: %+v", m)
	}
	d.set("gestation", func(i int) any { return 30 + d.Columns["died_within_7_days"].Number[i] })
	c = mustCompare(t, d, madeStudy([]string{"died_within_7_days"}, []string{"gestation"}, nil, 0))
	if m := c.Outcomes[0].Models[1]; !strings.Contains(m.None, "separates") && !strings.Contains(m.None, "no finite solution") {
		t.Errorf("separated: %+v", m)
	}
	d.set("gestation", func(i int) any {
		if i%2 == 0 {
			return nil
		}
		return float64(30 + i%7)
	})
	c = mustCompare(t, d, madeStudy([]string{"died_within_7_days"}, []string{"gestation"}, nil, 0))
	if m := c.Outcomes[0].Models[0]; m.Complete.N != 500 || m.Missing.N != 500 {
		t.Errorf("half missing: %+v", m)
	}
}

// Worked by hand. Of 100 rows 4 repeat and 3 are refused: small, so both are withheld, with what is left between them; one more rule
// sets 20 aside and is shown.
func TestFlowWithholdsBothSides(t *testing.T) {
	d := newData(93)
	d.set("vehicle", func(i int) any { return []string{"ground", "rotor"}[i%2] })
	d.set("cooling", func(i int) any { return flag(i < 20) })
	study := madeStudy(nil, nil, nil, 10)
	study.Exclude = []queries.Rule{{Name: "Cooled", Condition: queries.Condition{Column: "cooling", Is: []string{"true"}}}}
	c, err := Compare(t.Context(), source{d}, study, CohortRecords{Read: 100, Repeated: 4, Refused: 3})
	if err != nil {
		t.Fatal(err)
	}
	got := ""
	for _, f := range c.Flow {
		got += fmt.Sprintf("%s %s; ", f.NotMet.Text(), f.Left.Text())
	}
	if want := "0 100; ∗ ∗; ∗ 93; 0 93; 0 93; 20 73; 0 73; "; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	// One small step alone has nothing to hide behind but a larger one.
	c, err = Compare(t.Context(), source{d}, study, CohortRecords{Read: 97, Repeated: 4})
	if err != nil {
		t.Fatal(err)
	}
	if !c.Flow[1].NotMet.Withheld || !c.Flow[5].NotMet.Withheld || c.Flow[6].Left.Text() != "73" || c.Flow[3].Left.Text() != "∗" {
		t.Errorf("%+v", c.Flow)
	}
}

// randomData draws a cohort in which much is small.
func randomData(r *rand.Rand) madeData {
	n := 60 + r.IntN(300)
	d := newData(n)
	pick := func(of ...any) func(int) any { return func(int) any { return of[r.IntN(len(of))] } }
	rare := func(share float64) func(int) any {
		return func(int) any {
			if r.Float64() < 0.05 {
				return nil
			}
			return flag(r.Float64() < share)
		}
	}
	d.set("vehicle", pick("ground", "ground", "rotor", "fixed_wing"))
	d.set("cooling", rare(0.1))
	d.set("sex", pick("female", "male", "male", "female", "undetermined", nil))
	d.set("diagnosis", pick("respiratory", "cardiac", "surgical", "other", "respiratory"))
	d.set("died_within_7_days", rare(r.Float64()))
	d.set("structured_handover", rare(r.Float64()))
	d.set("escalations", rare(0.4))
	d.set("gestation", func(int) any {
		if r.Float64() < 0.04 {
			return nil
		}
		return 24 + 16*r.Float64()
	})
	d.set("stabilization_time", d.cellsOf("gestation"))
	for i := range d.Followed {
		d.Followed[i] = math.Round(100 * r.Float64())
		d.Patient[i] = r.IntN(n)
	}
	return d
}

func (d madeData) cellsOf(name string) func(int) any {
	c := d.Columns[name]
	return func(i int) any {
		if !c.Known[i] {
			return nil
		}
		return c.Number[i]
	}
}

// No count from 1 to the limit is shown anywhere in a comparison, however the cohort falls out; nor can one be read from the
// numbers at risk.
func TestNoSmallCountIsShown(t *testing.T) {
	r, small, compared, told := rand.New(rand.NewPCG(3, 4)), 5, 0, 0
	for range 60 {
		d := randomData(r)
		study := madeStudy([]string{"died_within_7_days", "structured_handover", "stabilization_time"}, []string{"gestation"},
			[]string{"sex", "diagnosis", "gestation", "cooling"}, small)
		study.Exclude = []queries.Rule{{Name: "Cooled", Condition: queries.Condition{Column: "cooling", Is: []string{"true"}}}}
		study.Sensitivity = []string{"Cooled"}
		c := mustCompare(t, d, study)
		holdCounts(t, reflect.ValueOf(c), small)
		if c.None == "" {
			compared++
		}
		for _, g := range c.Survival.Groups {
			told += len(g.Steps) - 1
			holdSteps(t, g, small)
		}
	}
	if compared < 30 || told == 0 {
		t.Errorf("%d of 60 cohorts compared, %d steps of curves: the draw tests little", compared, told)
	}
}

// holdCounts looks at every Count within a value.
func holdCounts(t *testing.T, v reflect.Value, small int) {
	t.Helper()
	if c, ok := v.Interface().(Count); ok {
		if !c.Withheld && c.N >= 1 && c.N <= small {
			t.Errorf("a count of %d is shown", c.N)
		}
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				holdCounts(t, v.Field(i), small)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			holdCounts(t, v.Index(i), small)
		}
	}
}

// holdSteps: between two steps more than small had the event, and nobody or more than small left otherwise.
func holdSteps(t *testing.T, g SurvivalGroup, small int) {
	t.Helper()
	for k := 1; k < len(g.Steps); k++ {
		before, after := g.Steps[k-1], g.Steps[k]
		if gone := before.AtRisk - after.AtRisk; gone <= small || after.AtRisk >= 1 && after.AtRisk <= small {
			t.Errorf("%s: %d left between %v and %v min, %d at risk", g.Group, gone, before.Minute, after.Minute, after.AtRisk)
		}
	}
}

// A count of few values is told value by value, so that no mean tells how many have each; one of many values by its quartiles.
func TestCountsAreDescribedByValueOrSpread(t *testing.T) {
	d := table22(24, 119, 38, 381, 1)
	d.set("episodes", func(i int) any { return float64(i % 3) })
	d.set("referring_trips", func(i int) any { return float64(i % 40) })
	c := mustCompare(t, d, madeStudy(nil, nil, []string{"episodes", "referring_trips"}, 10))
	few, many := c.Characteristics[0], c.Characteristics[1]
	if len(few.Levels) != 3 || few.Levels[2].Name != "2" || few.Spreads != nil || few.Levels[0].All.N != 334 {
		t.Errorf("few values: %+v", few)
	}
	if len(many.Levels) != 0 || len(many.Spreads) != 2 || many.Spreads[0].Median < 15 {
		t.Errorf("many values: %+v", many)
	}
}

// With every count shown, the answer without an exclusion is that of a cohort defined without it. Where those who come in are few,
// nothing is told of them.
func TestSensitivityRun(t *testing.T) {
	d := table22(40, 119, 60, 381, 1)
	d.set("cooling", func(i int) any { return flag(i%4 == 0) })
	study := madeStudy([]string{"died_within_7_days"}, nil, nil, 0)
	wide := mustCompare(t, d, study)
	study.Exclude = []queries.Rule{{Name: "Cooled", Condition: queries.Condition{Column: "cooling", Is: []string{"true"}}}}
	study.Sensitivity = []string{"Cooled"}
	c := mustCompare(t, d, study)
	run := c.Sensitivity[0]
	if run.None != "" || run.Added.N != 250 || run.Outcomes[0].Without.Value != wide.Outcomes[0].Contrasts[0].Ratio.Value ||
		run.Outcomes[0].Main.Value != c.Outcomes[0].Contrasts[0].Ratio.Value || run.Outcomes[0].Main.Value == run.Outcomes[0].Without.Value {
		t.Errorf("%+v", run)
	}
	study.SmallCell = 10
	d.set("cooling", func(i int) any { return flag(i%25 == 0) })
	if run := mustCompare(t, d, study).Sensitivity[0]; run.None == "" || !run.Added.Withheld || run.Outcomes != nil {
		t.Errorf("few come in: %+v", run)
	}
	d.set("cooling", func(i int) any { return nil })
	if run := mustCompare(t, d, study).Sensitivity[0]; run.Added.N != 0 || !strings.Contains(run.None, "no transport") {
		t.Errorf("nobody comes in: %+v", run)
	}
}

// Freireich's trial (the project's checks): log-rank 16.7929; the curve of the arm of 21 with its steps.
func TestSurvivalOfGroups(t *testing.T) {
	treated := []float64{6, 6, 6, -6, 7, -9, 10, -10, -11, 13, 16, -17, -19, -20, 22, 23, -25, -32, -32, -34, -35}
	control := []float64{1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23} // Freireich EJ and others. Blood 1963;21:699-716
	times := append(append([]float64{}, treated...), control...)
	d := newData(len(times))
	d.set("vehicle", func(i int) any { return []string{"rotor", "ground"}[min(1, i/len(treated))] })
	d.set("escalations", func(i int) any { return flag(times[i] > 0) })
	for i, v := range times {
		d.Followed[i] = math.Abs(v)
	}
	c := mustCompare(t, d, madeStudy(nil, nil, nil, 0))
	s := c.Survival
	if s.LogRank == nil || math.Abs(s.LogRank.Statistic-16.7929) > 5e-5 || len(s.Groups) != 2 {
		t.Fatalf("%+v", s)
	}
	rotor := s.Groups[1]
	if rotor.Group != "rotor" || len(rotor.Steps) != 8 || math.Abs(rotor.Steps[1].Free-0.8571428571) > 1e-9 || rotor.Steps[1].AtRisk != 17 || *rotor.Median != 23 {
		t.Errorf("%+v", rotor)
	}
	if tight := mustCompare(t, d, madeStudy(nil, nil, nil, 3)).Survival; len(tight.Groups) != 0 && len(tight.Groups[1].Steps) >= 8 {
		t.Errorf("with small steps withheld: %+v", tight)
	}
}

// Rows say what the comparison says, once each, in the three formats.
func TestCompareRows(t *testing.T) {
	c := mustCompare(t, table22(24, 119, 38, 381, 1), madeStudy([]string{"died_within_7_days"}, []string{"not_planned"}, []string{"not_planned"}, 10))
	rows := CompareRows(c)
	var ratio *CompareRow
	for i, r := range rows {
		if r.About == "effect" && r.Name == "risk_ratio" {
			ratio = &rows[i]
		}
	}
	if ratio == nil || math.Abs(*ratio.Value-2.0221) > 1e-4 || ratio.Against != "ground" || ratio.Group != "rotor" {
		t.Errorf("risk ratio: %+v", ratio)
	}
	for format, want := range map[string]string{"table": "effect died_within_7_days risk_ratio", "csv": "effect,died_within_7_days,rotor,ground,risk_ratio", "json": `"name":"risk_ratio"`} {
		var out strings.Builder
		if err := WriteCompare(&out, format, rows); err != nil || !strings.Contains(out.String(), want) {
			t.Errorf("%s: %v, no %q", format, err, want)
		}
	}
	if err := WriteCompare(&strings.Builder{}, "xml", rows); err == nil {
		t.Error("xml: expected an error")
	}
}
