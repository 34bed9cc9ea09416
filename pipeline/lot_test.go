package pipeline_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf8"

	"tripwake/pipeline"
	"tripwake/pipeline/invent"
	"tripwake/pipeline/store"
)

const (
	tripHead  = "transport_id,ventilator_id,accepted_at,available_at\n"
	alarmHead = "device_id,started_at,condition,alarm_limit,unit\n"
	tankHead  = "transport_id,gas,opened_at,start_pressure[bar]\n"
	eventHead = "event_id,transport_id,kind\n"
	decimals  = "transport_id;gas;opened_at;start_pressure[bar]\n"
	slips     = `sources:
  - files: "slip*"
    table: transports
    time_format: "%m/%d/%Y %H:%M"
    where: {column: Kind, is_not: [drill]}
    columns:
      transport_id: Run
      accepted_at: [Date, Dispatched]
      available_at: {from: [Date, Ready], next_day: 12h}
`
	slipHead = "Run,Kind,Date,Dispatched,Ready\n"
)

// Files that are loaded together must leave in the store what they leave one after the other, byte by byte, refused rows and what is
// repeated among it; so must a second load of the same files.
func TestFilesTogetherGiveTheSameRows(t *testing.T) {
	const a, b = "A,V1,2026-03-07 20:00,2026-03-08 12:00\n", "B,V2,2026-11-01 00:10,2026-11-01 06:00\n"
	const high, low = "V1,2026-03-07 21:00,mean_airway_pressure_high,30,cmH2O\n", "V2,2026-11-01 01:30,mean_airway_pressure_low,4,cmH2O\n"
	const full, half = "A,oxygen,2026-03-07 20:00,150\n", "B,oxygen,2026-11-01 00:10,75\n"
	for name, c := range map[string]struct {
		layout string
		files  []string
		sizes  []int // of lots
	}{
		"months":                              {"", []string{"transports 1.csv", tripHead + a, "transports 2.csv", tripHead + b}, []int{2}},
		"one file":                            {"", []string{"transports 1.csv", tripHead + a + b}, nil},
		"a correction":                        {"", []string{"transports 1.csv", tripHead + a, "transports 2.csv", tripHead + b + strings.Replace(a, "12:00", "13:00", 1), "transports 3.csv", tripHead + a}, []int{3}},
		"the same file again":                 {"", []string{"transports 1.csv", tripHead + a + a, "transports 2.csv", tripHead + a + b + a}, []int{2}},
		"a row without its identifier":        {"", []string{"transports 1.csv", tripHead + a, "transports 2.csv", tripHead + ",V1,,\n" + b + ",,,\n", "transports 3.csv", tripHead + ",,,\n"}, []int{3}},
		"cells that cannot be read":           {"", []string{"transports 1.csv", tripHead + a, "transports 2.csv", tripHead + "C,V1,soon,2026-02-30\n" + b, "transports 3.csv", tripHead + "D,V1,later,\n"}, []int{3}},
		"a ragged record":                     {"", []string{"transports 1.csv", tripHead + a, "transports 2.csv", tripHead + b, "transports 3.csv", tripHead + "C,V1\nD,,,\n", "transports 4.csv", tripHead + "E,,,\n", "transports 5.csv", tripHead + "F,,,\n"}, []int{2, 2}},
		"a ragged record first":               {"", []string{"transports 1.csv", tripHead + "C,V1\n" + a, "transports 2.csv", tripHead + b, "transports 3.csv", tripHead + "D,,,\n"}, []int{2}},
		"a blank line":                        {"", []string{"transports 1.csv", tripHead + a, "transports 2.csv", tripHead + "\n" + b, "transports 3.csv", tripHead + "D,,,\n"}, nil},
		"a broken quote":                      {"", []string{"transports 1.csv", tripHead + a, "transports 2.csv", tripHead + b + "\"C\"x,,,\n", "transports 3.csv", tripHead + "D,,,\n", "transports 4.csv", tripHead + "E,,,\n"}, []int{2}},
		"empty files":                         {"", []string{"transports 1.csv", tripHead, "transports 2.csv", tripHead + a, "transports 3.csv", tripHead, "transports 4.csv", tripHead + b, "transports 5.csv", tripHead}, []int{5}},
		"empty files alone":                   {"", []string{"transports 1.csv", tripHead, "transports 2.csv", tripHead}, []int{2}},
		"another header":                      {"", []string{"transports 1.csv", tripHead + a, "transports 2.csv", "transport_id,accepted_at\nC,2026-05-01 10:00\n", "transports 3.csv", tripHead + b}, nil},
		"ends of lines":                       {"", []string{"transports 1.csv", tripHead + a, "transports 2.csv", strings.ReplaceAll(tripHead+b, "\n", "\r\n"), "transports 3.csv", strings.TrimSpace(tripHead + "D,,,\n")}, []int{3}},
		"years apart":                         {"", []string{"transports 1.csv", tripHead + a, "transports 2.csv", tripHead + "C,V1,1987-03-29 02:30,1987-04-05 02:30\n", "transports 3.csv", tripHead + "D,V1,0003-01-01,2444-01-01\n"}, []int{3}},
		"the hours that clocks change":        {"", []string{"transports 1.csv", tripHead + "C,V1,2026-03-08 02:30,2026-03-08 03:30\n", "transports 2.csv", tripHead + "D,V2,2026-11-01 01:30,2026-11-01 01:10\n"}, []int{2}},
		"logs":                                {"", []string{"alarms 1.csv", alarmHead + high + high, "alarms 2.csv", alarmHead + low, "transports 1.csv", tripHead + a, "transports 2.csv", tripHead + b}, []int{2, 2}},
		"logs that share rows":                {"", []string{"alarms 1.csv", alarmHead + high, "alarms 2.csv", alarmHead + high + high + low, "alarms 3.csv", alarmHead + low + low + high}, []int{3}},
		"logs that meet":                      {"", []string{"alarms 1.csv", alarmHead + high + strings.Replace(high, "21:00", "23:00", 1), "alarms 2.csv", alarmHead + strings.Replace(high, "21:00", "22:00", 1)}, []int{2}},
		"logs without a device":               {"", []string{"alarms 1.csv", alarmHead + ",2026-03-07 21:00,mean_airway_pressure_high,30,cmH2O\n", "alarms 2.csv", alarmHead + ",2026-03-07 21:00,mean_airway_pressure_high,30,mbar\n,,mean_airway_pressure_high,,\n"}, []int{2}},
		"units by row":                        {"", []string{"alarms 1.csv", alarmHead + high, "alarms 2.csv", alarmHead + strings.Replace(low, "cmH2O", "hPa", 1), "alarms 3.csv", alarmHead + strings.Replace(high, "cmH2O", "furlong", 1) + strings.Replace(low, "cmH2O", "kPa", 1)}, []int{3}},
		"units after numbers":                 {"", []string{"alarms 1.csv", alarmHead + high, "alarms 2.csv", alarmHead + strings.Replace(low, ",4,", ",4 cmH2O,", 1), "alarms 3.csv", alarmHead + strings.Replace(low, "01:30", "04:30", 1)}, nil},
		"records without identifiers":         {"", []string{"cylinders 1.csv", tankHead + full + full, "cylinders 2.csv", tankHead + half}, []int{2}},
		"records that are shared":             {"", []string{"cylinders 1.csv", tankHead + full + full, "cylinders 2.csv", tankHead + half + full, "cylinders 3.csv", tankHead + full + full + full}, []int{3}},
		"records whose identifiers are empty": {"", []string{"events 1.csv", eventHead + "E1,A,other\n,A,other\n,A,other\n", "events 2.csv", eventHead + ",A,other\n,B,other\nE1,A,other\n", "events 3.csv", eventHead + "E2,A,other\nE1,A,unplanned_extubation\n,B,other\n,B,other\n"}, []int{3}},
		"identifiers that are filled":         {"", []string{"events 1.csv", eventHead + "E1,A,other\nE1,A,other\n", "events 2.csv", eventHead + "E1,A,other\n", "events 3.csv", eventHead + ",A,other\n,A,other\n"}, []int{3}},
		"decimal commas":                      {"", []string{"cylinders 1.csv", decimals + "A;oxygen;;150,5\n", "cylinders 2.csv", decimals + "B;oxygen;;75,25\nC;air;;1.075,25\n", "cylinders 3.csv", decimals + "D;oxygen;;12,5\n"}, nil},
		"decimal commas in each":              {"", []string{"cylinders 1.csv", decimals + "A;oxygen;;150,5\n", "cylinders 2.csv", decimals + "B;oxygen;;75,25\n", "cylinders 3.csv", decimals + "D;oxygen;;12,5\n"}, []int{3}},
		"decimal commas in some":              {"", []string{"cylinders 1.csv", decimals + "A;oxygen;;150,5\n", "cylinders 2.csv", decimals + "B;oxygen;;75,25\n", "cylinders 3.csv", decimals + "C;oxygen;;12.5\n", "cylinders 4.csv", decimals + "D;oxygen;;99\n"}, []int{2}},
		"commas and points in one":            {"", []string{"cylinders 1.csv", decimals + "A;oxygen;;150,5\n", "cylinders 2.csv", decimals + "B;oxygen;;75,25\nC;oxygen;;75.25\n"}, nil},
		"marks of thousands":                  {"", []string{"cylinders 1.csv", strings.ReplaceAll(decimals, "bar", "kPa") + "A;oxygen;;15,000\n", "cylinders 2.csv", strings.ReplaceAll(decimals, "bar", "kPa") + "B;oxygen;;12,345.5\n"}, nil},
		"a layout":                            {slips, []string{"slip 1.csv", slipHead + "A,run,03/07/2026,23:00,01:00\nX,drill,03/07/2026,23:00,01:00\n", "slip 2.csv", slipHead + "X,drill,,,\n", "slip 3.csv", slipHead + "B,run,03/08/2026,23:30,00:10\nC,run,03/09/2026,22:00,23:00\nX,Drill,,,\n"}, []int{3}},
	} {
		t.Run(name, func(t *testing.T) {
			o := options()
			o.Zone = chicagoZone(t)
			if c.layout != "" {
				o.Layout = parsed(t, c.layout)
			}
			dir := folder(t, c.files...)
			if sizes, err := pipeline.Together(t.Context(), newStore(t), []string{dir}, o); err != nil || !slices.Equal(sizes, c.sizes) {
				t.Errorf("lots of %d files, %v, expected %d", sizes, err, c.sizes)
			}
			compareLots(t, dir, o)
		})
	}
}

