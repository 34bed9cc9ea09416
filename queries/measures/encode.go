package measures

import (
	"encoding/csv"
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"
	"strings"
	"text/tabwriter"

	"tripwake/queries"
)

// Write prints rows in the format of that name: table, csv or json.
func Write(w io.Writer, format string, rows []Row) error {
	switch format {
	case "table":
		return WriteTable(w, rows)
	case "csv":
		return WriteCSV(w, rows)
	case "json":
		return WriteJSON(w, rows)
	default:
		return fmt.Errorf("format %q: expected table, csv or json", format)
	}
}

// WriteJSON prints one JSON object a line, numbers in full precision.
func WriteJSON(w io.Writer, rows []Row) error { return objects(w, rows) }

// Columns are the columns of the CSV form: the keys of the JSON form, in its order.
func Columns() []string {
	return []string{"measure", "month", "by", "group", "n", "numerator", "denominator", "value", "unit", "low", "high", "method",
		"mean", "p90", "on_target", "coverage", "poisson_low", "poisson_high", "left_out", "warning"}
}

// WriteCSV prints a header and one record a row, numbers in full precision. A text that a spreadsheet would run as a
// formula gets an apostrophe before it.
func WriteCSV(w io.Writer, rows []Row) error {
	out := csv.NewWriter(w)
	records := [][]string{Columns()}
	for _, r := range rows {
		records = append(records, record(r))
	}
	if err := out.WriteAll(records); err != nil {
		return fmt.Errorf("measures could not be written as csv: %w", err)
	}
	return nil
}

func record(r Row) []string {
	t := r.TimeParts
	if t == nil {
		t = &TimeParts{}
	}
	return []string{r.Measure, r.Month, r.By, Defuse(r.Group), strconv.Itoa(r.N), full(r.Numerator), full(r.Denominator),
		full(r.Value), r.Unit, full(r.Low), full(r.High), r.Method, full(t.Mean), full(t.P90), full(t.OnTarget),
		full(r.Coverage), full(r.PoissonLow), full(r.PoissonHigh), Defuse(LeftOutText(r.LeftOut)), Defuse(r.Warning)}
}

func full(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(*v, 'g', -1, 64)
}

// Defuse puts an apostrophe before a text that a spreadsheet would take for a formula (OWASP, CSV injection).
func Defuse(text string) string {
	if text != "" && strings.ContainsRune("=+-@\t\r", rune(text[0])) {
		return "'" + text
	}
	return text
}

// LeftOutText lists what was left out and why, by reason: "departed_base_at missing: 2; end before start: 1".
func LeftOutText(leftOut map[string]int) string {
	parts := make([]string, 0, len(leftOut))
	for _, reason := range slices.Sorted(maps.Keys(leftOut)) {
		parts = append(parts, fmt.Sprintf("%s: %d", reason, leftOut[reason]))
	}
	return strings.Join(parts, "; ")
}

// LeftOutWords is LeftOutText as people read it: "departure from base missing: 2; end before start: 1".
func LeftOutWords(leftOut map[string]int) string {
	read := map[string]int{}
	for reason, n := range leftOut {
		read[queries.InWords(reason)] += n
	}
	return LeftOutText(read)
}

// WriteTable prints rows for people: rounded to what their size can carry, numbers to the right. Columns that are empty
// throughout are left away.
func WriteTable(w io.Writer, rows []Row) error {
	cells := [][]string{{"measure", "month", "group", "n", "value", "unit", "95 % interval", "p90", "on target %", "left out", "note"}}
	for _, r := range rows {
		line, err := tableLine(r)
		if err != nil {
			return err
		}
		cells = append(cells, line)
	}
	return align(w, dropEmpty(cells))
}

func tableLine(r Row) ([]string, error) {
	d, err := Find(r.Measure)
	if err != nil {
		return nil, err
	}
	value := "no data"
	if r.Value != nil {
		value = d.Text(r.Value, r.N)
	}
	t := r.TimeParts
	if t == nil {
		t = &TimeParts{}
	}
	share := ""
	if t.OnTarget != nil {
		share = fixed(*t.OnTarget, 0)
	}
	return []string{r.Measure, r.Month, Visible(r.Group), strconv.Itoa(r.N), value, r.Unit, d.IntervalText(r), d.Text(t.P90, r.N),
		share, emptyZero(r.Missing()), r.Warning}, nil
}

func emptyZero(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// dropEmpty removes the columns in which no row has anything.
func dropEmpty(cells [][]string) [][]string {
	var keep []int
	for col := range cells[0] {
		filled := len(cells) == 1
		for _, line := range cells[1:] {
			filled = filled || line[col] != ""
		}
		if filled {
			keep = append(keep, col)
		}
	}
	out := make([][]string, len(cells))
	for i, line := range cells {
		for _, col := range keep {
			out[i] = append(out[i], line[col])
		}
	}
	return out
}

// leftColumns hold words, all others numbers.
var leftColumns = []string{"measure", "month", "group", "unit", "note", "chart", "months", "verdict", "current", "signal"}

// align pads numbers on the left and words on the right.
func align(w io.Writer, cells [][]string) error {
	for col, name := range cells[0] {
		if slices.Contains(leftColumns, name) {
			continue
		}
		width := 0
		for _, line := range cells {
			width = max(width, len([]rune(line[col])))
		}
		for _, line := range cells {
			line[col] = strings.Repeat(" ", width-len([]rune(line[col]))) + line[col]
		}
	}
	var text strings.Builder
	out := tabwriter.NewWriter(&text, 0, 0, 2, ' ', 0)
	for _, line := range cells {
		fmt.Fprintln(out, strings.Join(line, "\t"))
	}
	if err := out.Flush(); err != nil {
		return err
	}
	for line := range strings.Lines(text.String()) {
		if _, err := fmt.Fprintln(w, strings.TrimRight(line, " \n")); err != nil {
			return fmt.Errorf("table could not be written: %w", err)
		}
	}
	return nil
}
