package pipeline_test

import (
	"testing"
	"time"

	"tripwake/pipeline"
	"tripwake/pipeline/store"
)

// A record with a column for each quantity holds several readings: one of them may be stored already and the others not.

const short = `sources:
  - files: "trend *.csv"
    table: readings
    columns: {device_id: Unit, recorded_at: [Date, Time]}
    quantities: {spo2: "SpO2 %", expired_tidal_volume: Vte}
  - files: "vitals *.csv"
    table: readings
    columns: {device_id: Unit, recorded_at: [Date, Time]}
    quantities: {spo2: "SpO2 %", expired_tidal_volume: Vte, heart_rate: HR}
`

const (
	fewReadings = "Unit,Date,Time,SpO2 %,Vte\nV1,2026-01-05,10:00,95,5\nV1,2026-01-05,10:01,94,6\nV1,2026-01-05,10:01,94,6\n"
	allReadings = "Unit,Date,Time,SpO2 %,Vte,HR\nV1,2026-01-05,10:00,95,5,140\nV1,2026-01-05,10:01,94,7,141\n"
)

// DESIGN.md 5: nothing is lost. A fuller export of moments that are stored already adds what is new of each record.
func TestAFullerExportOfTheSameRecords(t *testing.T) {
	st := newStore(t)
	loadBy(t, st, parsed(t, short), folder(t, "trend 1.csv", fewReadings))
	_, entries := loadBy(t, st, parsed(t, short), folder(t, "vitals 1.csv", allReadings))
	wantCounts(t, entries, "vitals 1.csv 6=3+3+0 s0")
	want := "expired_tidal_volume|7\nheart_rate|140\nheart_rate|141"
	if got := rows(t, st, "select quantity, value from kept.readings where file_id = 2 order by all"); got != want {
		t.Errorf("stored of the fuller export\n%s\nwant\n%s", got, want)
	}
}

// A load of such records that is undone hands on the readings that later loads repeat, each once.
func TestUndoHandsOnEachReadingOfARecord(t *testing.T) {
	o := options()
	o.Layout = parsed(t, short)
	st, never := newStore(t), newStore(t)
	for i, files := range [][]string{{"trend 1.csv", fewReadings}, {"vitals 1.csv", allReadings}, {"trend 1.csv", fewReadings}} {
		dir := folder(t, files...)
		o.Now = time.Unix(int64(i), 0)
		for _, into := range []*store.Store{st, never} {
			if into == never && i == 0 {
				continue
			}
			if _, err := pipeline.Load(t.Context(), into, []string{dir}, o); err != nil {
				t.Fatal(err)
			}
		}
	}
	undone, err := pipeline.Undo(t.Context(), st, 1, o)
	if err != nil || undone.Stored != 6 || undone.Kept != 6 {
		t.Errorf("%+v, %v: want 6 readings stored, which all stay", undone, err)
	}
	same(t, 0, st, never)
}

// definitions.md, Rows, and README, Forgetting: the ledger counts each reading of a forgotten transport as refused, with its
// reason, whether it was stored, repeated or comes again.
func TestForgottenReadingsAreCountedOneByOne(t *testing.T) {
	st := newStore(t)
	o := options()
	o.Layout, o.Key = parsed(t, short), func() ([]byte, error) { return []byte("key"), nil }
	dir := folder(t, "trend 1.csv", fewReadings,
		"transports.csv", "transport_id,ventilator_id,accepted_at,available_at\nRUN-77,V1,2026-01-05 09:00,2026-01-05 11:00\n")
	counted := func(want string) {
		t.Helper()
		got := rows(t, st, `select f.load_id, table_name, rows_read, stored, repeated, refused, (select count(*) from ledger.refused_rows r
			where r.file_id = f.file_id and reason = 'forgotten') from ledger.files f order by all`)
		if got != want {
			t.Errorf("load, table, read, stored, repeated, refused, forgotten\n%s\nwant\n%s", got, want)
		}
	}
	for range 2 {
		if _, err := pipeline.Load(t.Context(), st, []string{dir}, o); err != nil {
			t.Fatal(err)
		}
	}
	counted("1|readings|6|6|0|0|0\n1|transports|1|1|0|0|0\n2|readings|6|0|6|0|0\n2|transports|1|0|1|0|0")
	if _, err := pipeline.Forget(t.Context(), st, pipeline.Forgetting{Transport: "RUN-77", Key: []byte("key"), Now: time.Unix(1, 0)}); err != nil {
		t.Fatal(err)
	}
	forgotten := "1|readings|6|0|0|6|6\n1|transports|1|0|0|1|1\n2|readings|6|0|0|6|6\n2|transports|1|0|0|1|1"
	counted(forgotten)
	if _, err := pipeline.Load(t.Context(), st, []string{dir}, o); err != nil {
		t.Fatal(err)
	}
	counted(forgotten + "\n3|readings|6|0|0|6|6\n3|transports|1|0|0|1|1")
	if got := one(t, st, "select count(*) from ledger.repeats"); got != "0" {
		t.Errorf("%s repeated rows of what was forgotten", got)
	}
}
