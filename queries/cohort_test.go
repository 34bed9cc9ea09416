package queries

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// Five transports; which of them each rule takes is plain from the cells.
func studyFixture(t *testing.T) *fixture {
	f := newFixture(t)
	f.trip("A", cells{"patient_key": q("P"), "vehicle": q("ground"), "gestation": "31.9999999999", "cooling": "true"})
	f.trip("B", cells{"patient_key": q("P"), "vehicle": q("rotor"), "gestation": "32", "cooling": "false"})
	f.trip("C", cells{"vehicle": q("ground"), "gestation": "40", "accepted_at": "timestamp '2026-05-02 10:00:00'", "departed_base_at": "timestamp '2026-05-02 10:20:00'",
		"at_patient_at": "null", "departed_referring_at": "null", "handed_over_at": "null", "available_at": "null"})
	f.trip("D", cells{"patient_key": q(""), "disposition": q("declined")})
	f.add("transports", cells{"transport_id": q("E")})
	f.add("settings", cells{"transport_id": q("A"), "recorded_at": at(60), "mode": q("cpap"), "interface": q("nasal")})
	f.add("settings", cells{"transport_id": q("A"), "recorded_at": at(90), "mode": q("simv"), "interface": q("tube")})
	f.add("settings", cells{"transport_id": q("B"), "recorded_at": at(60), "mode": q("cpap"), "interface": q("nasal")})
	return f
}

func TestRulesMeetWhatTheyAskFor(t *testing.T) {
	for rule, want := range map[string]string{
		`"column": "vehicle", "is": "ground"`:                   "AC",
		`"column": "vehicle", "is": ["ground", "rotor"]`:        "ABC",
		`"column": "vehicle", "is_not": "ground"`:               "B",
		`"column": "gestation", "at_least": 32`:                 "ABC", // rounded to nine decimals first
		`"column": "gestation", "at_most": 32`:                  "AB",
		`"column": "gestation", "between": [32, 39]`:            "AB",
		`"column": "gestation", "is": 40`:                       "C",
		`"column": "gestation", "filled": true`:                 "ABC",
		`"column": "gestation", "filled": false`:                "DE",
		`"column": "cooling", "is": true`:                       "A",
		`"column": "cooling", "is": false`:                      "B",
		`"column": "completed", "is": "true"`:                   "ABCE",
		`"measure": "mobilization_time", "member": true`:        "C",
		`"measure": "stabilization_time", "member": false`:      "ABCDE",
		`"column": "month", "is": "2026-05"`:                    "C",
		`"column": "first_support", "is": ["cpap", "invasive"]`: "AB",
	} {
		rules, err := ParseRules(`[{"name": "x", ` + rule + `}]`)
		if err != nil {
			t.Errorf("%s: %v", rule, err)
			continue
		}
		study := DefaultStudy()
		study.Include = rules
		d, err := studyFixture(t).reader().StudyData(t.Context(), study)
		if err != nil {
			t.Fatal(err)
		}
		met := ""
		for i := range d.Len() {
			if d.Meets(i, rules[0].Condition) {
				met += string("ABCDE"[i])
			}
		}
		if met != want {
			t.Errorf("%s: met by %q, want %q (%s)", rule, met, want, rules[0].Words())
		}
	}
}

// A patient moved twice has one number; transports without a key have one each. A goes from CPAP to a tube after 30 of
// its 120 minutes, B stays on CPAP to the end. A transport without a month is in no period that is bounded.
func TestStudyData(t *testing.T) {
	study := DefaultStudy()
	d, err := studyFixture(t).reader().StudyData(t.Context(), study)
	if err != nil {
		t.Fatal(err)
	}
	if d.Len() != 5 || d.Patient[0] != d.Patient[1] || len(slices.Compact(slices.Sorted(slices.Values(d.Patient)))) != 4 {
		t.Errorf("patients %v: expected the first two alike and no others", d.Patient)
	}
	if got := fmt.Sprint(d.Followed, d.InPeriod); got != "[30 120 -1 -1 -1] [true true true true true]" {
		t.Errorf("followed and in period: %s", got)
	}
	if c := d.Columns["escalations"]; !c.Known[0] || c.Number[0] != 1 || c.Number[1] != 0 || c.Known[2] {
		t.Errorf("escalations: %+v", c)
	}
	study.From, study.To = "2026-04", "2026-12"
	if d, err = studyFixture(t).reader().StudyData(t.Context(), study); err != nil || fmt.Sprint(d.InPeriod) != "[false false true false false]" {
		t.Errorf("in period: %v, %v", d.InPeriod, err)
	}
}

