package intake_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
)

// framed looks into a text under a dialect.
func framed(t *testing.T, name, text string, d intake.Dialect) (intake.Source, error) {
	t.Helper()
	found, err := intake.Find([]string{write(t, t.TempDir(), name, []byte(text))}, layout.Layout{})
	if err != nil {
		t.Fatal(err)
	}
	found.Candidates[0].Dialect = d
	return intake.Inspect(found.Candidates[0], t.TempDir(), 0)
}

// What stands before the header and after the records is told from them without a layout, where it can be nothing else.
func TestLinesAroundTheRecords(t *testing.T) {
	st := openStore(t)
	const body = "transport_id;team;vehicle\nT1;Zürich;ground\nT2;\"a\nb\";rotor\n"
	for _, c := range []struct {
		name, before, after string
		lines, foot         int
	}{
		{"nothing", "", "", 0, 0},
		{"blank line", "\n", "", 1, 0},
		{"title", "Transports of 2025\n", "", 1, 0},
		{"title, date, blank line", "Transports of 2025\nExported;2026-01-04 10:00\n\n", "", 3, 0},
		{"a column's name in the title", "Team;North\nDevice: \"all\n\n", "", 3, 0},
		{"what spreadsheets tell of the delimiter", "sep=;\n", "", 1, 0},
		{"count", "", "Total rows: 40\n", 0, 1},
		{"count in padded cells", "", "Total rows: 40;;\n", 0, 1},
		{"end", "", "\n-- end --\n\n", 0, 2},
		{"end without line end", "", "-- end of report --", 0, 1},
		{"quoted", "\"Transports of 2025\"\n", "\"-- end --\"\n\"Total rows: 40\";\"\";\n", 1, 2},
		{"rule, count, maker", "", "-----\n2 records exported\nPrinted 2026-01-04 10:00 by the office\n", 0, 3},
		{"all", "Export\n\n", "2 rows\n", 2, 1},
	} {
		for _, end := range []string{"\n", "\r\n"} {
			t.Run(c.name, func(t *testing.T) {
				text := strings.ReplaceAll(c.before+body+c.after, "\n", end)
				s, err := framed(t, "transports.csv", text, intake.Dialect{})
				if err != nil {
					t.Fatal(err)
				}
				rows, rejected := stage(t, st, s)
				if s.Before != c.lines || s.After != c.foot || s.Records != 2 || len(rows) != 2 || len(rejected) != 0 {
					t.Errorf("%d lines before and %d after, %d records, %d read, %v rejected; want %d and %d, 2 records",
						s.Before, s.After, s.Records, len(rows), rejected, c.lines, c.foot)
				}
			})
		}
	}
}

// A line that could be a record stays one, and is refused as such where it does not fit.
func TestLinesThatMayBeRecords(t *testing.T) {
	for _, last := range []string{"T3", "T3;x", "Total rows: 40;x;ground", "end", "-", "\"-- \"\"end\"\" --\"", "42", "Total;rows: 40", "End;;"} {
		want := 1
		if last == "end" {
			want = 0 // alone, the word says it all
		}
		s, err := framed(t, "transports.csv", "transport_id;team;vehicle\n"+last+"\n", intake.Dialect{})
		if err != nil || s.Records != int64(want) {
			t.Errorf("%q: %d records, %v; want %d", last, s.Records, err, want)
		}
	}
	s, err := framed(t, "notes.csv", "text\nTotal rows: 40\n", intake.Dialect{})
	if err != nil || s.Records != 1 {
		t.Errorf("one column: %d records, %v; want 1", s.Records, err)
	}
	// Two listings in one file: the header of the second is a record of the first, not the end of what goes before it.
	s, err = framed(t, "transports.csv", "transport_id,vehicle\nT1,ground\ntransport_id,team,urgency,vehicle,sex\nT2,a,urgent,ground,male\n", intake.Dialect{})
	if err != nil || s.Before != 0 || s.Records != 3 {
		t.Errorf("two listings: %+v, %v", s, err)
	}
}

