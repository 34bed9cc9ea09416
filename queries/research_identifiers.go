package queries

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strings"

	"tripwake/pipeline/records"
)

// Identifying is a text of the store that must not be in an extract, and the column that holds it.
type Identifying struct{ Place, Text string }

// telling are the text columns whose values name a unit, a size or a measure and nobody.
var telling = []string{"readings.unit", "alarms.unit", "cylinders.size", "notes.measure"}

// Identifiers lists every distinct text of the store that could name a patient, a person, a place or a device: all text
// columns of the records, superseded rows and narratives included, and the text of refused rows and cells. Sorted by place
// and text.
func (r *Reader) Identifiers(ctx context.Context) ([]Identifying, error) {
	return collect(ctx, r, identifiersSQL(), func(rows *sql.Rows) (Identifying, error) {
		var one Identifying
		return one, rows.Scan(&one.Place, &one.Text)
	})
}

// identifiersSQL is made from the record contract, so that a text column added there is looked for too. Each column is grouped by
// itself first, which the engine does on its packed texts.
func identifiersSQL() string {
	parts := []string{
		"select 'refused rows' as place, unnest(cells) as found from ledger.refused_rows",
		"select 'refused cells', cell from ledger.refused_cells",
	}
	for _, t := range records.Tables() {
		for _, c := range t.Columns {
			place := t.Name + "." + c.Name
			if c.Kind == records.Text && !slices.Contains(telling, place) {
				parts = append(parts, fmt.Sprintf(`select %[1]s, "%[2]s" from kept.%[3]s group by "%[2]s"`, literal(place), c.Name, t.Name))
			}
		}
	}
	return "select min(place), trim(found) from (" + strings.Join(parts, "\nunion all\n") +
		") where trim(found) <> '' group by trim(found) order by 1, 2"
}
