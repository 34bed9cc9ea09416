package queries

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
)

// Study is what a researcher asks: who is in, what is compared, over which outcomes.
type Study struct {
	// Include and Exclude are applied in this order: a transport must meet every rule of the first and none of the second. A
	// cell that is not recorded meets no condition, so an inclusion sets the transport aside and an exclusion keeps it.
	Include, Exclude []Rule
	Exposure         StudyExposure
	// Outcomes are columns: flags, counts (at least one) or numbers. AdjustFor are columns for the models, Describe those of the
	// table that describes the groups.
	Outcomes, AdjustFor, Describe []string
	// Sensitivity names rules of Exclude; the outcomes are asked anew with each left away.
	Sensitivity []string
	From, To    string // months, "2026-03"; empty leaves that end open
	// SmallCell is the greatest count that is withheld; 0 shows all, for internal use only.
	SmallCell int
}

// StudyExposure makes the groups that are compared: each transport belongs to the first group whose condition it meets.
type StudyExposure struct {
	Column    string
	Groups    []Rule
	Reference string // the group that others are compared with
}

// The parts of a study that hold where nothing else is set, as the settings are written: compact, keys by the alphabet, so that
// settings that were printed and kept are the same text.
const (
	DefaultCohort    = `{"include":[{"column":"completed","is":true,"name":"Completed transports"}]}`
	DefaultExposure  = `{"column":"vehicle","groups":[{"is":"ground","name":"ground"},{"is":"rotor","name":"rotor"}],"reference":"ground"}`
	DefaultOutcomes  = "hypothermia_on_arrival, adverse_events, escalations, stabilization_time, oxygen_ratio"
	DefaultAdjustFor = "referring_trips, gestation"
	DefaultDescribe  = "age_band, gestation, weight, sex, diagnosis, urgency, referring_trips, first_support, care_time"
	DefaultSmallCell = 10
)

// DefaultStudy compares completed transports by road and by helicopter.
func DefaultStudy() Study {
	s := Study{SmallCell: DefaultSmallCell}
	s.Include, s.Exclude, _ = ParseCohort(DefaultCohort) // a test holds the texts to be right
	s.Exposure, _ = ParseExposure(DefaultExposure)
	s.Outcomes, _ = ParseColumns(DefaultOutcomes)
	s.AdjustFor, _ = ParseColumns(DefaultAdjustFor)
	s.Describe, _ = ParseColumns(DefaultDescribe)
	return s
}

// ParseCohort reads the rules of a cohort as JSON: {"include": [rule, …], "exclude": [rule, …]}.
func ParseCohort(text string) (include, exclude []Rule, err error) {
	if strings.TrimSpace(text) == "" {
		return nil, nil, nil
	}
	var parts object
	if err := json.Unmarshal([]byte(text), &parts); err != nil {
		return nil, nil, fmt.Errorf(`expected include and exclude with lists of rules such as {"include": [{"name": "Newborn", "column": "age_band", "is": "neonatal"}]}, got %.80q`, text)
	}
	for key, raw := range parts {
		rules, err := ParseRules(string(raw))
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %w", key, err)
		}
		switch key {
		case "include":
			include = rules
		case "exclude":
			exclude = rules
		default:
			return nil, nil, fmt.Errorf("%q is not known; expected include and exclude%s", key, meant(key, []string{"include", "exclude"}))
		}
	}
	for _, rule := range exclude {
		if slices.ContainsFunc(include, func(r Rule) bool { return r.Name == rule.Name }) {
			return nil, nil, fmt.Errorf("exclude: %s: expected a name of its own, an inclusion has it", rule.Name)
		}
	}
	return include, exclude, nil
}

// exposureKeys are those of an exposure; groupKeys those of its groups.
var (
	exposureKeys = []string{"column", "groups", "cut", "reference"}
	groupKeys    = append([]string{"name"}, operators[:len(operators)-1]...)
)

// mostGroups bounds how many groups are compared.
const mostGroups = 5

