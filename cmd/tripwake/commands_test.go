package main

import (
	"encoding/csv"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// A small folder of exports: one transport that is whole, one that waits for mending, one device log.
const (
	goodTransports = "transport_id,vehicle,urgency,ventilator_id,accepted_at,departed_base_at,available_at\n" +
		"T1,ground,urgent,V1,2026-01-05 10:00,2026-01-05 10:20,2026-01-05 14:00\n"
	badTransports = "transport_id,vehicle,urgency,ventilator_id,accepted_at,departed_base_at,available_at\n" +
		",ground,urgent,V1,2026-03-06 10:00,2026-03-06 10:30,2026-03-06 14:00\n"
	badReadings = "device_id,recorded_at,quantity,value,unit\n" +
		"V1,2026-01-05 11:00,spo2,97,%\n" +
		"V1,2026-01-05 11:01,spo2,97,furlong\n" +
		"V1,2026-01-05 11:02,spo2,=1+1,%\n"
)

func smallPlace(t *testing.T) *place {
	t.Helper()
	p := newPlace(t)
	p.write("in/transports.csv", goodTransports)
	p.write("in/transports-late.csv", badTransports)
	p.write("in/readings-v1.csv", badReadings)
	return p
}

func TestExitCodes(t *testing.T) {
	p := smallPlace(t)
	p.write("empty/readme.txt", "nothing here")
	p.write("no.duckdb", "this is no store")
	p.write("zero/alarms.csv", "")
	p.write("linked/note.txt", "the export is elsewhere")
	if err := os.Symlink("nowhere.csv", filepath.Join(p.dir, "linked", "alarms.csv")); err != nil {
		t.Fatal(err)
	}
	for _, wrong := range []struct {
		words string
		args  []string
	}{
		{`unknown command "lode"`, []string{"lode", "in"}},
		{"--colour", []string{"load", "in", "--colour"}},
		{"PATH", []string{"load"}},
		{"takes no argument", []string{"ledger", "extra"}},
		{"--format", []string{"ledger", "--format", "xml"}},
		{"--format", []string{"load", "in", "--format", "xml"}},
		{"--format", []string{"settings", "--format", "xml"}},
		{`"mobilisation"`, []string{"measure", "mobilisation"}},
		{`"hospital"`, []string{"measure", "--by", "hospital"}},
		{`"2026-13"`, []string{"measure", "--from", "2026-13"}},
		{`"March"`, []string{"report", "committee", "--month", "March"}},
		{"committee", []string{"report"}},
		{`"weekly"`, []string{"report", "weekly"}},
		{`"weekly"`, []string{"report", "weekly", "--out", "r"}},
		{"missing report", []string{"report", "--out", "r"}},
		{"unknown flag", []string{"report", "committee", "--colour"}},
		{`"month,month"`, []string{"measure", "--by", "month,month"}},
		{"--transports: expected 1 or more, got 0", []string{"invent", "--out", "i", "--transports", "0"}},
		{"--months: expected 1 to 1200, got -1", []string{"invent", "--out", "i", "--months", "-1"}},
		{"--every: expected whole seconds", []string{"invent", "--out", "i", "--every", "1500ms"}},
		{`"x" for "--undo" flag: expected a whole number`, []string{"load", "--undo", "x"}},
		{`"x" for "--full" flag: expected true or false`, []string{"report", "committee", "--full=x"}},
		{"--out", []string{"invent"}},
		{`"Mars/Base"`, []string{"measure", "--time-zone", "Mars/Base"}},
	} {
		p.bad(exitUsage, wrong.words, wrong.args...)
	}
	for _, failed := range []struct {
		words string
		args  []string
	}{
		{"nowhere: no such file", []string{"load", "nowhere"}},
		{"tripwake: empty: no export found", []string{"load", "empty"}},
		{"alarms.csv: not read, since it is no plain file, or a link that leads nowhere", []string{"load", "linked"}},
		{"needs more memory than the setting memory (1MB) allows", []string{"load", "in", "--memory", "1MB", "--store", "small.duckdb"}},
		{"--out empty/readme.txt: is a file; name a folder", []string{"demo", "--out", "empty/readme.txt"}},
		{"alarms.csv: is empty", []string{"load", "zero"}},
		{"name begins with no table's name", []string{"load", "empty/readme.txt"}},
		{"load exports first", []string{"measure", "--store", "none.duckdb"}},
		{"load exports first", []string{"ledger", "--store", "none.duckdb"}},
		{"load exports first", []string{"report", "committee", "--store", "none.duckdb"}},
		{"no tripwake store", []string{"measure", "--store", "no.duckdb"}},
	} {
		p.bad(exitFailed, failed.words, failed.args...)
	}
	if got := p.good("--version"); !strings.Contains(got, version) {
		t.Errorf("--version: %q", got)
	}
	if got := p.good("--help"); !strings.Contains(got, "no advice for a patient under way") {
		t.Errorf("--help does not say that it gives no advice: %q", got)
	}
}

// Refused rows end a load with an exit code of their own only where that is asked for.
func TestStrict(t *testing.T) {
	p := smallPlace(t)
	p.good("load", "in")
	p.good("ledger")
	p.bad(exitRefused, "3 rows were refused", "ledger", "--strict")
	p.bad(exitRefused, "3 rows were refused", "load", "in", "--strict")
	p.good("load", "in/transports.csv", "--strict")
}

// What is refused is told in one line each: file, record, column, what was expected; and it can be exported, mended and
// loaded again.
func TestRefusedThenMended(t *testing.T) {
	p := smallPlace(t)
	told := p.run("load", "in").messages
	for _, line := range []string{
		`(?m)^transports-late\.csv: record 2, column transport_id: refused \(empty\); expected .+$`,
		`(?m)^readings-v1\.csv: record 3, column value: refused \(unknown_unit\); expected .+$`,
		`(?m)^readings-v1\.csv: record 4, column value: refused \(unreadable\); expected .+$`,
		`(?m)^.*to mend .*tripwake ledger --refused DIR`,
	} {
		if !regexp.MustCompile(line).MatchString(told) {
			t.Errorf("no line %s in\n%s", line, told)
		}
	}
	p.good("ledger", "--refused", "mend")
	files := p.files("mend")
	if len(files) != 2 {
		t.Fatalf("exported %v, want two files", slices.Sorted(maps.Keys(files)))
	}
	for name, text := range files {
		if strings.Contains(text, ",=1+1") {
			t.Errorf("%s: a spreadsheet would run a cell of it:\n%s", name, text)
		}
		p.write("mend/"+name, mend(t, text, map[string]string{"transport_id": "T2", "value": "98", "unit": "%"}))
	}
	for file, line := range p.ledgerOf("load", "mend", "--strict") {
		if line.Refused != 0 || line.Stored != line.Read || line.Read == 0 {
			t.Errorf("%s: mended rows were not stored: %+v", file, line)
		}
	}
	if got := measuresOf(p, "mobilization_time")[0]; got.N != 2 || *got.Value != 25 {
		t.Errorf("after mending: n %d, value %v; want 2 and 25, halfway from 20 to 30", got.N, *got.Value)
	}
}

// mend writes cells of every row of a CSV text anew, by column.
func mend(t *testing.T, text string, cells map[string]string) string {
	t.Helper()
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		for i, column := range rows[0] {
			if cell, ok := cells[column]; ok {
				row[i] = cell
			}
		}
	}
	var out strings.Builder
	if err := csv.NewWriter(&out).WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// Loading the same files again stores nothing and changes no answer; so does another order.
func TestLoadAgain(t *testing.T) {
	p := smallPlace(t)
	p.good("load", "in")
	before := p.good("measure", "--format", "json", "--by", "month")
	for file, line := range p.ledgerOf("load", "in") {
		if line.Stored != 0 || line.Read != line.Repeated+line.Refused {
			t.Errorf("%s: loaded again: %+v", file, line)
		}
	}
	if after := p.good("measure", "--format", "json", "--by", "month"); after != before {
		t.Error("loading the same files again changed answers")
	}
	p.good("load", "in/readings-v1.csv", "--store", "other.duckdb")
	p.good("load", "in/transports.csv", "--store", "other.duckdb")
	if after := p.good("measure", "--format", "json", "--by", "month", "--store", "other.duckdb"); after != before {
		t.Error("another order of files changed answers")
	}
	info, err := os.Stat(filepath.Join(p.dir, defaultStore))
	if err != nil {
		t.Fatal(err)
	}
	if info.Mode().Perm()&0o077 != 0 {
		t.Errorf("the store has mode %v: others than its owner can read it", info.Mode().Perm())
	}
}

// shown is what is looked at of a line of `measure --format json`.
type shown struct {
	Measure, Month, By, Group string
	N                         int
	Value                     *float64
	Low, High                 *float64
	LeftOut                   map[string]int `json:"left_out"`
	Warning                   string
}

func measuresOf(p *place, args ...string) []shown {
	p.t.Helper()
	return objects[shown](p.t, p.good(append([]string{"measure", "--format", "json"}, args...)...))
}

// A store without any record, and with headers only, has no answer and says so without a zero that could be taken for one.
func TestEmptyStore(t *testing.T) {
	p := newPlace(t)
	p.write("in/transports.csv", strings.SplitAfter(goodTransports, "\n")[0])
	if got := p.ledgerOf("load", "in")["transports.csv"]; got.Read != 0 || got.Stored != 0 {
		t.Errorf("a header alone: %+v", got)
	}
	for _, m := range measuresOf(p) {
		if m.N != 0 || m.Value != nil || m.Low != nil || m.High != nil {
			t.Errorf("%+v: an answer from nothing", m)
		}
	}
	if got := measuresOf(p, "--by", "month"); len(got) != 0 {
		t.Errorf("%d answers for months of an empty store", len(got))
	}
	p.bad(exitFailed, "no transport with a month", "report", "committee")
}

// One transport gives its own number, with no interval and a warning; a month between two transports is shown empty.
func TestOneTransportAndAnEmptyMonth(t *testing.T) {
	p := newPlace(t)
	p.write("in/transports.csv", goodTransports)
	p.good("load", "in")
	got := measuresOf(p, "mobilization_time")[0]
	if got.N != 1 || *got.Value != 20 || got.Low != nil || got.Warning == "" {
		t.Errorf("one transport: %+v, want 20 min without an interval and with a warning", got)
	}
	p.write("more/transports.csv", strings.NewReplacer("\nT1", "\nT2", "2026-01", "2026-03").Replace(goodTransports))
	p.good("load", "more")
	months := measuresOf(p, "mobilization_time", "declined", "--by", "month")
	if len(months) != 6 {
		t.Fatalf("%d answers, want two measures in three months", len(months))
	}
	for _, m := range months {
		if empty := m.Month == "2026-02"; empty != (m.Value == nil) || empty != (m.N == 0) {
			t.Errorf("%+v: want data in January and March and none in February", m)
		}
	}
	p.good("report", "committee", "--month", "2026-02", "--out", "empty month")
	p.good("report", "committee", "--month", "2026-01", "--out", "one transport")
}

// The three formats say the same.
func TestFormats(t *testing.T) {
	p := smallPlace(t)
	p.good("load", "in")
	for _, command := range [][]string{{"ledger"}, {"measure", "mobilization_time"}} {
		texts := map[string]string{}
		for _, format := range []string{"table", "csv", "json"} {
			texts[format] = p.good(append(command, "--format", format)...)
		}
		if texts["table"] != p.good(command...) {
			t.Errorf("%v: the table is not the default", command)
		}
		for format, text := range texts {
			word := map[string]string{"ledger": "transports-late.csv", "measure": "20"}[command[0]]
			if !strings.Contains(text, word) {
				t.Errorf("%v --format %s: no %s in\n%s", command, format, word, text)
			}
		}
	}
}

// needBundle fails where the program was built without the bundle that draws charts.
func needBundle(t *testing.T) {
	t.Helper()
	bundle := filepath.Join("..", "..", "reports", "charts", "runtime", "dist", "charts.js")
	if _, err := os.Stat(bundle); err != nil {
		t.Fatal("the chart bundle is missing: run `make charts`, then the tests again")
	}
}

// The report is one file that runs nothing and fetches nothing, and names transports by pseudonym unless asked.
func TestCommitteeReport(t *testing.T) {
	t.Parallel()
	needBundle(t)
	p := smallPlace(t)
	p.write("in/events.csv", "event_id,transport_id,kind,harm,narrative\nE1,T1,line_dislodgement,severe,Grandmother was aboard\n")
	p.good("load", "in")
	path := strings.TrimSpace(p.good("report", "committee", "--month", "2026-01", "--out", "out"))
	if path != filepath.Join("out", "committee-2026-01.html") {
		t.Errorf("wrote %q", path)
	}
	page := p.read(path)
	if strings.Count(page, "<svg") < 3 || !strings.Contains(page, "Content-Security-Policy") {
		t.Error("the report has no charts or no policy")
	}
	for _, bad := range []string{"<script", "src=\"http", "url(http", "<link", ">T1<", "Grandmother"} {
		if strings.Contains(page, bad) {
			t.Errorf("the report holds %q", bad)
		}
	}
	again := p.read(strings.TrimSpace(p.good("report", "committee", "--out", "again")))
	if again != page {
		t.Error("the same store and settings gave another report; January ought to be the last month")
	}
	if named := p.read(strings.TrimSpace(p.good("report", "committee", "--out", "named", "--name-transports"))); !strings.Contains(named, "T1") {
		t.Error("--name-transports does not name them")
	}
}

// The same seed and clock give the same bytes: exports and report.
func TestDemo(t *testing.T) {
	t.Parallel()
	needBundle(t)
	var first map[string]string
	for range 2 {
		p := newPlace(t, "SOURCE_DATE_EPOCH=1790000000")
		lines := strings.Split(strings.TrimSpace(p.good("demo", "--out", "demo")), "\n")
		if len(lines) < 3 || !strings.HasSuffix(lines[len(lines)-1], ".html") {
			t.Errorf("demo ends with %q, want the paths of what it wrote", lines)
		}
		if !slices.Contains(lines, filepath.Join("demo", "research.html")) {
			t.Errorf("demo names %q, no research report", lines)
		}
		for _, path := range lines {
			if _, err := os.Stat(filepath.Join(p.dir, path)); err != nil {
				t.Errorf("demo names %s: %v", path, err)
			}
		}
		files := p.files("demo")
		maps.DeleteFunc(files, func(name, _ string) bool { return strings.HasPrefix(name, defaultStore) })
		if len(files) < 14 {
			t.Errorf("demo wrote %d files beside the store, want an export of every table and a report", len(files))
		}
		if first == nil {
			first = files
			demoArgues(t, files["purchase.html"])
		}
		for _, name := range slices.Sorted(maps.Keys(files)) {
			if files[name] != first[name] {
				t.Errorf("%s differs between two demos", name)
			}
		}
	}
}

// demoArgues holds the demo's purchase report to its story: the records speak for a second ventilator where a base has one kit, and
// against a monitor more.
func demoArgues(t *testing.T, doc string) {
	t.Helper()
	said := map[string]string{}
	for _, block := range regexp.MustCompile(`(?s)<h3><a href="#candidate-[0-9]+">([^<]*)</a>.*?<span class="word">([^<]*)</span>`).FindAllStringSubmatch(doc, -1) {
		said[block[1]] = block[2]
	}
	for name, want := range map[string]string{"Second ventilator at Umberlock": "The records speak for it.", "Seventh monitor": "The records speak against it."} {
		if said[name] != want {
			t.Errorf("purchase report on %s: %q, want %q", name, said[name], want)
		}
	}
}

// Invented exports load whole but for the rows that are refused on purpose, by the layout beside them and, under canonical names,
// without one; the records are the same. A reading whose quantity or unit is odd is refused in a canonical log, and has no
// place in one with a column for each quantity.
func TestInventedRecordsLoad(t *testing.T) {
	p := newPlace(t, wholeZone)
	p.good("invent", "--out", "in", "--transports", "20", "--every", "5m", "--seed", "7")
	p.good("invent", "--out", "plain", "--transports", "20", "--every", "5m", "--seed", "7", "--canonical")
	shaped := storedByTable(t, p, "load", "in", "--layout", "in/layout.yaml", "--store", "a.duckdb")
	plain := storedByTable(t, p, "load", "plain", "--store", "b.duckdb")
	if shaped["transports"] < 20 || shaped["readings"] < plain["readings"] || shaped["readings"] > plain["readings"]*101/100 || plain["readings"] == 0 {
		t.Errorf("stored %v by layout, %v without", shaped, plain)
	}
	delete(shaped, "readings")
	delete(plain, "readings")
	if !maps.Equal(shaped, plain) || shaped["settings"] == 0 {
		t.Errorf("stored %v by layout, %v without", shaped, plain)
	}
}

// storedByTable loads and gives how many rows were stored in each table.
func storedByTable(t *testing.T, p *place, args ...string) map[string]int {
	t.Helper()
	stored := map[string]int{}
	for _, line := range objects[ledgerLine](t, p.good(append(args, "--format", "json")...)) {
		if line.Refused*5 > line.Read {
			t.Errorf("%s: %d of %d rows refused: %v", line.File, line.Refused, line.Read, line.Reasons)
		}
		stored[line.Table] += line.Stored
	}
	return stored
}
