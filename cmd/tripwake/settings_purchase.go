package main

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// defaultTarget is the probability that a fleet is asked to reach (common practice).
const defaultTarget = 0.95

// buying is what the purchase report is asked to weigh.
type buying struct {
	candidates []measures.Candidate
	currency   string
	target     float64
}

// purchaseSettings are those of the purchase report. candidates stands last: cylinders are held against the sizes that the
// settings before it name.
func purchaseSettings(d queries.Settings) []setting {
	return []setting{
		span("turnaround", d.Turnaround, "from the end of a transport until its devices can go out again", func(q *queries.Settings) *time.Duration { return &q.Turnaround }),
		{"currency", "", "of prices in the purchase report and the device register, such as USD (ISO 4217); empty: amounts stand alone", takeCurrency},
		{"availability_target", strconv.FormatFloat(defaultTarget, 'g', -1, 64), "probability that enough of a fleet are up, 0.01 to 0.9999", takeTarget},
		{"candidates", "[]", candidatesComment, takeCandidates},
	}
}

const candidatesComment = `what the purchase report weighs, a list such as [{name: Second ventilator, kind: ventilator, team: North, price: 40000, life: 8, service: 900}]; ` +
	`kind: ventilator, monitor, incubator, pump, nitric_oxide_delivery, team (units: how many there are), battery (endurance in min, endurance_dimmed, batteries, ` +
	`derating, devices) or cylinders (gas, sizes such as ["E", "E"], pressure in psi); add: how many are bought`

var currencyCode = regexp.MustCompile(`^([A-Z]{3})?$`)

func takeCurrency(s *settings, text string) error {
	if !currencyCode.MatchString(text) {
		return fmt.Errorf("expected three capital letters such as USD (ISO 4217), or none, got %q", text)
	}
	s.buying.currency = text
	return nil
}

func takeTarget(s *settings, text string) (err error) {
	if s.buying.target, err = strconv.ParseFloat(text, 64); err != nil || !(s.buying.target >= 0.01 && s.buying.target <= 0.9999) {
		return fmt.Errorf("expected a probability from 0.01 to 0.9999, got %q", text)
	}
	return nil
}

// takeCandidates reads the list as JSON, which is what a list in the file, in the environment and in a flag all come to.
func takeCandidates(s *settings, text string) (err error) {
	s.buying.candidates = nil
	if strings.TrimSpace(text) == "" {
		return nil
	}
	s.buying.candidates, err = measures.ReadCandidates([]byte(text), s.queries)
	return err
}
