package measures

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strings"
)

// Explanation is all that is known of one measure. The JSON keys are those of `measure --explain --format json`.
type Explanation struct {
	Measure     string   `json:"measure"`
	Title       string   `json:"title"`
	Section     string   `json:"section"`
	Kind        string   `json:"kind"`
	Says        string   `json:"says"` // in one sentence
	Population  string   `json:"population"`
	Numerator   string   `json:"numerator"`
	Denominator string   `json:"denominator"`
	Formula     string   `json:"formula"`
	Unit        string   `json:"unit"`
	N           string   `json:"n"`          // what n counts
	Exclusions  []string `json:"exclusions"` // members of the population that cannot be judged: left out, and counted by reason
	Interval    string   `json:"interval"`
	Chart       string   `json:"chart"`
	Better      string   `json:"better"` // "lower", "higher", or empty
	Source      string   `json:"source"`
}

// Explain gives the explanations of the measures named; none named: all. It refuses an unknown one.
func Explain(ids []string) ([]Explanation, error) {
	list := make([]Explanation, 0, len(ids))
	for _, id := range orAll(ids) {
		d, err := Find(id)
		if err != nil {
			return nil, err
		}
		list = append(list, Explanation{d.ID, d.Title, d.Section, string(d.Kind), d.Plain, d.Population, d.Numerator, d.Denominator,
			d.Formula(), d.Unit, d.Counts, d.Exclusions(), d.Interval, d.Chart, d.Better, d.Source})
	}
	return list, nil
}

// Exclusions are why a member of the population cannot be judged. A member left out is counted by its reason.
func (d Definition) Exclusions() []string {
	list := []string{}
	for _, e := range exclusions {
		if slices.Contains(e.measures, d.ID) {
			list = append(list, e.reason)
		}
	}
	return list
}

var (
	usesOfGas = []string{"oxygen_ratio", "air_ratio", "oxygen_over_plan"}
	underWay  = []string{"hypocarbia_on_arrival", "hypercarbia_on_arrival", "tube_confirmed", "unplanned_extubation", "unplanned_extubation_hours",
		"conversions", "escalations", "oxygen_reserve_short", "oxygen_per_hour", "battery_time", "battery_overdrawn"}
)

// exclusions are the reasons in words, each with the measures that it can meet.
var exclusions = []struct {
	reason   string
	measures []string
}{
	{"a time stamp of the interval is missing", []string{"mobilization_time", "response_time", "stabilization_time", "patient_leg_time", "trip_time", "care_time"}},
	{"the interval ends before it starts", []string{"mobilization_time", "response_time", "stabilization_time", "patient_leg_time", "trip_time", "care_time"}},
	{"the time under way cannot be told: an end is missing, or they are out of order", underWay},
	{"temperature on arrival is not recorded", []string{"hypothermia_on_arrival", "hyperthermia_on_arrival"}},
	{"pco2 on arrival is not recorded", []string{"hypocarbia_on_arrival", "hypercarbia_on_arrival"}},
	{"ph on arrival is not recorded", []string{"hypercarbia_on_arrival"}},
	{"glucose on arrival is not recorded", []string{"glucose_low_on_arrival"}},
	{"tube_confirmed is empty", []string{"tube_confirmed"}},
	{"handover_structured is empty", []string{"structured_handover"}},
	{"the outcome is empty", []string{"died_in_transit", "died_within_7_days"}},
	{"no cylinder of the gas is recorded", usesOfGas},
	{"a cylinder of the gas lacks a pressure (liquid: a mass), or its size is unknown", append([]string{"oxygen_reserve_short", "oxygen_per_hour"}, usesOfGas...)},
	{"used at or below 0", usesOfGas},
	{"the end of a wall supply is unknown", []string{"oxygen_reserve_short", "oxygen_per_hour"}},
	{"the last demand for oxygen is unknown", []string{"oxygen_reserve_short"}},
	{"no time on carried gas", []string{"oxygen_per_hour"}},
	{"the device has no battery rating", []string{"battery_overdrawn"}},
	{"departed_referring_at is missing", []string{"leak_check_passed"}},
	{"the failed device is not registered, or was not in service", []string{"device_failures"}},
	{"the row names a transport not yet known", []string{"record_linked"}},
}

// WriteExplanations prints explanations in the format of that name: table (a block of lines each), csv or json.
func WriteExplanations(w io.Writer, format string, list []Explanation) error {
	switch format {
	case "table":
		return explanationText(w, list)
	case "csv":
		return explanationCSV(w, list)
	case "json":
		return objects(w, list)
	default:
		return fmt.Errorf("format %q: expected table, csv or json", format)
	}
}

// lines are the parts of an explanation with their names, in order; empty parts say so.
func (e Explanation) lines() [][2]string {
	left := strings.Join(e.Exclusions, "; ")
	return [][2]string{{"says", e.Says}, {"population", e.Population}, {"numerator", e.Numerator}, {"denominator", e.Denominator}, {"formula", e.Formula},
		{"unit", e.Unit}, {"n", e.N}, {"exclusions", left}, {"interval", e.Interval}, {"chart", e.Chart}, {"better", e.Better}, {"source", e.Source}}
}

func explanationText(w io.Writer, list []Explanation) error {
	for i, e := range list {
		text := fmt.Sprintf("%s: %s (%s, %s)\n", e.Measure, e.Title, e.Section, e.Kind)
		if i > 0 {
			text = "\n" + text
		}
		for _, line := range e.lines() {
			if line[1] == "" {
				line[1] = "none"
			}
			text += fmt.Sprintf("  %-12s %s\n", line[0], line[1])
		}
		if _, err := io.WriteString(w, text); err != nil {
			return fmt.Errorf("explanations could not be written: %w", err)
		}
	}
	return nil
}

func explanationCSV(w io.Writer, list []Explanation) error {
	header := []string{"measure", "title", "section", "kind"}
	for _, line := range (Explanation{}).lines() {
		header = append(header, line[0])
	}
	records := [][]string{header}
	for _, e := range list {
		record := []string{e.Measure, e.Title, e.Section, e.Kind}
		for _, line := range e.lines() {
			record = append(record, line[1])
		}
		records = append(records, record)
	}
	if err := csv.NewWriter(w).WriteAll(records); err != nil {
		return fmt.Errorf("explanations could not be written as csv: %w", err)
	}
	return nil
}
