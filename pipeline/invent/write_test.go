package invent

import (
	"bytes"
	"context"
	"errors"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline/records"
)

func mustWrite(t *testing.T, o Options) (string, Summary) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "records")
	sum, err := Write(context.Background(), dir, o)
	if err != nil {
		t.Fatal(err)
	}
	return dir, sum
}

func contents(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	out := map[string][]byte{}
	for _, e := range entries {
		raw, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		out[e.Name()] = raw
	}
	return out
}

func TestSameSeedSameBytes(t *testing.T) {
	o := Options{Transports: 150, Every: time.Minute, Seed: 7}
	first, _ := mustWrite(t, o)
	second, _ := mustWrite(t, o)
	if !reflect.DeepEqual(contents(t, first), contents(t, second)) {
		t.Error("two runs with one seed differ")
	}
	o.Seed = 8
	third, _ := mustWrite(t, o)
	if bytes.Equal(contents(t, first)["transports-base-fenquill.csv"], contents(t, third)["transports-base-fenquill.csv"]) {
		t.Error("two seeds give the same transports")
	}
}

// Every file of a small run begins that of a larger one, over the border to a second region as well.
func TestMoreTransportsOnlyAppend(t *testing.T) {
	for _, c := range []struct{ few, many int }{{20, 90}, {130, 150}} {
		small, _ := mustWrite(t, Options{Transports: c.few, Every: time.Minute, Months: 2})
		large, _ := mustWrite(t, Options{Transports: c.many, Every: time.Minute, Months: 2})
		more := contents(t, large)
		for name, raw := range contents(t, small) {
			if !bytes.HasPrefix(more[name], raw) && name != ledgerName {
				t.Errorf("%s of %d transports does not begin that of %d", name, c.few, c.many)
			}
		}
	}
}

func TestFurtherRegionsHaveTheirOwnDevices(t *testing.T) {
	dir, _ := mustWrite(t, Options{Transports: 150, Every: time.Minute, Months: 2})
	more := readExport(t, filepath.Join(dir, "transports-more-001.csv"))
	if want := 150 - monthSize(time.January) - monthSize(time.February); len(more.rows) != want {
		t.Errorf("second region has %d rows, wanted %d", len(more.rows), want)
	}
	for _, row := range more.rows {
		if v := row["ventilator_id"]; v != "" && !strings.HasSuffix(v, ".2") {
			t.Errorf("%s carries %s of the first region", row["transport_id"], v)
		}
	}
}

// The column names stand here a second time, in the order of the contract's own table.
func TestHeadersAreCanonical(t *testing.T) {
	dir, sum := mustWrite(t, Options{Transports: 120, Every: 5 * time.Minute})
	for _, table := range records.Tables() {
		if sum.Rows[table.Name] == 0 {
			t.Errorf("no rows of %s", table.Name)
		}
		if !slices.Equal(columns[table.Name], table.Names()) {
			t.Errorf("%s: columns differ from the contract", table.Name)
		}
		for _, e := range exports(t, dir, table.Name) {
			if !slices.Equal(e.header, table.Names()) {
				t.Errorf("%s: header %v", e.name, e.header)
			}
		}
	}
}

func TestSummaryCountsWhatIsWritten(t *testing.T) {
	dir, sum := mustWrite(t, Options{Transports: 60, Every: 5 * time.Minute, Seed: 3})
	rows := map[string]int{}
	for _, name := range sum.Files {
		rows[tableOf(name)] += len(readExport(t, filepath.Join(dir, name)).rows)
	}
	if !reflect.DeepEqual(rows, sum.Rows) {
		t.Errorf("rows written %v, summary says %v", rows, sum.Rows)
	}
	if got := len(contents(t, dir)); got != len(sum.Files)+1 {
		t.Errorf("%d files in the folder, summary lists %d and there is one ledger", got, len(sum.Files))
	}
}

// Bad cells are there, and rare; all others are of the contract's kinds, codes and ranges.
func TestFewCellsBreakTheContract(t *testing.T) {
	dir, _ := mustWrite(t, Options{Every: 10 * time.Minute})
	for _, table := range records.Tables() {
		bad, rows := 0, 0
		for _, e := range exports(t, dir, table.Name) {
			for _, row := range e.rows {
				rows++
				if column := brokenColumn(table, e, row); column != "" {
					bad++
				}
			}
		}
		if share := float64(bad) / float64(rows); share > 0.008 {
			t.Errorf("%s: %d of %d rows have a bad cell, wanted one in 125 at most", table.Name, bad, rows)
		}
		if table.Name == "readings" && bad == 0 {
			t.Error("no bad reading: the refusals have nothing to show")
		}
	}
}

// brokenColumn names the first column that the contract would refuse, judged by the contract's table alone.
func brokenColumn(table records.Table, e export, row map[string]string) string {
	for _, c := range table.Columns {
		v := row[c.Name]
		if v == "" && !c.Required {
			continue
		}
		if v == "" || !fits(c, e.units[c.Name] != "", v) {
			return c.Name
		}
	}
	if table.Name == "readings" {
		if q, ok := quantity(row["quantity"]); row["unit"] == "" && ok {
			if x, _ := number(row["value"]); x < q.Range.Min || x > q.Range.Max {
				return "value"
			}
		}
	}
	return ""
}