// ParseExposure reads what is compared as JSON: {"column": "vehicle", "groups": [{"name": "air", "is": ["rotor", "fixed_wing"]}, …],
// "reference": "ground"}, or with "cut": 32 two groups below and from that number on. Without a reference the first group is it.
func ParseExposure(text string) (StudyExposure, error) {
	var e StudyExposure
	var parts object
	if err := json.Unmarshal([]byte(text), &parts); err != nil {
		return e, fmt.Errorf(`expected such as {"column": "gestation", "cut": 32} or with groups and reference, got %.80q`, text)
	}
	for key := range parts {
		if !slices.Contains(exposureKeys, key) {
			return e, fmt.Errorf("%q is not known; expected %s%s", key, strings.Join(exposureKeys, ", "), meant(key, exposureKeys))
		}
	}
	if err := take(parts, "column", &e.Column); err != nil {
		return e, err
	}
	column, err := StudyColumn(e.Column)
	if err != nil {
		return e, err
	}
	var cut *float64
	if raw, ok := parts["cut"]; ok {
		if json.Unmarshal(raw, &cut) != nil || cut == nil || !column.numeric() || parts["groups"] != nil {
			return e, fmt.Errorf("cut: expected one number, for a column of numbers and without groups, got %.60s for %s", raw, e.Column)
		}
		e.Groups = cutGroups(column, *cut)
	} else if err := e.takeGroups(parts); err != nil {
		return e, err
	}
	e.Reference = e.Groups[0].Name
	if raw, ok := parts["reference"]; ok && json.Unmarshal(raw, &e.Reference) != nil {
		return e, fmt.Errorf("reference: expected the name of a group, got %.60s", raw)
	}
	return e, e.validate()
}

func cutGroups(c ResearchColumn, cut float64) []Rule {
	unit := c.Unit
	if unit == "1" || strings.HasPrefix(unit, "{") {
		unit = ""
	}
	name := strings.TrimSpace(fmt.Sprintf("%g %s", cut, unit))
	return []Rule{{name + " and more", Condition{Column: c.Name, AtLeast: &cut}}, {"under " + name, Condition{Column: c.Name, AtMost: &cut}}}
}

func (e *StudyExposure) takeGroups(parts object) error {
	entries, err := objectsOf(string(parts["groups"]))
	if err != nil || len(entries) < 2 || len(entries) > mostGroups {
		return fmt.Errorf(`groups: expected 2 to %d such as [{"name": "ground", "is": "ground"}, {"name": "air", "is": ["rotor", "fixed_wing"]}], got %.80q`, mostGroups, parts["groups"])
	}
	for i, entry := range entries {
		group, err := ruleOf(entry, e.Column, groupKeys)
		if err != nil {
			return fmt.Errorf("groups: %s: %w", entryName(i, group.Name), err)
		}
		e.Groups = append(e.Groups, group)
	}
	return nil
}

func (e StudyExposure) validate() error {
	var names []string
	for _, g := range e.Groups {
		if slices.Contains(names, g.Name) {
			return fmt.Errorf("groups: %s: expected a name of its own, the name stands twice", g.Name)
		}
		names = append(names, g.Name)
	}
	if !slices.Contains(names, e.Reference) {
		return fmt.Errorf("reference: %q is no group; expected one of %s%s", e.Reference, strings.Join(names, ", "), meant(e.Reference, names))
	}
	return nil
}

// ParseColumns reads a list of columns of the research data set, as JSON or with commas between. kinds are those that fit; empty
// takes all.
func ParseColumns(text string, kinds ...ColumnKind) ([]string, error) {
	var names []string
	if strings.HasPrefix(strings.TrimSpace(text), "[") {
		if err := json.Unmarshal([]byte(text), &names); err != nil {
			return nil, fmt.Errorf("expected a list of columns such as [gestation, referring_trips], got %.80q", text)
		}
	} else {
		for name := range strings.SplitSeq(text, ",") {
			if name = strings.TrimSpace(name); name != "" {
				names = append(names, name)
			}
		}
	}
	for i, name := range names {
		c, err := StudyColumn(name)
		switch {
		case err != nil:
			return nil, err
		case c.Privacy == Identifier:
			return nil, fmt.Errorf("column %s is a %s: expected one that a report may tell of", name, c.Privacy)
		case len(kinds) > 0 && !slices.Contains(kinds, c.Kind):
			return nil, fmt.Errorf("column %s holds a %s: expected a %s", name, c.Kind, kindWords(kinds))
		case slices.Contains(names[:i], name):
			return nil, fmt.Errorf("column %s: stands twice in the list", name)
		}
	}
	return names, nil
}

func kindWords(kinds []ColumnKind) string {
	var words []string
	for _, k := range kinds {
		words = append(words, string(k))
	}
	return strings.Join(words, " or ")
}

// Validate refuses a study whose parts do not fit each other; the error names the setting.
func (s Study) Validate() error {
	for _, name := range s.Sensitivity {
		var known []string
		for _, rule := range s.Exclude {
			known = append(known, rule.Name)
		}
		if !slices.Contains(known, name) {
			return fmt.Errorf("exclusions_for_sensitivity: %q is no exclusion of the cohort; expected one of %s%s", name, strings.Join(known, ", "), meant(name, known))
		}
	}
	if err := validatePeriod(s.From, s.To); err != nil {
		return fmt.Errorf("cohort_from, cohort_to: %w", err)
	}
	if s.SmallCell < 0 || s.SmallCell > 1000 {
		return fmt.Errorf("small_cell: expected a whole number from 1 to 1000, got %d", s.SmallCell)
	}
	return nil
}
