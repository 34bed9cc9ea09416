package queries

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// Condition is what a rule asks of one column of the research data set, or of a measure. Exactly one of its operators is set.
//
// A cell that is not recorded meets no condition but Filled = false; "not recorded" is no code that can be asked for.
type Condition struct {
	Column  string
	Measure string // instead of Column: asks whether the measure judges the transport

	Is, IsNot       []string // any of these; none of these
	AtLeast, AtMost *float64 // in the unit of the column, ends included
	Between         []float64
	Filled          *bool
	Member          *bool // with Measure alone
}

// Rule is a named condition.
type Rule struct {
	Name string
	Condition
}

// operators are the keys of a condition beside the column.
var operators = []string{"is", "is_not", "at_least", "at_most", "between", "filled", "member"}

// ParseRules reads a list of rules as JSON, such as
//
//	[{"name": "Newborn", "column": "age_band", "is": "neonatal"}, {"name": "Gestation known", "column": "gestation", "filled": true}]
//
// The error names the entry, what was expected, and what may have been meant.
func ParseRules(text string) ([]Rule, error) {
	entries, err := objectsOf(text)
	if err != nil {
		return nil, err
	}
	var rules []Rule
	names := map[string]bool{}
	for i, entry := range entries {
		rule, err := ruleOf(entry, "", append([]string{"name", "column", "measure"}, operators...))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", entryName(i, rule.Name), err)
		}
		if names[rule.Name] {
			return nil, fmt.Errorf("%s: expected a name of its own, the name stands twice", entryName(i, rule.Name))
		}
		names[rule.Name] = true
		rules = append(rules, rule)
	}
	return rules, nil
}

func entryName(i int, name string) string {
	if name == "" {
		return fmt.Sprintf("entry %d", i+1)
	}
	return fmt.Sprintf("entry %d (%s)", i+1, name)
}

type object = map[string]json.RawMessage

func objectsOf(text string) ([]object, error) {
	if strings.TrimSpace(text) == "" {
		return nil, nil
	}
	var entries []object
	if err := json.Unmarshal([]byte(text), &entries); err != nil {
		return nil, fmt.Errorf(`expected a list such as [{"name": "Newborn", "column": "age_band", "is": "neonatal"}], got %.80q`, text)
	}
	return entries, nil
}

// ruleOf reads one entry; column stands for its own where that is given. The condition is checked against the data set.
func ruleOf(entry object, column string, keys []string) (Rule, error) {
	var r Rule
	r.Column = column
	if err := take(entry, "name", &r.Name); err != nil {
		return r, err
	}
	if strings.TrimSpace(r.Name) == "" {
		return r, fmt.Errorf("name: expected a name that the report can print, got none")
	}
	for _, key := range slices.Sorted(maps.Keys(entry)) {
		if !slices.Contains(keys, key) {
			return r, fmt.Errorf("%q is not known; expected %s%s", key, strings.Join(keys, ", "), meant(key, keys))
		}
	}
	if err := r.take(entry); err != nil {
		return r, err
	}
	return r, r.Condition.validate()
}

func (c *Condition) take(entry object) error {
	given := 0
	for _, op := range operators {
		if _, ok := entry[op]; ok {
			given++
		}
	}
	if given != 1 {
		return fmt.Errorf("expected one of %s, got %d of them", strings.Join(operators, ", "), given)
	}
	for _, part := range []struct {
		key string
		to  any
	}{{"column", &c.Column}, {"measure", &c.Measure}, {"at_least", &c.AtLeast}, {"at_most", &c.AtMost},
		{"between", &c.Between}, {"filled", &c.Filled}, {"member", &c.Member}} {
		if err := take(entry, part.key, part.to); err != nil {
			return err
		}
	}
	var err error
	if c.Is, err = takeList(entry, "is"); err != nil {
		return err
	}
	c.IsNot, err = takeList(entry, "is_not")
	return err
}

var wanted = map[string]string{"name": "a text", "column": "the name of a column", "measure": "the name of a measure", "at_least": "a number",
	"at_most": "a number", "between": "two numbers such as [32, 36.9]", "filled": "true or false", "member": "true or false"}

func take(entry object, key string, to any) error {
	raw, ok := entry[key]
	if !ok {
		return nil
	}
	if err := json.Unmarshal(raw, to); err != nil || string(raw) == "null" {
		return fmt.Errorf("%s: expected %s, got %.60s", key, wanted[key], raw)
	}
	return nil
}