// A layout may say how many lines stand before and after, and what parts the cells.
func TestAskedDialects(t *testing.T) {
	text := "transport_id;team\nx\ntransport_id|team\nT1|a;b\nT2|c\nthanks for reading\nbye"
	s, err := framed(t, "transports.csv", text, intake.Dialect{Skip: 2, Footer: 2, Delimiter: '|'})
	if err != nil || s.Records != 2 || s.Delimiter != '|' || s.Before != 2 || s.After != 2 {
		t.Errorf("%+v, %v", s, err)
	}
	rows, _ := stage(t, openStore(t), s)
	if !slices.EqualFunc(rows, [][]string{{"T1", "a;b"}, {"T2", "c"}}, slices.Equal[[]string]) {
		t.Errorf("rows %q", rows)
	}
	if _, err := framed(t, "transports.csv", text, intake.Dialect{Skip: 1}); err == nil || !strings.Contains(err.Error(), "line 2: the header names no column") {
		t.Errorf("%v, want the line that was asked for", err)
	}
	s, err = framed(t, "transports.csv", "transport_id,team\nT1,\xc3\xa9\n", intake.Dialect{Encoding: "windows-1252"})
	if rows, _ := stage(t, openStore(t), s); err != nil || rows[0][1] != "Ã©" {
		t.Errorf("rows %q, %v: the encoding that was asked for decides", rows, err)
	}
}

func TestEscapedQuotes(t *testing.T) {
	st := openStore(t)
	for _, c := range []struct {
		name, text, escape string
		escaped            bool
		want               [][]string
	}{
		{"backslashes", `T1,"say \"hi\", ok"` + "\n" + `T2,"C:\\x"` + "\n", "", true, [][]string{{"T1", `say "hi", ok`}, {"T2", `C:\x`}}},
		{"a backslash at the end", `T1,"C:\"` + "\n" + `T2,"a ""b"""` + "\n", "", false, [][]string{{"T1", `C:\`}, {"T2", `a "b"`}}},
		{"a backslash in text", `T1,a\b` + "\n" + `T2,"a\nb"` + "\n", "", false, [][]string{{"T1", `a\b`}, {"T2", `a\nb`}}},
		{"asked for", `T1,"a\""` + "\n" + `T2,3.5\" tube` + "\n", intake.Backslash, true, [][]string{{"T1", `a"`}, {"T2", `3.5\" tube`}}},
		{"doubled asked for", `T1,"C:\"` + "\n", intake.Doubled, false, [][]string{{"T1", `C:\`}}},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, err := framed(t, "transports.csv", "transport_id,team\n"+c.text, intake.Dialect{Escape: c.escape})
			if err != nil {
				t.Fatal(err)
			}
			rows, rejected := stage(t, st, s)
			if s.Escaped != c.escaped || len(rejected) != 0 || !slices.EqualFunc(rows, c.want, slices.Equal[[]string]) {
				t.Errorf("escaped %v, rows %q, rejected %v; want %v, %q", s.Escaped, rows, rejected, c.escaped, c.want)
			}
		})
	}
}

func TestHostileHeaders(t *testing.T) {
	many := make([]string, 10_000)
	for i := range many {
		many[i] = fmt.Sprintf("x%d", i)
	}
	many[9_999] = "transport_id"
	s := inspected(t, "transports.csv", []byte(strings.Join(many, ",")+"\n"+strings.Repeat("1,", 9_999)+"T1\n"))
	rows, _ := stage(t, openStore(t), s)
	if len(rows) != 1 || len(rows[0]) != 10_000 || rows[0][9_999] != "T1" {
		t.Errorf("%d rows of %d columns", len(rows), len(s.Header))
	}
	for name, c := range map[string]struct{ header, want string }{
		"too many":       {"transport_id" + strings.Repeat(",x", 20_000), "20001 cells, at most 16384"},
		"a column twice": {"transport_id,team,Team", "column team stands twice"},
	} {
		if _, err := framed(t, "transports.csv", c.header+"\n", intake.Dialect{}); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	s = inspected(t, "transports.csv", []byte("transport_id,,x,x,,\"'; drop table x; --\",\"\x1b[31m\",\"\x02\"\nT1,1,2,3,4,5,6,7\n"))
	if rows, _ := stage(t, openStore(t), s); len(rows) != 1 || len(rows[0]) != 8 || rows[0][7] != "7" {
		t.Errorf("rows %q", rows)
	}
}

// A cell of a hundred megabytes ends the reading of its file with a line, and takes no memory of its size.
func TestCellsBeyondTheLimit(t *testing.T) {
	for name, cell := range map[string]string{"plain": strings.Repeat("x", 100<<20), "quoted": `"` + strings.Repeat("x\n", 50<<20) + `"`} {
		_, err := framed(t, "transports.csv", "transport_id,team\nT1,a\nT2,"+cell+"\n", intake.Dialect{})
		if err == nil || !strings.Contains(err.Error(), "record 3: has 1048576") || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v, want one line that names record 3 and its size", name, err)
		}
	}
}
