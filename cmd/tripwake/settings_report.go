package main

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"

	"tripwake/queries/measures"
	"tripwake/reports"
)

// reportSettings are those of the committee's report.
type reportSettings struct {
	notice    string
	parts     []string // what the report has, in order
	key       []string // measures of its first page
	casePages int
}

// longestNotice keeps the notice on the first page, in characters.
const longestNotice = 600

func committeeSettings() []setting {
	return []setting{
		{"peer_review_notice", reports.DefaultNotice, "confidentiality and peer review: what every report says of itself, on its first page and at its end", takeNotice},
		{"sections", strings.Join(reports.Parts(), ", "), "parts of the committee's report, in order; month comes first and method last in any case", takeParts},
		{"first_page", strings.Join(reports.DefaultKeyMeasures(), ", "), "measures on the first page of the committee's report, in order", takeKeyMeasures},
		{"case_pages", strconv.Itoa(reports.DefaultCasePages), "most pages of single transports in a report, those with the gravest reason first", takeCasePages},
		{"browser", "", "program that prints reports as PDF: a name on the path or a file; empty: the first found of chromium, google-chrome and their like", func(s *settings, t string) error { s.browser = t; return nil }},
		{"paper", "A4", "sheet of a PDF: A4 or Letter", takePaper},
	}
}

func takeNotice(s *settings, text string) error {
	text = strings.TrimSpace(text)
	switch {
	case text == "":
		return fmt.Errorf("expected the words that local rules for peer review ask for, got none")
	case len([]rune(text)) > longestNotice:
		return fmt.Errorf("expected at most %d characters, got %d", longestNotice, len([]rune(text)))
	case strings.ContainsFunc(text, unicode.IsControl):
		return fmt.Errorf("expected one paragraph without line breaks or control characters")
	}
	s.report.notice = text
	return nil
}

func takeParts(s *settings, text string) error {
	s.report.parts = namesIn(text)
	return reports.CheckParts(s.report.parts)
}

// takeKeyMeasures refuses more measures than a first page has room for beside what stands out and the cases.
func takeKeyMeasures(s *settings, text string) error {
	const most = 20
	ids := namesIn(text)
	for i, id := range ids {
		if _, err := measures.Find(id); err != nil {
			return err
		}
		if slices.Contains(ids[:i], id) {
			return fmt.Errorf("%s stands twice; expected each measure once", id)
		}
	}
	if len(ids) == 0 || len(ids) > most {
		return fmt.Errorf("expected 1 to %d measures such as stabilization_time, got %d", most, len(ids))
	}
	s.report.key = ids
	return nil
}

func takeCasePages(s *settings, text string) (err error) {
	if s.report.casePages, err = strconv.Atoi(text); err != nil || s.report.casePages < 1 {
		return fmt.Errorf("expected a whole number from 1, got %q", text)
	}
	return nil
}

func takePaper(s *settings, text string) error {
	s.paper = text
	if text != "A4" && text != "Letter" {
		return fmt.Errorf("expected A4 or Letter, got %q", text)
	}
	return nil
}

// namesIn reads "a, b, c".
func namesIn(text string) []string {
	var names []string
	for part := range strings.SplitSeq(text, ",") {
		if part = strings.TrimSpace(part); part != "" {
			names = append(names, part)
		}
	}
	return names
}