// However many small files there are, statements stay short.
func TestManyFilesTogether(t *testing.T) {
	var files []string
	for i := range 600 {
		files = append(files, fmt.Sprintf("transports %d.csv", i), tripHead+fmt.Sprintf("T%d,,,\n", i))
	}
	dir := folder(t, files...)
	if sizes, err := pipeline.Together(t.Context(), newStore(t), []string{dir}, options()); err != nil || !slices.Equal(sizes, []int{256, 256, 88}) {
		t.Errorf("lots of %d files, %v", sizes, err)
	}
	st := newStore(t)
	loadPaths(t, st, dir)
	if n := one(t, st, "select count(*) from kept.transports join ledger.files f using (file_id) where f.path = 'transports ' || substr(transport_id, 2) || '.csv' and record_no = 2 and f.stored = 1"); n != "600" {
		t.Errorf("%s rows stand as record 2 of their own file", n)
	}
}

// compareLots loads a folder twice with its files together and one by one, and compares what was said and what is stored each time.
func compareLots(t *testing.T, dir string, o pipeline.Options) {
	t.Helper()
	together, apart := newStore(t), newStore(t)
	for i := range 2 {
		o.Now = time.Unix(int64(i), 0)
		said := loadSays(t, together, dir, o)
		back := pipeline.SetMostTogether(0)
		want := loadSays(t, apart, dir, o)
		back()
		if said != want {
			t.Errorf("load %d: together it said\n%s\none by one\n%s", i+1, said, want)
		}
		if got, want := contentAndRepeats(t, together), contentAndRepeats(t, apart); got != want {
			t.Errorf("load %d: together\n%.3000s\none by one\n%.3000s", i+1, got, want)
		}
	}
}

