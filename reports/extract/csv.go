package extract

import (
	"encoding/csv"
	"io"
	"strconv"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// csvSink writes UTF-8 with a header and a comma; an empty cell is one that is not filled, numbers are in full precision.
type csvSink struct {
	w     *csv.Writer
	cells []string
}

func newCSV(w io.Writer, t queries.ReleasedTable) (sink, error) {
	c := csvSink{csv.NewWriter(w), make([]string, len(t.Columns))}
	for i, column := range t.Columns {
		c.cells[i] = column.Name
	}
	return c, c.w.Write(c.cells)
}

func (c csvSink) write(b queries.Batch) error {
	for row := range b.Rows {
		for i := range b.Columns {
			c.cells[i] = cellText(b.Columns[i], row)
		}
		if err := c.w.Write(c.cells); err != nil {
			return err
		}
	}
	return nil
}

func (c csvSink) close() error {
	c.w.Flush()
	return c.w.Error()
}

// cellText is one cell as CSV shows it. A text that a spreadsheet would run as a formula is defused.
func cellText(v queries.Values, row int) string {
	switch {
	case !v.Valid[row]:
		return ""
	case len(v.Numbers) > 0:
		return strconv.FormatFloat(v.Numbers[row], 'g', -1, 64)
	case len(v.Counts) > 0:
		return strconv.FormatInt(v.Counts[row], 10)
	case len(v.Flags) > 0:
		return strconv.FormatBool(v.Flags[row])
	default:
		return measures.Defuse(v.Texts[row])
	}
}
