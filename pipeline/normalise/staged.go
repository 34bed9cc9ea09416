package normalise

import (
	"fmt"
	"slices"
	"strings"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

// StagedSQL makes the temporary view `staged` over a relation of a source's text: r, the number of the row from 0, the cells of
// the header c0, c1, …, which the relation has, and for what a layout makes of several cells, of codes or of nothing at all a column more. Rows that
// the layout filters out are not in it.
func StagedSQL(s intake.Source, rows string) string {
	columns := []string{"*"}
	where := ""
	if l := s.Layout; l != nil {
		columns = append(columns, madeColumns(s, slices.Concat(s.Columns, s.Quantities))...)
		if l.Where != nil {
			where = " where " + filterSQL(*l.Where, s.Filtered)
		}
	}
	return fmt.Sprintf("create or replace temp view staged as select %s from %s%s", strings.Join(columns, ", "), rows, where)
}

// madeColumns are the columns that a layout makes of several cells, of codes or of nothing at all.
func madeColumns(s intake.Source, bounds []intake.Bound) []string {
	var columns []string
	for _, b := range bounds {
		if made(b, s.Layout) {
			columns = append(columns, fmt.Sprintf("%s as %s", madeSQL(b, s.Layout.Missing, sharedHeaders(s)), madeName(b.Name)))
		}
	}
	for _, c := range s.Layout.Constants {
		columns = append(columns, fmt.Sprintf("%s as %s", store.Literal(c.Text), madeName(c.Name)))
	}
	return columns
}

// made says that a column's cells are not simply those of one column of the file.
func made(b intake.Bound, l *layout.Source) bool {
	return len(b.Staged) > 1 || len(b.Codes) > 0 || len(l.Missing) > 0
}

func madeName(column string) string { return "m_" + column }

// stagedName is the column of `staged` that holds the cells of a column of the table.
func stagedName(b intake.Bound, l *layout.Source) string {
	if made(b, l) {
		return madeName(b.Name)
	}
	return b.Staged[0]
}

// madeSQL joins the cells, empties what stands for nothing, and puts codes in the place of the source's texts. What has no code
// stays as it is: it may be a code already, or is refused with its own text. A date that several times share is none of theirs
// alone: where the cells that are a time's own are empty, so is the time.
func madeSQL(b intake.Bound, missing, shared []string) string {
	parts := make([]string, len(b.Staged))
	for i, staged := range b.Staged {
		parts[i] = withoutMissing(staged, missing)
	}
	joined := parts[0]
	if len(parts) > 1 {
		for i := range parts {
			parts[i] = text(parts[i])
		}
		joined = fmt.Sprintf("concat_ws(' ', %s)", strings.Join(parts, ", "))
		if own := ownCells(b, parts, shared); len(own) > 0 && len(own) < len(parts) {
			joined = fmt.Sprintf("case when coalesce(%s) is not null then %s end", strings.Join(own, ", "), joined)
		}
	}
	if len(b.Codes) == 0 {
		return joined
	}
	return codedSQL(joined, b.Column)
}

// ownCells are those of the joined cells whose header no other time of the source is joined with.
func ownCells(b intake.Bound, parts, shared []string) (own []string) {
	for i, header := range b.From {
		if !slices.Contains(shared, header) {
			own = append(own, parts[i])
		}
	}
	return own
}

// sharedHeaders are those with which several times of a source are joined.
func sharedHeaders(s intake.Source) (shared []string) {
	seen := map[string]bool{}
	for _, b := range s.Columns {
		if c, _ := s.Table.Column(b.Name); c.Kind != records.Time || len(b.From) < 2 {
			continue
		}
		for _, header := range b.From {
			if seen[header] {
				shared = append(shared, header)
			}
			seen[header] = true
		}
	}
	return shared
}

func withoutMissing(staged string, missing []string) string {
	if len(missing) == 0 {
		return staged
	}
	return fmt.Sprintf("case when %s in (%s) then '' else %s end", foldedSQL(staged), foldedLiterals(missing), staged)
}

// codedSQL maps texts to codes: those that are written just so first, then those that differ in case alone.
func codedSQL(joined string, c layout.Column) string {
	folded := c.Folded()
	var exact, alike strings.Builder
	for _, t := range c.Texts() {
		if _, ok := folded[strings.ToLower(t)]; !ok {
			fmt.Fprintf(&exact, " when %s then %s", store.Literal(t), store.Literal(c.Codes[t]))
		}
	}
	seen := map[string]bool{}
	for _, t := range c.Texts() {
		lower := strings.ToLower(t)
		if code, ok := folded[lower]; ok && !seen[lower] {
			seen[lower] = true
			fmt.Fprintf(&alike, " when %s then %s", store.Literal(lower), store.Literal(code))
		}
	}
	sql := joined
	if alike.Len() > 0 {
		sql = fmt.Sprintf("case %s%s else %s end", foldedSQL(joined), alike.String(), joined)
	}
	if exact.Len() > 0 {
		sql = fmt.Sprintf("case %s%s else %s end", trimmedSQL(joined), exact.String(), sql)
	}
	return sql
}

func filterSQL(f layout.Filter, staged string) string {
	if f.Is != nil {
		return fmt.Sprintf("%s in (%s)", foldedSQL(staged), foldedLiterals(f.Is))
	}
	return fmt.Sprintf("%s not in (%s)", foldedSQL(staged), foldedLiterals(f.IsNot))
}

// trimmedSQL is a cell without the blanks around it, empty where there is nothing.
func trimmedSQL(staged string) string { return fmt.Sprintf("coalesce(%s, '')", text(staged)) }

func foldedSQL(staged string) string { return "lower(" + trimmedSQL(staged) + ")" }

func foldedLiterals(texts []string) string {
	folded := make([]string, len(texts))
	for i, t := range texts {
		folded[i] = store.Literal(strings.ToLower(strings.TrimSpace(t)))
	}
	return strings.Join(folded, ", ")
}

// cellsOf lists the columns of the table, and the quantities that have a column each, with where a source has them.
func cellsOf(s intake.Source) (cells, wide []cell) {
	for _, c := range s.Table.Columns {
		cells = append(cells, cellOf(s, c))
	}
	for _, b := range s.Quantities {
		wide = append(wide, wideCell(b, s.Layout))
	}
	return cells, wide
}

func cellOf(s intake.Source, c records.Column) cell {
	if s.Layout == nil {
		staged, unit, _ := s.Column(c.Name)
		return cell{Column: c, staged: staged, unit: unit}
	}
	for _, b := range s.Columns {
		if b.Name == c.Name {
			return cell{Column: c, staged: stagedName(b, s.Layout), unit: b.Unit, formats: formatsOf(b, s.Layout, c.Kind), words: b.Texts(), nextDay: b.NextDay}
		}
	}
	for _, constant := range s.Layout.Constants {
		if constant.Name == c.Name {
			return cell{Column: c, staged: madeName(c.Name), constant: true}
		}
	}
	return cell{Column: c}
}

// formatsOf gives the formats of a column's times: its own, else the source's; nil for the forms that need no layout. Dates are
// read by those of them that have no time of day, or, where all have one, by them and as 2026-03-31.
func formatsOf(b intake.Bound, l *layout.Source, kind records.Kind) []string {
	formats := b.Formats
	if len(formats) == 0 {
		formats = l.TimeFormats
	}
	switch {
	case kind == records.Time:
		return slices.DeleteFunc(slices.Clone(formats), func(f string) bool { return !layout.HasHour(f) })
	case kind != records.Date || len(formats) == 0:
		return nil
	}
	dates := slices.DeleteFunc(slices.Clone(formats), layout.HasHour)
	if len(dates) == 0 {
		return append(slices.Clone(formats), layout.ISO)
	}
	return dates
}