// loadSays loads a folder and gives all that it says: its outcome and its entries in the ledger, or its error.
func loadSays(t *testing.T, st *store.Store, dir string, o pipeline.Options) string {
	t.Helper()
	out, err := pipeline.Load(t.Context(), st, []string{dir}, o)
	if err != nil {
		return strings.ReplaceAll(err.Error(), st.Path(), "")
	}
	entries, err := st.Ledger(t.Context(), out.LoadID)
	if err != nil {
		t.Fatal(err)
	}
	balance(t, st, entries)
	return fmt.Sprintf("%+v\n%+v", out, entries)
}

// The exports of an invented team cut into pieces, of which some overlap and some cells are spoilt, with a layout or without.
func TestRandomPiecesTogetherGiveTheSameRows(t *testing.T) {
	random := rand.New(rand.NewPCG(41, 42))
	for round := range 5 {
		whole := t.TempDir()
		if _, err := invent.Write(t.Context(), whole, invent.Options{Transports: 6, Months: 2, Every: 10 * time.Minute, Seed: uint64(round + 1), TimeZone: "America/Chicago", First: "2026-02"}); err != nil {
			t.Fatal(err)
		}
		dir, pieces := t.TempDir(), 0
		paths, err := filepath.Glob(filepath.Join(whole, "*"))
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			pieces += cutUp(t, random, path, dir)
		}
		if pieces < 20 {
			t.Fatalf("round %d: %d pieces of %d files", round, pieces, len(paths))
		}
		o := options()
		o.Zone = chicagoZone(t)
		compareLots(t, dir, o)
	}
}

