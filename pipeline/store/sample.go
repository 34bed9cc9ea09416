package store

import (
	"context"
	"fmt"
	"strings"

	"tripwake/pipeline/records"
)

// SampleRow is one row of a file as it was stored, or as it was refused: a text for each column asked for.
type SampleRow struct {
	Record int64
	Cells  []string
}

// Sample gives the first rows of one file of the ledger in the order of its records, refused ones among them. A refused cell, and
// the column for which a row was refused, is its reason in brackets with the text that stood there, where that is known.
func (s *Store) Sample(ctx context.Context, fileID int64, table string, columns []string, most int) ([]SampleRow, error) {
	t, ok := records.Find(table)
	if !ok {
		return nil, fmt.Errorf("sample: %q is no table", table)
	}
	rows, err := s.db.QueryContext(ctx, sampleSQL(t, fileID, columns, most))
	if err != nil {
		return nil, fmt.Errorf("sample of %s: %w", table, err)
	}
	defer rows.Close()
	var all []SampleRow
	for rows.Next() {
		row := SampleRow{Cells: make([]string, len(columns))}
		into := []any{&row.Record}
		for i := range row.Cells {
			into = append(into, &row.Cells[i])
		}
		if err := rows.Scan(into...); err != nil {
			return nil, fmt.Errorf("sample of %s: %w", table, err)
		}
		all = append(all, row)
	}
	return all, rows.Err()
}

func sampleSQL(t records.Table, fileID int64, columns []string, most int) string {
	kept, refused := []string{"record_no", "0 as part"}, []string{"record_no", "1"}
	for i, name := range columns {
		kept = append(kept, fmt.Sprintf(`coalesce(k.%s::varchar, (select '[' || reason || ': ' || cell || ']' from ledger.refused_cells c
			where c.file_id = k.file_id and c.record_no = k.record_no and c.column_name = %s limit 1), '') as s%d`, Quote(name), Literal(name), i))
		otherwise := "''"
		if name == "quantity" {
			otherwise = fmt.Sprintf("case when column_name in (%s) then column_name else '' end", quantities())
		}
		refused = append(refused, fmt.Sprintf("case when %s then '[row refused: ' || reason || ']' else %s end", refusedIn(name, i), otherwise))
	}
	return fmt.Sprintf(`select * exclude (part) from (
		(select %s from kept.%s k where k.file_id = %d order by %s limit %d) union all
		(select %s from ledger.refused_rows where file_id = %d order by record_no limit %d)) order by record_no, part limit %d`,
		strings.Join(kept, ", "), t.Name, fileID, inRecords(t), most, strings.Join(refused, ", "), fileID, most, most)
}

// inRecords is the order of a file's rows.
func inRecords(t records.Table) string {
	if t.Name != readings {
		return "record_no"
	}
	return "record_no, " + WithinSQL(t, "quantity")
}

// refusedIn is true for the column for which a row was refused. What is refused as a whole stands in the first column, and a
// quantity that has a column of its own in the file stands for the value.
func refusedIn(name string, place int) string {
	text := fmt.Sprintf("column_name = %s", Literal(name))
	switch {
	case place == 0:
		text += " or column_name is null"
	case name == "value":
		text += fmt.Sprintf(" or column_name in (%s)", quantities())
	}
	return text
}

func quantities() string {
	var names []string
	for _, q := range records.Quantities() {
		names = append(names, Literal(q.Name))
	}
	return strings.Join(names, ", ")
}
