package pipeline_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline"
	"tripwake/pipeline/layout"
	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

func parsed(t *testing.T, text string) layout.Layout {
	t.Helper()
	by, err := layout.Parse("layout.yaml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return by
}

// loadBy loads paths by a layout, holds the balance of load and ledger, and gives both.
func loadBy(t *testing.T, st *store.Store, by layout.Layout, paths ...string) (pipeline.Outcome, []store.Entry) {
	t.Helper()
	o := options()
	o.Layout = by
	out, err := pipeline.Load(t.Context(), st, paths, o)
	if err != nil {
		t.Fatal(err)
	}
	entries, err := st.Ledger(t.Context(), out.LoadID)
	if err != nil {
		t.Fatal(err)
	}
	balance(t, st, entries)
	return out, entries
}

// failsBy loads files by a layout and wants an error of one line that holds the words.
func failsBy(t *testing.T, text, want string, nameAndText ...string) {
	t.Helper()
	st := newStore(t)
	o := options()
	o.Layout = parsed(t, text)
	before := content(t, st)
	_, err := pipeline.Load(t.Context(), st, []string{folder(t, nameAndText...)}, o)
	if err == nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
		t.Errorf("%v\nwant one line with %s", err, want)
	}
	if content(t, st) != before {
		t.Error("the store changed")
	}
}

const trend = `sources:
  - files: "trend *.csv"
    table: readings
    time_format: "%m/%d/%Y %H:%M:%S"
    columns: {device_id: Unit, recorded_at: [Date, Time]}
    missing: "---"
    quantities: {spo2: "SpO2 %", expired_tidal_volume: {from: Vte, unit: L}, pip: "PIP (mbar)", fio2: FiO2}
`

// A row of a trend is a reading for each filled cell; a cell that cannot be kept refuses that reading alone, a time that cannot
// be read each of the row's readings. DESIGN.md 4 and 5: read = stored + repeated + refused, always.
func TestWideReadings(t *testing.T) {
	st := newStore(t)
	_, entries := loadBy(t, st, parsed(t, trend), folder(t, "trend 1.CSV", "Unit,Date,Time,SpO2 %,Vte,PIP (mbar),FiO2,Note\n"+
		"V1,03/31/2026,14:05:00,95,0.012,20,0.3,a\n"+
		"V1,03/31/2026,14:05:10,,---,  ,,b\n"+
		"V1,03/31/2026,25:05:20,95,0.012,,,c\n"+
		"V1,03/31/2026,14:05:30,101,x,-500,30,d\n"+
		"V1,03/31/2026,14:05:40,94\n"))
	wantCounts(t, entries, "trend 1.CSV 11=5+0+6 s0")
	want := "2|V1|2026-03-31 14:05:00|expired_tidal_volume|12\n2|V1|2026-03-31 14:05:00|fio2|30\n" +
		"2|V1|2026-03-31 14:05:00|pip|20.39432426\n2|V1|2026-03-31 14:05:00|spo2|95\n5|V1|2026-03-31 14:05:30|fio2|30"
	if got := rows(t, st, "select record_no, device_id, recorded_at, quantity, value from kept.readings order by all"); got != want {
		t.Errorf("kept\n%s\nwant\n%s", got, want)
	}
	want = "4|recorded_at|unreadable|[V1 03/31/2026 25:05:20  0.012   c]\n4|recorded_at|unreadable|[V1 03/31/2026 25:05:20 95    c]\n" +
		"5|expired_tidal_volume|unreadable|[V1 03/31/2026 14:05:30  x   d]\n5|pip|out_of_range|[V1 03/31/2026 14:05:30   -500  d]\n" +
		"5|spo2|out_of_range|[V1 03/31/2026 14:05:30 101    d]\n6|<nil>|field_count|[V1,03/31/2026,14:05:40,94]"
	if got := rows(t, st, "select record_no, column_name, reason, cells from ledger.refused_rows order by all"); got != want {
		t.Errorf("refused\n%s\nwant\n%s", got, want)
	}
}

