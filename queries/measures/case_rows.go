package measures

import (
	"encoding/csv"
	"fmt"
	"io"
	"strings"

	"tripwake/queries"
)

// CaseRow is a transport that the committee must read, as data. The JSON keys and their order are those of `measure --cases`.
type CaseRow struct {
	Transport string   `json:"transport"`
	Month     string   `json:"month"`
	Reasons   []string `json:"reasons"` // ids of measures, the gravest first
}

// CaseRows lists cases with the gravest reason first; name says how a transport is called.
func CaseRows(cases []queries.Case, name func(transportID string) string) []CaseRow {
	rows := []CaseRow{}
	for _, c := range ByGravity(cases) {
		rows = append(rows, CaseRow{name(c.TransportID), c.Month, c.Reasons})
	}
	return rows
}

// WriteCases prints cases in the format of that name: table, csv or json (one object a line).
func WriteCases(w io.Writer, format string, rows []CaseRow) error {
	cells := [][]string{{"transport", "month", "reasons"}}
	for _, r := range rows {
		cells = append(cells, []string{Defuse(r.Transport), r.Month, strings.Join(r.Reasons, " ")})
	}
	switch format {
	case "table":
		return align(w, cells)
	case "csv":
		if err := csv.NewWriter(w).WriteAll(cells); err != nil {
			return fmt.Errorf("cases could not be written as csv: %w", err)
		}
		return nil
	case "json":
		return objects(w, rows)
	default:
		return fmt.Errorf("format %q: expected table, csv or json", format)
	}
}
