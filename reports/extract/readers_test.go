//go:build readers

package extract

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"tripwake/pipeline/store"
	"tripwake/queries"
)

// readers is where `npm ci --ignore-scripts` put the readers that share no code with the program; make readers does so.
var readers = filepath.Join("..", "..", "testdata", "readers")

// read is what read.mjs prints.
type read struct {
	About   map[string]string
	Columns []map[string]string
	Rows    [][]any
}

func readWith(t *testing.T, path string) read {
	t.Helper()
	cmd := exec.Command("node", "read.mjs", path)
	cmd.Dir = readers
	text, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v; run make readers, which installs what is needed", path, err)
	}
	var r read
	if err := json.Unmarshal(text, &r); err != nil {
		t.Fatal(err)
	}
	return r
}

// cellsOf is the CSV file's text, the header apart.
func cellsOf(t *testing.T, text string) [][]string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

// asCell writes what another reader found as the CSV does.
func asCell(cell any) string {
	switch v := cell.(type) {
	case nil:
		return ""
	case string:
		return v
	case bool:
		return strconv.FormatBool(v)
	default:
		return fmt.Sprint(v)
	}
}

func sameCell(kind queries.ColumnKind, want string, got any) bool {
	if kind != queries.NumberColumn && kind != queries.CountColumn || want == "" {
		return asCell(got) == want
	}
	a, err := strconv.ParseFloat(want, 64)
	b, ok := got.(float64)
	return err == nil && ok && math.Float64bits(a) == math.Float64bits(b)
}

// vary makes numbers that need every digit, empty cells and several codes.
func (p planted) vary() {
	p.exec("update kept.transports set weight = null, sex = null where record_no % 7 = 0")
	p.exec("update kept.transports set handed_over_at = handed_over_at + to_microseconds(record_no * 7919), diagnosis = 'surgical' where record_no % 3 = 0")
}

// Arrow files as apache-arrow reads them, Parquet files as hyparquet does, hold the cells of the CSV files and the
// descriptions of the columns.
func TestOtherReaders(t *testing.T) {
	p := plant(t, 25000) // more than one batch
	p.vary()
	out, err := filepath.Abs(filepath.Join(t.TempDir(), "x"))
	if err != nil {
		t.Fatal(err)
	}
	in := p.input()
	if _, err := Write(t.Context(), out, in); err != nil {
		t.Fatal(err)
	}
	found := files(t, out)
	for _, table := range in.tables() {
		want := cellsOf(t, found[table.Name+".csv"])
		for _, ending := range []string{".arrow", ".parquet"} {
			got := readWith(t, filepath.Join(out, table.Name+ending))
			compareRead(t, table, ending, got, want)
			if got.About["program"] != program || got.About["table"] != table.Name || got.About["version"] != "test" || got.About["settings_sha256"] != in.SettingsHash {
				t.Errorf("%s%s says of itself %v", table.Name, ending, got.About)
			}
			if by, ok := got.About["created_by"]; ok && by != program {
				t.Errorf("%s%s was created by %q", table.Name, ending, by)
			}
		}
	}
}

func compareRead(t *testing.T, table queries.ReleasedTable, ending string, got read, want [][]string) {
	t.Helper()
	if len(got.Rows) != len(want) || len(got.Columns) != len(table.Columns) {
		t.Fatalf("%s%s: %d rows, %d columns, want %d, %d", table.Name, ending, len(got.Rows), len(got.Columns), len(want), len(table.Columns))
	}
	for i, c := range table.Columns {
		keys, values := describing(c)
		for j, key := range keys {
			if got.Columns[i][key] != values[j] || got.Columns[i]["name"] != c.Name {
				t.Errorf("%s%s: column %s says %v", table.Name, ending, c.Name, got.Columns[i])
			}
		}
		for row := range want {
			if !sameCell(c.Kind, want[row][i], got.Rows[row][i]) {
				t.Fatalf("%s%s: row %d of %s is %v, want %q", table.Name, ending, row, c.Name, got.Rows[row][i], want[row][i])
			}
		}
	}
}

// DuckDB reads the Parquet and the CSV file of each table as the same rows, and finds the description in the Parquet file.
func TestEngineReadsParquet(t *testing.T) {
	p := plant(t, 25000)
	p.vary()
	out := filepath.Join(t.TempDir(), "x")
	in := p.input()
	if _, err := Write(t.Context(), out, in); err != nil {
		t.Fatal(err)
	}
	for _, table := range in.tables() {
		path := store.Literal(filepath.Join(out, table.Name))
		parquet, plain := "read_parquet("+path+" || '.parquet')", "read_csv("+path+" || '.csv', all_varchar = true, header = true)"
		var columns []string
		for _, c := range table.Columns {
			columns = append(columns, fmt.Sprintf("%[1]s::%[2]s as %[1]s", store.Quote(c.Name), map[queries.ColumnKind]string{queries.NumberColumn: "double",
				queries.CountColumn: "bigint", queries.FlagColumn: "boolean", queries.CodeColumn: "varchar", queries.TextColumn: "varchar"}[c.Kind]))
		}
		var rows, differing int
		var described string
		typed := "select " + strings.Join(columns, ", ") + " from "
		if err := p.store.DB().QueryRow(fmt.Sprintf(`select (select count(*) from %[1]s),
			(select count(*) from ((from %[1]s except all %[2]s %[3]s) union all (%[2]s %[3]s except all from %[1]s))),
			(select decode(value) from parquet_kv_metadata(%[4]s || '.parquet') where decode(key) = 'columns')`, parquet, typed, plain, path)).
			Scan(&rows, &differing, &described); err != nil {
			t.Fatalf("%s: %v", table.Name, err)
		}
		want, err := columnsText(table)
		if err != nil {
			t.Fatal(err)
		}
		if differing != 0 || described != want || rows != len(cellsOf(t, files(t, out)[table.Name+".csv"])) {
			t.Errorf("%s: %d rows, %d differ", table.Name, rows, differing)
		}
	}
}
