package main

import (
	"fmt"
	"strconv"
	"strings"

	"tripwake/queries"
)

// extractSettings say how much of what others may know of a patient an extract tells.
func extractSettings() []setting {
	d := queries.DefaultDisclosure()
	return []setting{
		{"extract_k", strconv.Itoa(d.K), "fewest transports in an extract that share all that others may know; where fewer do, it is told less exactly", func(s *settings, text string) (err error) {
			if s.disclosure.K, err = strconv.Atoi(text); err != nil {
				return fmt.Errorf("expected a whole number, got %q", text)
			}
			return nil
		}},
		{"extract_year", strconv.FormatBool(d.Year), "whether an extract tells the calendar year", func(s *settings, text string) (err error) {
			if s.disclosure.Year, err = strconv.ParseBool(text); err != nil {
				return fmt.Errorf("expected true or false, got %q", text)
			}
			return nil
		}},
		{"extract_age_limits", joined(d.AgeLimits), "d: limits between the bands of age in an extract", func(s *settings, text string) (err error) {
			s.disclosure.AgeLimits, err = limitsOf(text)
			return err
		}},
		{"extract_weight_limits", joined(d.WeightLimits), "g: limits between the bands of weight in an extract", func(s *settings, text string) (err error) {
			s.disclosure.WeightLimits, err = limitsOf(text)
			return err
		}},
	}
}

func joined(limits []float64) string {
	parts := make([]string, len(limits))
	for i, limit := range limits {
		parts[i] = strconv.FormatFloat(limit, 'g', -1, 64)
	}
	return strings.Join(parts, ", ")
}

func limitsOf(text string) ([]float64, error) {
	var limits []float64
	for part := range strings.SplitSeq(text, ",") {
		limit, err := strconv.ParseFloat(strings.TrimSpace(part), 64)
		if err != nil {
			return nil, fmt.Errorf("expected rising numbers with commas between, got %q", text)
		}
		limits = append(limits, limit)
	}
	return limits, nil
}