// cutUp writes an export as several, where every line of it is a record in plain text, and says how many.
func cutUp(t *testing.T, random *rand.Rand, path, dir string) int {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	write := func(name string, text []byte) {
		if err := os.WriteFile(filepath.Join(dir, name), text, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	name := strings.TrimSuffix(filepath.Base(path), ".csv")
	if name == filepath.Base(path) || !utf8.Valid(text) || bytes.ContainsRune(text, 0) || bytes.ContainsRune(text, '"') {
		write(filepath.Base(path), text)
		return 1
	}
	lines := strings.SplitAfter(string(text), "\n")
	head, rows := lines[0], lines[1:]
	n := 2 + random.IntN(4)
	for i := range n {
		first, last := i*len(rows)/n, (i+1)*len(rows)/n
		piece := slices.Clone(rows[max(0, first-random.IntN(3)*random.IntN(4)):last])
		for range random.IntN(3) * random.IntN(2) {
			if len(piece) > 0 {
				at := random.IntN(len(piece))
				piece[at] = spoilt(random, piece[at])
			}
		}
		write(fmt.Sprintf("%s-%d.csv", name, i), []byte(head+strings.Join(piece, "")))
	}
	return n
}

// spoilt is a line with some letters of it replaced.
func spoilt(random *rand.Rand, line string) string {
	marks := []string{"x", "", "9", ",", ";", "-", " ", "\"", "."}
	at := random.IntN(max(1, len(line)-1))
	return line[:at] + marks[random.IntN(len(marks))] + line[min(len(line), at+1):]
}
