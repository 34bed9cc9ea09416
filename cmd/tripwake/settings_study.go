package main

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"tripwake/queries"
)

// studySettings say what the research report asks. Lists and maps may stand in the file as such, and as JSON anywhere.
func studySettings() []setting {
	const numbers, all = queries.NumberColumn, queries.CodeColumn
	flag, count := queries.FlagColumn, queries.CountColumn
	return []setting{
		{"cohort", queries.DefaultCohort, "who is in the research report: rules under include and exclude, each with name, column (of the research data set) or measure, " +
			"and one of is, is_not, at_least, at_most, between, filled, member", takeCohort},
		{"exposure", queries.DefaultExposure, "what is compared: a column with groups (name and a condition each) or a cut, and the reference", takeExposure},
		{"outcomes", queries.DefaultOutcomes, "columns whose occurrence or size is compared", func(s *settings, t string) error {
			return takeColumns(&s.study.Outcomes, t, flag, count, numbers)
		}},
		{"adjust_for", queries.DefaultAdjustFor, "columns that the models take into account", func(s *settings, t string) error {
			return takeColumns(&s.study.AdjustFor, t, flag, count, numbers, all)
		}},
		{"describe", queries.DefaultDescribe, "columns that describe the groups", func(s *settings, t string) error {
			return takeColumns(&s.study.Describe, t, flag, count, numbers, all)
		}},
		{"exclusions_for_sensitivity", "", "names of exclusions, each left away in turn to see what hangs on it; empty: every one", takeSensitivity},
		{"cohort_from", "", "first month of the cohort, YYYY-MM; empty: the first there is", func(s *settings, t string) error { s.study.From = t; return month(t) }},
		{"cohort_to", "", "last month of the cohort; empty: the last there is", func(s *settings, t string) error { s.study.To = t; return month(t) }},
		{"small_cell", strconv.Itoa(queries.DefaultSmallCell), "counts from 1 to this are withheld from the research report, with what would tell them", takeSmallCell},
	}
}

// structured are the settings whose value in a file may be a list or a map.
var structured = []string{"rebaseline", "candidates", "cohort", "exposure", "outcomes", "adjust_for", "describe", "exclusions_for_sensitivity"}

// structText writes the value of a structured setting as JSON, a text as it is.
func structText(value any) string {
	if text, ok := value.(string); ok {
		return text
	}
	return listText(value)
}

func takeCohort(s *settings, text string) (err error) {
	s.study.Include, s.study.Exclude, err = queries.ParseCohort(text)
	return err
}

func takeExposure(s *settings, text string) (err error) {
	s.study.Exposure, err = queries.ParseExposure(text)
	return err
}

func takeColumns(into *[]string, text string, kinds ...queries.ColumnKind) (err error) {
	*into, err = queries.ParseColumns(text, kinds...)
	return err
}

func takeSensitivity(s *settings, text string) error {
	s.study.Sensitivity = nil
	if strings.TrimSpace(text) == "" || text == "null" {
		return nil
	}
	if err := json.Unmarshal([]byte(text), &s.study.Sensitivity); err != nil {
		s.study.Sensitivity = []string{text} // one name alone
	}
	return nil
}

func takeSmallCell(s *settings, text string) (err error) {
	if s.study.SmallCell, err = strconv.Atoi(text); err != nil || s.study.SmallCell < 1 {
		return fmt.Errorf("expected a whole number from 1 to 1000, got %q; --show-small-cells shows all for internal use", text)
	}
	return nil
}

// checkStudy fills what follows from other settings and refuses parts that do not fit each other; the error names the key.
func (s *settings) checkStudy() error {
	if len(s.study.Sensitivity) == 0 {
		for _, rule := range s.study.Exclude {
			s.study.Sensitivity = append(s.study.Sensitivity, rule.Name)
		}
	}
	return s.study.Validate()
}