// Refused readings go out with their layout, a row for each record, are mended and come in again; what was kept of the same rows
// is not offered a second time.
func TestRefusedReadingsAreMendedAndLoadedAgain(t *testing.T) {
	st := newStore(t)
	loadBy(t, st, parsed(t, trend), folder(t, "trend 1.csv", "Unit;Date;Time;SpO2 %;Vte;PIP (mbar);FiO2\n"+
		"V1;03/31/2026;14:05:00;95;0,012;x;y\nV1;03/31/2026;25:05:20;95;0,011;;\n", "alarms.csv", "started_at,condition\n2026-03-31 14:05,nothing\n"))
	dir := filepath.Join(t.TempDir(), "mend")
	paths, err := pipeline.WriteRefused(t.Context(), st, 0, dir)
	if err != nil || len(paths) != 3 {
		t.Fatalf("%v, %v", paths, err)
	}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		mended := strings.NewReplacer(";x;y", ";20;0,4", "25:05", "15:05", "nothing", "apnea").Replace(string(text))
		if err := os.WriteFile(path, []byte(mended), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	by, err := layout.Read(filepath.Join(dir, pipeline.RefusedLayout))
	if err != nil {
		t.Fatal(err)
	}
	_, entries := loadBy(t, st, by, dir)
	wantCounts(t, entries, "readings-refused-1.csv 4=4+0+0 s0; alarms-refused-2.csv 1=1+0+0 s0")
	want := "2026-03-31 14:05:00|expired_tidal_volume|12\n2026-03-31 14:05:00|fio2|40\n2026-03-31 14:05:00|pip|20.39432426\n" +
		"2026-03-31 14:05:00|spo2|95\n2026-03-31 15:05:20|expired_tidal_volume|11\n2026-03-31 15:05:20|spo2|95"
	if got := rows(t, st, "select recorded_at, quantity, value from kept.readings order by all"); got != want {
		t.Errorf("kept\n%s\nwant\n%s", got, want)
	}
}

// definitions.md, Rows: a row is repeated by what it says, not by how it was exported.
func TestLayoutAndCanonicalExportsAreOne(t *testing.T) {
	wide := folder(t, "trend 1.csv", "Unit,Date,Time,SpO2 %,Vte,PIP (mbar),FiO2\nV1,03/31/2026,14:05:00,95,0.012,,\nV1,03/31/2026,14:05:00,95,,,\n")
	long := folder(t, "readings.csv", "device_id,recorded_at,quantity,value,unit\nV1,2026-03-31 14:05,spo2,95,\nV1,2026-03-31 14:05,expired_tidal_volume,12,mL\nV1,2026-03-31 14:05,spo2,95,%\nV1,2026-03-31 14:05,spo2,95,\n")
	by := parsed(t, trend)
	for _, order := range [][]string{{wide, long, wide}, {long, wide, long}} {
		st := newStore(t)
		var got []string
		for _, path := range order {
			_, entries := loadBy(t, st, by, path)
			got = append(got, counts(entries))
		}
		want := []string{"trend 1.csv 3=3+0+0 s0", "readings.csv 4=1+3+0 s0", "trend 1.csv 3=0+3+0 s0"}
		if order[0] == long {
			want = []string{"readings.csv 4=4+0+0 s0", "trend 1.csv 3=0+3+0 s0", "readings.csv 4=0+4+0 s0"}
		}
		if strings.Join(got, "\n") != strings.Join(want, "\n") {
			t.Errorf("%q\nwant %q", got, want)
		}
	}
}

// Codes, constants, joined and shifted times, empty words, filters and zones, as a source says.
func TestWhatALayoutSays(t *testing.T) {
	st := newStore(t)
	out, entries := loadBy(t, st, parsed(t, `sources:
  - files: "log*"
    table: alarms
    time_zone: America/Chicago
    time_format: "%d.%m.%y %H:%M"
    clock_offset: -5m
    missing: [n/a]
    where: {column: kind, is_not: [Info, ""]}
    columns:
      started_at: [Day, Hour]
      ended_at: {from: End, format: epoch}
      condition: {from: "What  happened", codes: {Sat low: spo2_low, LEAK: leak, leak: technical, gone: ~}}
      priority: Prio
      observed: {from: Value (kPa), unit: "%"}
    constants: {device_id: M1, alarm_limit: 88}
`), folder(t, "log.dat", "Kind\tDay\tHour\tEnd\twhat happened\tPRIO\tvalue (kPa)\n"+
		"A\t31.03.26\t14:05\t1774983905\t sat LOW \tHIGH\t85\n"+
		"a\t31.03.26\t14:06\tn/a\tLEAK\tN/A\t\n"+
		"a\t31.03.26\t14:07\t\tleak\t\t\n"+
		"a\t31.03.26\t14:08\t\tLeak\tmiddle\tN/A\n"+
		"a\t31.03.26\t14:09\t\tgone\t\t\n"+
		"a\t31.03.26\t14:10\t\tvanished\t\t\n"+
		"a\t\t14:10\t\tapnea\t\t\n"+
		"INFO\t\t\t\t\t\t\n\t\t\t\t\t\t\n"))
	wantCounts(t, entries, "log.dat 7=4+0+3 s0")
	want := "2026-03-31 19:00:00|2026-03-31 19:00:05|spo2_low|high|88|85|M1\n2026-03-31 19:01:00|<nil>|leak|<nil>|88|<nil>|M1\n" +
		"2026-03-31 19:02:00|<nil>|technical|<nil>|88|<nil>|M1\n2026-03-31 19:03:00|<nil>|leak|<nil>|88|<nil>|M1"
	if got := rows(t, st, "select started_at, ended_at, condition, priority, alarm_limit, observed, device_id from kept.alarms order by record_no"); got != want {
		t.Errorf("kept\n%s\nwant\n%s", got, want)
	}
	want = "6|condition|empty|a text that the layout has a code for, such as \n7|condition|unknown_code|a text that the layout has a code for, such as \n" +
		"8|started_at|unreadable|a time written %d.%m.%y %H:%M, as the layout sa"
	if got := rows(t, st, "select record_no, column_name, reason, left(expected, 47) from ledger.refused_rows order by all"); got != want {
		t.Errorf("refused\n%s\nwant\n%s", got, want)
	}
	if got := rows(t, st, "select record_no, column_name, reason, cell from ledger.refused_cells"); got != "5|priority|unknown_code|middle" {
		t.Errorf("cells %s", got)
	}
	if text := strings.Join(out.Remarks, "\n"); !strings.Contains(text, "log.dat: 2 records were left out, as layout.yaml line 8 asks") {
		t.Errorf("remarks %s", text)
	}
}

const dispatch = "sources:\n  - files: Dispatch*.csv\n    table: transports\n    columns:\n      transport_id: Run No\n      weight: Weight\n"

// A header that is not as the layout says is an error that names file, line and the nearest header; nothing is stored.
func TestHeadersThatDoNotFit(t *testing.T) {
	failsBy(t, dispatch, `Dispatch 1.csv: record 1: has no column "Weight", which layout.yaml line 6 reads; nearest is "Wieght"`, "Dispatch 1.csv", "Run No,Wieght\nT1,3000\n")
	failsBy(t, dispatch, `has no column "Weight", which layout.yaml line 6 reads; the header has ["Run No" "a" "b"]`, "Dispatch 1.csv", "Run No,a,b\nT1,3000,1\n")
	failsBy(t, dispatch, `Dispatch 1.csv: record 1: names none of the columns that layout.yaml line 2 reads; expected ["Run No" "Weight"]`, "Dispatch 1.csv", "a,b\nT1,3000\n")
	failsBy(t, dispatch, `record 1: "Weight" stands twice in the header, and layout.yaml line 6 reads it`, "Dispatch 1.csv", "Run No,Weight,Weight\nT1,3000,1\n")
	failsBy(t, strings.ReplaceAll(dispatch, "weight: Weight", "weight: Weight (kg/m)"), `layout.yaml line 6, weight: the header "Weight (kg/m)" names the unit "kg/m", which does not convert to g`, "Dispatch 1.csv", "Run No,Weight (kg/m)\nT1,3\n")
	failsBy(t, strings.ReplaceAll(dispatch, "weight: Weight", "weight: Weight (L)"), `names the unit "L", which does not convert to g; give the unit of the cells`, "Dispatch 1.csv", "Run No,Weight (L)\nT1,3\n")
	failsBy(t, dispatch, `no export found; expected files named like ["Dispatch*.csv"], as layout.yaml says, or CSV files whose names begin with a table's name`, "other.csv", "a,b\n1,2\n")
}

// Headers are told apart by case only where they must; a header's own unit holds where the layout names none, and a word in
// brackets is no unit.
func TestHeadersThatFit(t *testing.T) {
	for header, weight := range map[string]string{"run no, WEIGHT ": "3", "Run  No,weight,Weight": "3", "Run No,Weight": "3"} {
		by := strings.ReplaceAll(dispatch, "weight: Weight", "weight: {from: Weight, unit: kg}")
		st := newStore(t)
		row := "T1,3\n"
		if strings.Count(header, ",") == 2 {
			row = "T1,4," + weight + "\n"
		}
		loadBy(t, st, parsed(t, by), folder(t, "Dispatch 1.csv", header+"\n"+row))
		if got := one(t, st, "select weight from kept.transports"); got != "3000" {
			t.Errorf("%q: %s", header, got)
		}
	}
	for header, want := range map[string]string{"Weight (lb)": "1360.77711", "Weight [kg]": "3000", "Weight (actual)": "3"} {
		st := newStore(t)
		loadBy(t, st, parsed(t, strings.ReplaceAll(dispatch, "weight: Weight", "weight: "+header)), folder(t, "Dispatch 1.csv", "Run No,"+header+"\nT1,3\n"))
		got := one(t, st, "select coalesce(weight::varchar, (select cell from ledger.refused_cells)) from kept.transports")
		if got != want && got != want+".0" {
			t.Errorf("%q: %s, want %s", header, got, want)
		}
	}
}

// One file may feed several sources; files that none names are read as canonical or passed over with a word; a source without
// files is named too.
func TestWhichFilesALayoutReads(t *testing.T) {
	st := newStore(t)
	by := parsed(t, dispatch+`  - files: "sub/Dispatch*.csv"
    table: assessments
    columns: {transport_id: Run No, temperature: Temp}
    constants: {stage: receiving_arrival}
  - files: never.csv
    table: carried
    columns: {transport_id: a, device_id: b}
`)
	o := options()
	o.Layout = by
	var said []string
	o.Say = func(line string) { said = append(said, line) }
	out, err := pipeline.Load(t.Context(), st, []string{folder(t, "sub/Dispatch 1.CSV", "Run No,Weight,Temp,Crew\nT1,3000,36.5,x\n", "Dispatch 2.csv", "Run No,Weight\nT2,2000\n",
		"carried.csv", "transport_id,device_id\nT1,M1\n", "notes.txt", "nothing\n", "photo.csv", "a,b\n", "layout.yaml", "x")}, o)
	if err != nil {
		t.Fatal(err)
	}
	entries, err := st.Ledger(t.Context(), out.LoadID)
	if err != nil {
		t.Fatal(err)
	}
	wantCounts(t, entries, "Dispatch 2.csv 1=1+0+0 s0; sub/Dispatch 1.CSV 1=1+0+0 s0; sub/Dispatch 1.CSV 1=1+0+0 s0; carried.csv 1=1+0+0 s0")
	remarks := strings.Join(out.Remarks, "\n")
	for _, want := range []string{`photo.csv: not read, since no source of layout.yaml names it`, `layout.yaml line 11: no file is named like "never.csv"`,
		`sub/Dispatch 1.CSV: columns ["Crew"] are named by no source of layout.yaml`} {
		if !strings.Contains(remarks, want) {
			t.Errorf("remarks\n%s\nwant %s", remarks, want)
		}
	}
	if strings.Contains(remarks, "layout.yaml: not read") {
		t.Errorf("the layout itself is remarked on: %s", remarks)
	}
	want := `layout.yaml line 2: Dispatch 2.csv and 1 more -> transports
  transports.transport_id <- "Run No"
  transports.weight <- "Weight", in g
layout.yaml line 7: sub/Dispatch 1.CSV -> assessments
  assessments.transport_id <- "Run No"
  assessments.temperature <- "Temp", in Cel
  assessments.stage <- always receiving_arrival`
	if got := strings.Join(said, "\n"); got != want {
		t.Errorf("said\n%s\nwant\n%s", got, want)
	}
	if got, err := st.Layouts(t.Context()); err != nil || len(got) != 1 || got[0] != (store.LayoutRef{Name: "layout.yaml", SHA256: by.SHA256}) {
		t.Errorf("the ledger has layouts %v, %v, want %s", got, err, by.SHA256)
	}
}

// The case testdata/layouts-a holds the records of mixed-exports-a under other headers, units, codes, clocks and shapes: what is
// kept is the same, record for record.
func TestSameRecordsByLayout(t *testing.T) {
	data := filepath.Join("..", "testdata")
	by, err := layout.Read(filepath.Join(data, "layouts-a", "layout.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	zoned := options()
	zoned.Zone = chicagoZone(t)
	plain, shaped := newStore(t), newStore(t)
	if _, err := pipeline.Load(t.Context(), plain, []string{filepath.Join(data, "mixed-exports-a", "in")}, zoned); err != nil {
		t.Fatal(err)
	}
	zoned.Layout = by
	if _, err := pipeline.Load(t.Context(), shaped, []string{filepath.Join(data, "layouts-a", "in")}, zoned); err != nil {
		t.Fatal(err)
	}
	for _, table := range records.Tables() {
		question := recordsOf(table)
		if got, want := rows(t, shaped, question), rows(t, plain, question); got != want || want == "" {
			t.Errorf("%s by layout\n%s\ncanonical\n%s", table.Name, got, want)
		}
	}
}

// recordsOf selects what counts of a table, rounded to what units in floating point can carry.
func recordsOf(table records.Table) string {
	var columns []string
	for _, c := range table.Columns {
		name := store.Quote(c.Name)
		if c.Kind == records.Number {
			name = fmt.Sprintf("round(%s, 6) as %s", name, name)
		}
		columns = append(columns, name)
	}
	if table.Log {
		columns = append(columns, "trip")
	}
	where := ""
	if table.Identifier != "" {
		where = " where not superseded"
	}
	return fmt.Sprintf("select %s from kept.%s%s order by all", strings.Join(columns, ", "), table.Name, where)
}

func chicagoZone(t *testing.T) *time.Location {
	t.Helper()
	zone, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	return zone
}
