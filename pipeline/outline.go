package pipeline

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"time"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
	"tripwake/pipeline/records"
)

// outline says for each source of the layout, by the first of its files, what will be read as what: a line for the source and
// one for each column.
func outline(all []*staged, team *time.Location) []string {
	files := map[*layout.Source]int{}
	for _, s := range all {
		files[s.Layout]++
	}
	var lines []string
	said := map[*layout.Source]bool{nil: true}
	for _, s := range all {
		if !said[s.Layout] {
			said[s.Layout] = true
			lines = append(lines, outlineOf(s.Source, files[s.Layout], team)...)
		}
	}
	return lines
}

// unreadByLayout remarks on headers that no source of the layout reads, once for all files in which they are the same.
func unreadByLayout(all []*staged) []string {
	read := map[string]map[string]bool{} // by file: headers that a source reads
	for _, s := range all {
		if read[s.Name] == nil {
			read[s.Name] = map[string]bool{}
		}
		for _, h := range s.Header {
			read[s.Name][h.Text] = read[s.Name][h.Text] || h.Column != ""
		}
	}
	var remarks []string
	said := map[string]bool{}
	for _, s := range all {
		unread := slices.DeleteFunc(s.Unread(), func(text string) bool { return read[s.Name][text] })
		key := fmt.Sprintf("%p %q", s.Layout, unread)
		if s.Layout == nil || len(unread) == 0 || said[key] || said[s.Name] {
			continue
		}
		said[key], said[s.Name] = true, true
		text, _ := json.Marshal(unread)
		remarks = append(remarks, fmt.Sprintf("%s: columns %s are named by no source of %s; their cells were not read", s.Name, text, s.Layout.File))
	}
	return remarks
}

func outlineOf(s intake.Source, files int, team *time.Location) []string {
	l := s.Layout
	lines := []string{fmt.Sprintf("%s line %d: %s -> %s%s", l.File, l.Line, fileCount(s.Name, files), s.Table.Name, timesOf(s, team))}
	for _, b := range s.Columns {
		column, _ := s.Table.Column(b.Name)
		lines = append(lines, boundLine(s.Table.Name+"."+b.Name, b, unitOr(b.Unit, column.Unit)))
	}
	for _, b := range s.Quantities {
		lines = append(lines, boundLine(s.Table.Name+": "+b.Name, b, unitOr(b.Unit, quantityUnit(b.Name))))
	}
	for _, c := range l.Constants {
		lines = append(lines, fmt.Sprintf("  %s.%s <- always %s", s.Table.Name, c.Name, c.Text))
	}
	return lines
}

func fileCount(name string, files int) string {
	if files == 1 {
		return name
	}
	return fmt.Sprintf("%s and %d more", name, files-1)
}

// timesOf says how times without an offset are taken, where the source reads any.
func timesOf(s intake.Source, team *time.Location) string {
	timed := func(b intake.Bound) bool {
		c, _ := s.Table.Column(b.Name)
		return c.Kind == records.Time || c.Kind == records.Date
	}
	if !slices.ContainsFunc(s.Columns, timed) {
		return ""
	}
	zone := team
	if s.Layout.Zone != nil {
		zone = s.Layout.Zone
	}
	text := ", times local to " + zone.String()
	if len(s.Layout.TimeFormats) > 0 {
		text += ", written " + strings.Join(s.Layout.TimeFormats, " or ")
	}
	if s.Layout.ClockOffset != 0 {
		text += fmt.Sprintf(", put right by %s", s.Layout.ClockOffset)
	}
	return text
}

func boundLine(name string, b intake.Bound, unit string) string {
	quoted := make([]string, len(b.From))
	for i, header := range b.From {
		quoted[i] = fmt.Sprintf("%q", header)
	}
	line := fmt.Sprintf("  %s <- %s", name, strings.Join(quoted, " and "))
	if unit != "" {
		line += ", in " + unit
	}
	if len(b.Formats) > 0 {
		line += ", written " + strings.Join(b.Formats, " or ")
	}
	if b.NextDay > 0 {
		line += fmt.Sprintf(", on the next day where it would lie before the time before it (up to %s after)", b.NextDay)
	}
	switch n := len(b.Codes); {
	case n == 1:
		line += ", 1 code"
	case n > 1:
		line += fmt.Sprintf(", %d codes", n)
	}
	return line
}

// unitOr is the unit of cells, given or that of the column; the unit that each row names is not told here.
func unitOr(given, own string) string {
	switch {
	case given != "":
		return given
	case own == records.ByQuantity || own == records.ByCondition || own == "1":
		return ""
	}
	return own
}

func quantityUnit(name string) string {
	for _, q := range records.Quantities() {
		if q.Name == name {
			return q.Unit
		}
	}
	return ""
}
