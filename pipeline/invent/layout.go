package invent

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"
)

// LayoutName is the file beside shaped exports by which they are loaded.
const LayoutName = "layout.yaml"

// layoutText is the layout of the programs named, in the order of their stems, for a team of that zone. It is written from what
// the exports are written from, and shares nothing with the code that reads layouts.
func layoutText(used []*program, zone string) string {
	var b strings.Builder
	b.WriteString("# How the invented exports in this folder are read: tripwake load FOLDER --layout FOLDER/layout.yaml\n" +
		"# Files that are not named here bear canonical names and need no layout.\nsources:\n")
	slices.SortFunc(used, func(a, b *program) int { return strings.Compare(a.stem, b.stem) })
	for _, p := range slices.Compact(used) {
		for _, s := range p.shapes {
			p.source(&b, s, zone)
		}
	}
	return b.String()
}

func (p *program) source(b *strings.Builder, s shape, zone string) {
	if p.notes != "" {
		fmt.Fprintf(b, "  # %s\n", p.notes)
	}
	fmt.Fprintf(b, "  - files: %s\n    table: %s\n    time_zone: %s\n    time_format: %s\n", strconv.Quote(p.stem+" *.csv"), s.table, zone, strconv.Quote(p.times))
	if p.missing != "" {
		fmt.Fprintf(b, "    missing: %s\n", strconv.Quote(p.missing))
	}
	if s.kind != "" {
		fmt.Fprintf(b, "    where: {column: %s, is: %s}\n", kindHeader, strconv.Quote(s.kind))
	}
	b.WriteString("    columns:\n")
	for _, c := range s.columns {
		fmt.Fprintf(b, "      %s: %s\n", c.column, c.layout(p.dialect.units[c.column].label))
		if p.wide() && c.column == "recorded_at" {
			b.WriteString("    quantities:\n")
		}
	}
}

// layout is what the layout says of one column.
func (c shownColumn) layout(unit string) string {
	from := strconv.Quote(c.headers[0])
	if len(c.headers) == 2 {
		from = fmt.Sprintf("[%s, %s]", strconv.Quote(c.headers[0]), strconv.Quote(c.headers[1]))
	}
	switch {
	case unit != "":
		return fmt.Sprintf("{from: %s, unit: %s}", from, strconv.Quote(unit))
	case len(c.codes) == 0:
		return from
	}
	var codes []string
	for _, code := range slices.Sorted(maps.Keys(c.codes)) {
		codes = append(codes, strconv.Quote(c.codes[code])+": "+code)
	}
	return fmt.Sprintf("{from: %s, codes: {%s}}", from, strings.Join(codes, ", "))
}
