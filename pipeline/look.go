package pipeline

import (
	"fmt"

	"tripwake/pipeline/layout"
	"tripwake/pipeline/normalise"
)

// look asks the staged text what its cells alone do not tell: the years of its times, and how its numbers are written.
func (l *loading) look(s *staged) error {
	var commas, points int64
	s.look = normalise.Look{}
	if err := l.engine.Ask(normalise.LookSQL(s.Source), &s.look.FirstYear, &s.look.LastYear, &commas, &points, &s.look.Odd, &s.look.Filled); err != nil {
		return err
	}
	if s.look.AllPlain() && (s.Layout == nil || s.Layout.Dialect.Decimal == "") {
		return nil // no comma, no mark of thousands, nothing after a number
	}
	var commaGroups, pointGroups, tails int64
	if err := l.engine.Ask(normalise.MarksSQL(s.Source), &commaGroups, &pointGroups, &tails); err != nil {
		return err
	}
	s.look.Tails = tails > 0
	s.look.Hinted = commas+commaGroups+pointGroups+tails > 0
	if s.Layout != nil && s.Layout.Dialect.Decimal != "" {
		s.look.DecimalComma, s.look.Grouped, s.look.Hinted = s.Layout.Dialect.Decimal == layout.Comma, true, s.look.Tails
		return nil
	}
	s.look.DecimalComma = commas > 0 && points == 0
	return l.groups(s, commaGroups, pointGroups)
}

// groups says which sign parts thousands: one that does so where it can do nothing else, if no number speaks against it.
func (l *loading) groups(s *staged, commas, points int64) error {
	if (commas > 0) == (points > 0) {
		return nil
	}
	sign := ","
	if points > 0 {
		sign = "."
	}
	var against int64
	if err := l.engine.Ask(normalise.AgainstSQL(s.Source, sign), &against); err != nil || against > 0 {
		return err
	}
	s.look.Grouped, s.look.DecimalComma = true, points > 0
	return nil
}

// dialectRemarks says what of the file was taken for no record, and how quotes and thousands were read.
func (s *staged) dialectRemarks() []string {
	var lines []string
	if s.Before > 0 {
		lines = append(lines, fmt.Sprintf("%s: %s before the header and not read; record 1 is line %d", s.Name, linesNo(s.Before), s.Before+1))
	}
	if s.After > 0 {
		lines = append(lines, fmt.Sprintf("%s: %s after the last record and not read", s.Name, linesNo(s.After)))
	}
	if s.Encoding == "windows-1252" && (s.Layout == nil || s.Layout.Dialect.Encoding == "") {
		lines = append(lines, s.Name+": is not UTF-8 and was read as Windows-1252")
	}
	if s.Escaped {
		lines = append(lines, fmt.Sprintf("%s: quotes were read as escaped by backslashes", s.Name))
	}
	if s.look.Grouped && (s.Layout == nil || s.Layout.Dialect.Decimal == "") {
		lines = append(lines, fmt.Sprintf("%s: the %s was read as the mark of thousands", s.Name, map[bool]string{true: "point", false: "comma"}[s.look.DecimalComma]))
	}
	return lines
}

func linesNo(n int) string {
	if n == 1 {
		return "1 line was"
	}
	return fmt.Sprintf("%d lines were", n)
}