// takeList reads one value or a list of them as texts.
func takeList(entry object, key string) ([]string, error) {
	raw, ok := entry[key]
	if !ok {
		return nil, nil
	}
	list := []json.RawMessage{raw}
	if bytes.HasPrefix(bytes.TrimSpace(raw), []byte("[")) {
		if err := json.Unmarshal(raw, &list); err != nil {
			return nil, fmt.Errorf("%s: expected a value or a list of values, got %.60s", key, raw)
		}
	}
	var texts []string
	for _, one := range list {
		var v any
		_ = json.Unmarshal(one, &v) // it is part of valid JSON
		switch v := v.(type) {
		case string:
			texts = append(texts, v)
		case bool:
			texts = append(texts, strconv.FormatBool(v))
		case float64:
			texts = append(texts, strconv.FormatFloat(v, 'g', -1, 64))
		default:
			return nil, fmt.Errorf("%s: expected texts, numbers, true or false, got %.60s", key, one)
		}
	}
	if len(texts) == 0 {
		return nil, fmt.Errorf("%s: expected a value or a list of values, got none", key)
	}
	return texts, nil
}

// validate holds a condition against the research data set.
func (c Condition) validate() error {
	if (c.Column == "") == (c.Measure == "") {
		return fmt.Errorf("expected a column or a measure, and not both")
	}
	if c.Measure != "" {
		return c.validateMeasure()
	}
	column, err := StudyColumn(c.Column)
	switch {
	case err != nil:
		return err
	case c.Member != nil:
		return fmt.Errorf("member: expected a measure beside it, not the column %s", c.Column)
	case c.Between != nil && (len(c.Between) != 2 || c.Between[0] > c.Between[1]):
		return fmt.Errorf("between: expected two numbers, the lower first, got %v", c.Between)
	case (c.AtLeast != nil || c.AtMost != nil || c.Between != nil) && !column.numeric():
		return fmt.Errorf("column %s holds a %s: expected is, is_not or filled, not a limit", c.Column, column.Kind)
	}
	for _, v := range slices.Concat(c.Is, c.IsNot) {
		if err := column.takes(v); err != nil {
			return err
		}
	}
	return nil
}

func (c Condition) validateMeasure() error {
	if c.Member == nil {
		return fmt.Errorf("measure %s: expected member: true or member: false beside it", c.Measure)
	}
	if _, ok := questionOf(c.Measure); !ok {
		var known []string
		for _, q := range questions() {
			known = slices.AppendSeq(known, maps.Keys(q.measures))
		}
		return fmt.Errorf("measure %q is not known; `tripwake measure --help` lists all%s", c.Measure, meant(c.Measure, known))
	}
	return nil
}

// StudyColumn finds a column of the research data set that a study may use. Keys of patients and transports are none.
func StudyColumn(name string) (ResearchColumn, error) {
	var known []string
	for _, c := range ResearchColumns() {
		if c.Name == "patient_key" || c.Name == "transport_id" {
			continue
		}
		if c.Name == name {
			return c, nil
		}
		known = append(known, c.Name)
	}
	return ResearchColumn{}, fmt.Errorf("column %q is not one that a study may use%s", name, meant(name, known))
}

func (c ResearchColumn) numeric() bool { return c.Kind == NumberColumn || c.Kind == CountColumn }

// takes says whether a cell of the column could have that value.
func (c ResearchColumn) takes(value string) error {
	switch {
	case c.Kind == FlagColumn && value != "true" && value != "false":
		return fmt.Errorf("column %s: expected true or false, got %q", c.Name, value)
	case c.numeric():
		if _, err := strconv.ParseFloat(value, 64); err != nil {
			return fmt.Errorf("column %s: expected a number, got %q", c.Name, value)
		}
	case value == NotRecorded:
		return fmt.Errorf("column %s: %q is no value; ask for filled: false", c.Name, value)
	case c.Kind == CodeColumn && !slices.Contains(c.Codes, value):
		return fmt.Errorf("column %s: %q is not one of %s%s", c.Name, value, strings.Join(c.Codes, ", "), meant(value, c.Codes))
	}
	return nil
}

// meant suggests the known word that is nearest to one that is not, if any is near.
func meant(word string, known []string) string {
	best, least := "", 1+len(word)/3
	for _, k := range known {
		if d := edits(word, k); d <= least && (best == "" || d < least) {
			best, least = k, d
		}
	}
	if best == "" {
		return ""
	}
	return "; did you mean " + best + "?"
}

// edits counts the letters to put in, take out or change between two words (Levenshtein).
func edits(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		before := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := before
			if a[i] != b[j] {
				cost++
			}
			before = row[j+1]
			row[j+1] = min(cost, row[j+1]+1, row[j]+1)
		}
	}
	return row[len(b)]
}