func fits(c records.Column, converted bool, v string) bool {
	switch c.Kind {
	case records.Code:
		return len(c.Codes) == 0 || slices.Contains(c.Codes, v)
	case records.Flag:
		return v == "true" || v == "false"
	case records.Time:
		_, ok := moment(v, time.UTC)
		return ok
	case records.Date:
		_, err := time.Parse(time.DateOnly, v)
		return err == nil
	case records.Number:
		weeks, days, plus := strings.Cut(v, "+")
		x, ok := number(weeks)
		_, dok := number(days)
		return ok && (!plus || dok) && (converted || c.Range == nil || x >= c.Range.Min && x <= c.Range.Max)
	}
	return true
}

func TestDialectsAreMixed(t *testing.T) {
	dir, _ := mustWrite(t, Options{Transports: 200, Every: 5 * time.Minute})
	files := contents(t, dir)
	marks := map[string]bool{}
	for name, raw := range files {
		head, _, _ := bytes.Cut(raw, []byte("\n"))
		for mark, found := range map[string]bool{
			"comma": bytes.ContainsRune(head, ','), "semicolon": bytes.ContainsRune(head, ';'), "tab": bytes.ContainsRune(head, '\t'),
			"byte order mark": bytes.HasPrefix(raw, []byte{0xef, 0xbb, 0xbf}), "utf-16": bytes.HasPrefix(raw, []byte{0xff, 0xfe}),
			"crlf": bytes.HasSuffix(raw, []byte("\r\n")), "lf": bytes.HasSuffix(raw, []byte("\n")) && !bytes.HasSuffix(raw, []byte("\r\n")),
			"(psi)": bytes.Contains(head, []byte("(psi)")), "[degF]": bytes.Contains(head, []byte("[degF]")),
			"(mmol/L)": bytes.Contains(head, []byte("(mmol/L)")), "(kg)": bytes.Contains(head, []byte("(kg)")), "(kPa)": bytes.Contains(head, []byte("(kPa)")),
			"offset": bytes.Contains(raw, []byte("-06:00")), "windows-1252": name == "transports-base-umberlock.csv" && bytes.Contains(raw, []byte("V\xe9lorne")),
		} {
			marks[mark] = marks[mark] || found
		}
	}
	for mark, found := range marks {
		if !found {
			t.Errorf("no file with %s", mark)
		}
	}
}

func TestAboutHalfTheLogsNameNoTransport(t *testing.T) {
	dir, _ := mustWrite(t, Options{Transports: 200, Every: 5 * time.Minute})
	for _, table := range []string{"settings", "readings", "alarms", "power"} {
		named, all := 0, 0
		for _, e := range exports(t, dir, table) {
			for _, row := range e.rows {
				all++
				if row["transport_id"] != "" {
					named++
				}
			}
		}
		if share := float64(named) / float64(all); share < 0.3 || share > 0.75 {
			t.Errorf("%s: %.2f of the rows name their transport, wanted about half", table, share)
		}
	}
}

// The clocks of Chicago change on 2025-03-09 and 2025-11-02 (IANA time zone data).
func TestClocksChange(t *testing.T) {
	dir, _ := mustWrite(t, Options{Every: 10 * time.Minute})
	var twiceHour, skippedHour int
	for _, e := range exports(t, dir, "transports") {
		for _, row := range e.rows {
			for _, v := range row {
				if v = strings.Replace(v, "T", " ", 1); strings.HasPrefix(v, "2025-11-02 01:") {
					twiceHour++
				} else if strings.HasPrefix(v, "2025-03-09 02:") {
					skippedHour++
				}
			}
		}
	}
	if twiceHour == 0 || skippedHour != 1 {
		t.Errorf("%d stamps in the repeated hour and %d in the missing one, wanted some and 1", twiceHour, skippedHour)
	}
	if c := clockShifts(time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC), 18); len(c) != 0 {
		t.Errorf("UTC changes its clocks: %v", c)
	}
}

func TestAwkwardRowsAreThere(t *testing.T) {
	dir, _ := mustWrite(t, Options{Every: 10 * time.Minute})
	first := map[string]string{}
	var repeated, again, backwards, unknown int
	place := time.FixedZone("", 0)
	for _, e := range exports(t, dir, "transports") {
		for _, row := range e.rows {
			all := strings.Join([]string{row["called_at"], row["departed_base_at"], row["available_at"]}, "|")
			if before, ok := first[row["transport_id"]]; ok && before == all {
				repeated++
			} else if ok {
				again++
			}
			first[row["transport_id"]] = all
			a, ok1 := moment(row["departed_referring_at"], place)
			b, ok2 := moment(row["arrived_receiving_at"], place)
			if ok1 && ok2 && b.Before(a) {
				backwards++
			}
		}
	}
	for _, e := range exports(t, dir, "assessments") {
		for _, row := range e.rows {
			if _, ok := first[row["transport_id"]]; !ok {
				unknown++
			}
		}
	}
	if repeated == 0 || again == 0 || backwards == 0 || unknown == 0 {
		t.Errorf("repeated %d, corrected %d, out of order %d, unknown %d: wanted some of each", repeated, again, backwards, unknown)
	}
}

