package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"tripwake/queries/measures"
)

// limitSettings say how the limits of charts and the expected deaths are made.
func limitSettings() []setting {
	return []setting{
		{"baseline_from", "", "first month (YYYY-MM) of the baseline of control charts; empty: the first there is", func(s *settings, t string) error { s.limits.Baseline.From = t; return month(t) }},
		{"baseline_to", "", "last month of the baseline, from which on limits are frozen; empty: the month under report, so that limits move with each", func(s *settings, t string) error { s.limits.Baseline.To = t; return month(t) }},
		{"rebaseline", "[]", rebaselineComment, takeRebaseline},
		{"risk_baseline_from", "", "first month of the baseline of expected deaths; empty: the first there is", func(s *settings, t string) error { s.risk.From = t; return month(t) }},
		{"risk_baseline_to", "", "last month of the baseline of expected deaths; empty: no expectation, observed deaths stand alone", func(s *settings, t string) error { s.risk.To = t; return month(t) }},
	}
}

const rebaselineComment = `limits made anew from a month on, a list such as [{month: "2026-01", measure: mobilization_time, reason: second vehicle}]; ` +
	`measure may be all; until: the last month that makes the new limits`

// takeRebaseline reads the list as JSON, which is what a list in the file, in the environment and in a flag all come to.
func takeRebaseline(s *settings, text string) error {
	s.limits.Restarts = nil
	if strings.TrimSpace(text) == "" {
		return nil
	}
	d := json.NewDecoder(bytes.NewReader([]byte(text)))
	d.DisallowUnknownFields()
	if err := d.Decode(&s.limits.Restarts); err != nil || d.More() {
		return fmt.Errorf(`expected a list such as [{"month": "2026-01", "measure": "all", "reason": "new monitor"}], got %q%s`, text, because(err))
	}
	return measures.Limits{Restarts: s.limits.Restarts}.Validate()
}

// because adds what the reader of JSON did not like.
func because(err error) string {
	if err == nil {
		return ""
	}
	return " (" + strings.TrimPrefix(err.Error(), "json: ") + ")"
}

// listText writes a list of a settings file as JSON.
func listText(list any) string {
	text, err := json.Marshal(list)
	if err != nil || list == nil {
		return fmt.Sprint(list)
	}
	return string(text)
}

// checkLimits refuses spans that no single key can be judged for; the error names the key to mend.
func (s *settings) checkLimits() error {
	if err := s.limits.Baseline.Validate(); err != nil {
		return fmt.Errorf("baseline_to: %w", err)
	}
	if err := s.risk.Validate(); err != nil {
		return fmt.Errorf("risk_baseline_to: %w", err)
	}
	if s.risk.From != "" && s.risk.To == "" {
		return fmt.Errorf("risk_baseline_to: expected the last month of the baseline that risk_baseline_from %s begins, got none", s.risk.From)
	}
	return nil
}
