package main

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
	"time"

	"tripwake/queries"
)

// number is a setting that is a plain number; the bounds are checked where it is used.
func number(key string, value float64, comment string, at func(*queries.Settings) *float64) setting {
	return setting{key, strconv.FormatFloat(value, 'g', -1, 64), comment, func(s *settings, text string) (err error) {
		*at(&s.queries), err = strconv.ParseFloat(text, 64)
		if err != nil {
			return fmt.Errorf("expected a number, got %q", text)
		}
		return nil
	}}
}

// span is a setting that is a length of time such as 90s, 2m or 12h.
func span(key string, value time.Duration, comment string, at func(*queries.Settings) *time.Duration) setting {
	return setting{key, durationText(value), comment, func(s *settings, text string) (err error) {
		*at(&s.queries), err = time.ParseDuration(text)
		if err != nil {
			return fmt.Errorf("expected a length of time such as 90s, 2m or 12h, got %q", text)
		}
		return nil
	}}
}

// durationText writes 2m for 2m0s and 12h for 12h0m0s.
func durationText(d time.Duration) string {
	text := d.String()
	if strings.HasSuffix(text, "m0s") {
		text = strings.TrimSuffix(text, "0s")
	}
	if strings.HasSuffix(text, "h0m") {
		text = strings.TrimSuffix(text, "0m")
	}
	return text
}

func required(text string) error {
	if text == "" {
		return fmt.Errorf("expected a value, got none")
	}
	return nil
}

func takeZone(s *settings, text string) (err error) {
	if s.zone, err = time.LoadLocation(text); err != nil || text == "" || text == "Local" {
		return fmt.Errorf("expected an IANA zone such as America/Chicago, got %q", text)
	}
	return nil
}

func takeMemory(s *settings, text string) error {
	digits := strings.TrimRight(strings.TrimSpace(text), "KMGTiBb ")
	if n, err := strconv.ParseFloat(digits, 64); err != nil || n <= 0 || digits == text {
		return fmt.Errorf("expected a size such as 1500MB or 4GB, got %q", text)
	}
	s.engine.Memory = text
	return nil
}

func takeThreads(s *settings, text string) (err error) {
	if s.engine.Threads, err = strconv.Atoi(text); err != nil || s.engine.Threads < 0 {
		return fmt.Errorf("expected a whole number from 0, got %q", text)
	}
	return nil
}

func takeQueryTimeout(s *settings, text string) (err error) {
	if s.queryTimeout, err = time.ParseDuration(text); err != nil || s.queryTimeout < 0 {
		return fmt.Errorf("expected a length of time such as 90s or 5m, or 0, got %q", text)
	}
	return nil
}

func takeFlood(s *settings, text string) (err error) {
	if s.queries.FloodOnsets, err = strconv.Atoi(text); err != nil {
		return fmt.Errorf("expected a whole number, got %q", text)
	}
	return nil
}

func month(text string) error {
	if text == "" {
		return nil
	}
	if _, err := time.Parse("2006-01", text); err != nil {
		return fmt.Errorf("expected a month such as 2026-03, got %q", text)
	}
	return nil
}

// takeFactors reads "D 0.16, E 0.28": sizes that are named replace or join the defaults.
func takeFactors(s *settings, text string) error {
	factors := maps.Clone(queries.Defaults().CylinderFactors)
	for part := range strings.SplitSeq(text, ",") {
		fields := strings.Fields(part)
		if len(fields) != 2 {
			return fmt.Errorf("expected sizes and litres per psi such as \"D 0.16, E 0.28\", got %q", part)
		}
		factor, err := strconv.ParseFloat(fields[1], 64)
		if err != nil {
			return fmt.Errorf("expected litres per psi for size %s, got %q", fields[0], fields[1])
		}
		factors[strings.ToUpper(fields[0])] = factor
	}
	s.queries.CylinderFactors = factors
	return nil
}

func factorsText(factors map[string]float64) string {
	texts := map[string]string{}
	for size, factor := range factors {
		texts[size] = strconv.FormatFloat(factor, 'g', -1, 64)
	}
	return mapText(texts)
}

func mapText(values map[string]string) string {
	var parts []string
	for _, key := range slices.Sorted(maps.Keys(values)) {
		parts = append(parts, strings.ToUpper(key)+" "+values[key])
	}
	return strings.Join(parts, ", ")
}