// A second export holds only rows that the first holds too.
func TestSecondExportsOverlap(t *testing.T) {
	dir, sum := mustWrite(t, Options{Every: 10 * time.Minute})
	found := 0
	for _, name := range sum.Files {
		device, isAgain := strings.CutSuffix(name, "-again.csv")
		if !isAgain {
			continue
		}
		found++
		have := map[string]bool{}
		for _, e := range exports(t, dir, device) {
			for _, row := range e.rows {
				have[rowKey(e, row)] = true
			}
		}
		e := readExport(t, filepath.Join(dir, name))
		for _, row := range e.rows {
			if !have[rowKey(e, row)] {
				t.Fatalf("%s holds a row that the first export lacks: %v", name, row)
			}
		}
	}
	if found == 0 {
		t.Error("nothing was exported twice")
	}
}

func rowKey(e export, row map[string]string) string {
	var cells []string
	for _, column := range e.header {
		cells = append(cells, row[column])
	}
	return strings.Join(cells, "\x00")
}

func TestNarrativesSurviveTheirDialect(t *testing.T) {
	dir, _ := mustWrite(t, Options{Every: 10 * time.Minute})
	seen := map[string]bool{}
	for _, e := range exports(t, dir, "events") {
		for _, row := range e.rows {
			if !slices.Contains(narratives, row["narrative"]) {
				t.Errorf("%s: narrative changed on the way: %q", e.name, row["narrative"])
			}
			seen[row["narrative"]] = true
		}
	}
	if len(seen) != len(narratives) {
		t.Errorf("%d of %d narratives occur", len(seen), len(narratives))
	}
}

// The cities of the IANA time zone data are a list of known places from outside: none is among ours.
func TestNamesAreNoZoneCities(t *testing.T) {
	var words []string
	for _, s := range sites {
		words = append(words, strings.Fields(strings.ReplaceAll(s.name, "-", " "))...)
	}
	for _, s := range append([]base(nil), bases...) {
		words = append(words, s.name)
	}
	if _, err := time.LoadLocation("America/Chicago"); err != nil {
		t.Fatal(err)
	}
	for _, area := range []string{"Africa", "America", "Asia", "Atlantic", "Australia", "Europe", "Indian", "Pacific"} {
		for _, w := range words {
			if _, err := time.LoadLocation(area + "/" + w); err == nil {
				t.Errorf("%s is a city of %s", w, area)
			}
		}
	}
}

func TestWriteTouchesOnlyItsOwnFiles(t *testing.T) {
	dir, _ := mustWrite(t, Options{Transports: 20, Every: time.Minute})
	if info, err := os.Stat(dir); err != nil || info.Mode().Perm() != 0o700 {
		t.Errorf("folder is %v, wanted 0700 (%v)", info.Mode(), err)
	}
	sum, err := Write(context.Background(), dir, Options{Transports: 1, Every: time.Minute})
	if err != nil || len(contents(t, dir)) != len(sum.Files)+1 {
		t.Errorf("writing again over its own records left strangers (%v)", err)
	}
	foreign := filepath.Join(dir, "transports-2024.csv")
	if err := os.WriteFile(foreign, []byte("transport_id\nA\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	before := contents(t, dir)
	_, err = Write(context.Background(), dir, Options{Transports: 1})
	if err == nil || !strings.Contains(err.Error(), "transports-2024.csv") {
		t.Errorf("a foreign export in the folder was not refused by name: %v", err)
	}
	if !reflect.DeepEqual(before, contents(t, dir)) {
		t.Error("a refused folder was changed")
	}
}

func TestOptionsOutOfRangeAreRefused(t *testing.T) {
	for _, o := range []Options{{Transports: -1}, {Every: time.Millisecond}, {Every: -time.Second}, {Months: -3}, {Months: 5000},
		{TimeZone: "Nowhere/None"}, {TimeZone: "Local"}, {First: "2025"}, {First: "2025-13"}} {
		dir := filepath.Join(t.TempDir(), "none")
		if _, err := Write(context.Background(), dir, o); err == nil || strings.Contains(err.Error(), "\n") {
			t.Errorf("%+v: got %v, wanted an error of one line", o, err)
		}
		if _, err := os.Stat(dir); !os.IsNotExist(err) {
			t.Errorf("%+v: a folder was made", o)
		}
	}
}

func TestCancelledWriteCanBeDoneAgain(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	dir := filepath.Join(t.TempDir(), "records")
	if _, err := Write(ctx, dir, Options{Transports: 5}); !errors.Is(err, context.Canceled) {
		t.Errorf("got %v, wanted the context's error", err)
	}
	if _, err := Write(context.Background(), dir, Options{Transports: 5, Every: time.Minute}); err != nil {
		t.Error(err)
	}
}
