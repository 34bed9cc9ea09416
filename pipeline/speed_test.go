package pipeline_test

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"tripwake/pipeline"
	"tripwake/pipeline/invent"
	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

const benchmarkRows = 5_000_000

// BenchmarkLoadReadings sets the load of five million reading rows beside the bare engine, which reads and casts the same
// file into a table in the same run. The metric ×bare is the ratio of the two; it should stay below 3.
//
//	go test ./pipeline -run '^$' -bench LoadReadings -benchtime 3x
func BenchmarkLoadReadings(b *testing.B) {
	file := inventReadings(b)
	transports := inventTransports(b, file)
	var bare, load time.Duration
	for b.Loop() {
		bare += timeBare(b, file)
		load += timeLoad(b, file, transports)
	}
	b.ReportMetric(float64(load)/float64(bare), "×bare")
	b.ReportMetric(0, "ns/op") // seconds differ from machine to machine: the ratio is what counts
}

func inventReadings(b *testing.B) string {
	file := filepath.Join(b.TempDir(), "readings.csv")
	f, err := os.Create(file)
	if err != nil {
		b.Fatal(err)
	}
	if err := invent.WriteReadings(f, benchmarkRows, 1); err != nil {
		b.Fatal(err)
	}
	if err := f.Close(); err != nil {
		b.Fatal(err)
	}
	return file
}

// inventTransports writes the transports that the invented readings belong to: five ventilators side by side, a trip of
// three hours every six hours each. Half of the readings do not name theirs and must be linked.
func inventTransports(b *testing.B, beside string) string {
	text := "transport_id,ventilator_id,accepted_at,available_at\n"
	start := time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)
	for trip := range benchmarkRows / 6 / 1080 {
		from := start.Add(time.Duration(trip/5) * 6 * time.Hour)
		text += fmt.Sprintf("T%06d,V%d,%s,%s\n", trip+1, trip%5+1, from.Format(time.DateTime), from.Add(3*time.Hour).Format(time.DateTime))
	}
	file := filepath.Join(filepath.Dir(beside), "transports.csv")
	if err := os.WriteFile(file, []byte(text), 0o600); err != nil {
		b.Fatal(err)
	}
	return file
}

func timeBare(b *testing.B, file string) time.Duration {
	st := openStore(b)
	columns := ""
	readings, _ := records.Find("readings")
	for _, c := range readings.Columns {
		columns += fmt.Sprintf("'%s': '%s', ", c.Name, store.TypeOf(c.Kind))
	}
	start := time.Now()
	if _, err := st.Engine(b.Context()).Exec(fmt.Sprintf("create table bare as select * from read_csv('%s', auto_detect = false, header = true, delim = ',', columns = {%s})", file, columns)); err != nil {
		b.Fatal(err)
	}
	return time.Since(start)
}

func timeLoad(b *testing.B, files ...string) time.Duration {
	st := openStore(b)
	start := time.Now()
	if _, err := pipeline.Load(b.Context(), st, files, pipeline.Options{Zone: chicago(b), Now: start, Program: "benchmark"}); err != nil {
		b.Fatal(err)
	}
	took := time.Since(start)
	entries, err := st.Ledger(b.Context(), 0)
	if err != nil || len(entries) != 2 || entries[1].Read != benchmarkRows {
		b.Fatalf("ledger %+v, %v: expected %d rows read", entries, err, benchmarkRows)
	}
	var linked int64
	if err := st.Engine(b.Context()).Ask("select count(trip) from kept.readings", &linked); err != nil || linked < benchmarkRows*9/10 {
		b.Fatalf("%d rows linked, %v: expected nearly all of %d", linked, err, benchmarkRows)
	}
	return took
}

func openStore(b *testing.B) *store.Store {
	st, err := store.Open(b.Context(), filepath.Join(b.TempDir(), "speed.duckdb"), store.Options{Memory: "1500MB"})
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { st.Close() })
	return st
}

func chicago(b *testing.B) *time.Location {
	zone, err := time.LoadLocation("America/Chicago")
	if err != nil {
		b.Fatal(err)
	}
	return zone
}