// Every error names the entry and what was expected, and suggests what may have been meant.
func TestStudyErrors(t *testing.T) {
	parts := func(read func(string) error, text string, want ...string) {
		t.Helper()
		err := read(text)
		if err == nil {
			t.Errorf("%s: expected an error", text)
			return
		}
		for _, w := range want {
			if !strings.Contains(err.Error(), w) || strings.Contains(err.Error(), "\n") {
				t.Errorf("%s: %q does not say %q in one line", text, err, w)
			}
		}
	}
	cohort := func(text string) error { _, _, err := ParseCohort(text); return err }
	exposure := func(text string) error { _, err := ParseExposure(text); return err }
	outcomes := func(text string) error {
		_, err := ParseColumns(text, FlagColumn, CountColumn, NumberColumn)
		return err
	}
	parts(cohort, `{"include": [{"name": "a", "column": "gestatoin", "at_least": 3}]}`, "include", "entry 1 (a)", `"gestatoin"`, "did you mean gestation?")
	parts(cohort, `{"exclude": [{"name": "a", "column": "age_band", "is": "neonate"}]}`, "exclude", `"neonate"`, "neonatal, paediatric")
	parts(cohort, `{"include": [{"name": "a", "column": "age_band", "at_least": 3}]}`, "age_band holds a code", "is, is_not or filled")
	parts(cohort, `{"include": [{"name": "a", "column": "gestation", "atleast": 3}]}`, `"atleast" is not known`, "did you mean at_least?")
	parts(cohort, `{"include": [{"name": "a", "column": "gestation", "at_least": "x"}]}`, "at_least: expected a number")
	parts(cohort, `{"include": [{"name": "a", "column": "gestation", "is": "x"}]}`, "expected a number", `"x"`)
	parts(cohort, `{"include": [{"name": "a", "column": "cooling", "is": "yes"}]}`, "expected true or false")
	parts(cohort, `{"include": [{"name": "a", "column": "gestation", "between": [4, 3]}]}`, "the lower first")
	parts(cohort, `{"include": [{"name": "a", "column": "gestation"}]}`, "expected one of is, is_not")
	parts(cohort, `{"include": [{"name": "a", "column": "gestation", "at_least": 1, "at_most": 2}]}`, "got 2 of them")
	parts(cohort, `{"include": [{"column": "gestation", "at_least": 1}]}`, "entry 1", "name: expected")
	parts(cohort, `{"include": [{"name": "a", "measure": "escalation", "member": true}]}`, `measure "escalation"`, "did you mean escalations?")
	parts(cohort, `{"include": [{"name": "a", "column": "patient_key", "is": "P"}]}`, "patient_key", "is not one that a study may use")
	parts(cohort, `{"include": [{"name": "a", "column": "sex", "is": "not recorded"}]}`, "ask for filled: false")
	parts(cohort, `{"include": [{"name": "a", "column": "sex", "filled": true}, {"name": "a", "column": "sex", "filled": true}]}`, "entry 2", "twice")
	parts(cohort, `{"includ": []}`, "did you mean include?")
	parts(cohort, `[]`, "expected include and exclude")
	parts(exposure, `{"column": "sex", "cut": 3}`, "cut: expected one number")
	parts(exposure, `{"column": "sex", "groups": [{"name": "a", "is": "male"}]}`, "groups: expected 2 to 5")
	parts(exposure, `{"column": "sex", "groups": [{"name": "a", "is": "male"}, {"name": "b", "is": "femal"}]}`, "entry 2 (b)", "did you mean female?")
	parts(exposure, `{"column": "gestation", "cut": 32, "reference": "under 32"}`, "reference", "did you mean under 32 wk?")
	parts(outcomes, "hypothermia", "is not one that a study may use")
	parts(outcomes, "diagnosis", "holds a code")
	parts(outcomes, "episodes, episodes", "twice")
	study := DefaultStudy()
	study.Sensitivity = []string{"Cooled"}
	study.Exclude = []Rule{{Name: "Cooling", Condition: Condition{Column: "cooling", Is: []string{"true"}}}}
	if err := study.Validate(); err == nil || !strings.Contains(err.Error(), "did you mean Cooling?") {
		t.Errorf("sensitivity: %v", err)
	}
}

// The defaults hold against the data set, and a cut makes two groups of which the boundary belongs to the upper.
func TestStudyDefaultsAndCuts(t *testing.T) {
	_, _, err := ParseCohort(DefaultCohort)
	_, err2 := ParseExposure(DefaultExposure)
	if err != nil || err2 != nil {
		t.Error(err, err2)
	}
	for _, list := range []string{DefaultOutcomes, DefaultAdjustFor, DefaultDescribe} {
		if _, err := ParseColumns(list); err != nil {
			t.Error(err)
		}
	}
	if s := DefaultStudy(); len(s.rules()) != 3 || len(s.Outcomes) != 5 || len(s.AdjustFor) != 2 || len(s.Describe) != 9 {
		t.Errorf("the default study is %+v", s)
	}
	e, err := ParseExposure(`{"column": "gestation", "cut": 32, "reference": "under 32 wk"}`)
	if err != nil || len(e.Groups) != 2 || e.Reference != "under 32 wk" || e.Groups[0].Name != "32 wk and more" {
		t.Errorf("%+v, %v", e, err)
	}
}
