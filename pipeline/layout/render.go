package layout

import (
	"encoding/json"
	"fmt"
	"strings"
)

// Render writes sources as a layout that Parse reads back: texts stand in double quotes, so that none is taken for a number,
// a truth value or nothing.
func Render(sources []Source) string {
	var b strings.Builder
	b.WriteString("sources:\n")
	for _, s := range sources {
		s.render(&b)
	}
	return b.String()
}

func (s Source) render(b *strings.Builder) {
	fmt.Fprintf(b, "  - files: %s\n    table: %s\n", Quoted(s.Files), s.Table)
	optional(b, "time_zone", s.TimeZone)
	if len(s.TimeFormats) > 0 {
		fmt.Fprintf(b, "    time_format: %s\n", QuotedList(s.TimeFormats))
	}
	s.Dialect.render(b)
	if len(s.Missing) > 0 {
		fmt.Fprintf(b, "    missing: %s\n", QuotedList(s.Missing))
	}
	if s.Where != nil {
		fmt.Fprintf(b, "    where: %s\n", s.Where.render())
	}
	if s.ClockOffset != 0 {
		fmt.Fprintf(b, "    clock_offset: %s\n", s.ClockOffset)
	}
	renderColumns(b, "columns", s.Columns)
	renderColumns(b, "quantities", s.Quantities)
	if len(s.Constants) > 0 {
		b.WriteString("    constants:\n")
		for _, c := range s.Constants {
			fmt.Fprintf(b, "      %s: %s\n", c.Name, Quoted(c.Text))
		}
	}
}

func optional(b *strings.Builder, key, text string) {
	if text != "" {
		fmt.Fprintf(b, "    %s: %s\n", key, Quoted(text))
	}
}

func (d Dialect) render(b *strings.Builder) {
	if d.Delimiter != 0 {
		fmt.Fprintf(b, "    delimiter: %s\n", Quoted(string(d.Delimiter)))
	}
	optional(b, "quotes", d.Quotes)
	if d.Skip > 0 {
		fmt.Fprintf(b, "    skip: %d\n", d.Skip)
	}
	if d.Footer > 0 {
		fmt.Fprintf(b, "    footer: %d\n", d.Footer)
	}
	optional(b, "encoding", d.Encoding)
	optional(b, "decimal", d.Decimal)
}

func (f Filter) render() string {
	if f.Is != nil {
		return fmt.Sprintf("{column: %s, is: %s}", Quoted(f.Column), QuotedList(f.Is))
	}
	return fmt.Sprintf("{column: %s, is_not: %s}", Quoted(f.Column), QuotedList(f.IsNot))
}

func renderColumns(b *strings.Builder, key string, columns []Column) {
	if len(columns) == 0 {
		return
	}
	fmt.Fprintf(b, "    %s:\n", key)
	for _, c := range columns {
		fmt.Fprintf(b, "      %s: %s\n", c.Name, c.Text())
	}
}

// Text is what a layout says of one column, in one line of YAML: a header, a list of headers, or a mapping.
func (c Column) Text() string {
	from := QuotedList(c.From)
	if len(c.From) == 1 {
		from = Quoted(c.From[0])
	}
	if c.Unit == "" && len(c.Codes) == 0 && len(c.Formats) == 0 && c.NextDay == 0 {
		return from
	}
	parts := []string{"from: " + from}
	if c.Unit != "" {
		parts = append(parts, "unit: "+Quoted(c.Unit))
	}
	if len(c.Formats) > 0 {
		parts = append(parts, "format: "+QuotedList(c.Formats))
	}
	if c.NextDay > 0 {
		parts = append(parts, "next_day: "+c.NextDay.String())
	}
	if len(c.Codes) > 0 {
		var codes []string
		for _, text := range c.Texts() {
			codes = append(codes, Quoted(text)+": "+Quoted(c.Codes[text]))
		}
		parts = append(parts, "codes: {"+strings.Join(codes, ", ")+"}")
	}
	return "{" + strings.Join(parts, ", ") + "}"
}

// Quoted is a text in double quotes as YAML reads it.
func Quoted(text string) string {
	var b strings.Builder
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(text); err != nil {
		return `""` // a string always encodes
	}
	return strings.TrimSpace(b.String())
}

// QuotedList is a list of texts in one line.
func QuotedList(texts []string) string {
	quoted := make([]string, len(texts))
	for i, t := range texts {
		quoted[i] = Quoted(t)
	}
	return "[" + strings.Join(quoted, ", ") + "]"
}
