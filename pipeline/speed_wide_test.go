package pipeline_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline"
	"tripwake/pipeline/invent"
	"tripwake/pipeline/layout"
)

const wideRows = benchmarkRows / 10 // each holds ten readings

// BenchmarkLoadWide sets the load of half a million rows with ten readings each beside the bare engine, which reads and casts
// the same file and takes the columns apart into a table in the same run. The metric ×bare is the ratio of the two.
//
//	go test ./pipeline -run '^$' -bench LoadWide -benchtime 3x
func BenchmarkLoadWide(b *testing.B) {
	by, err := layout.Parse("layout.yaml", []byte(invent.WideLayout))
	if err != nil {
		b.Fatal(err)
	}
	file := inventWide(b)
	transports := inventTransports(b, file)
	var bare, load time.Duration
	for b.Loop() {
		bare += timeBareWide(b, file, by.Sources[0])
		load += timeLoadWide(b, by, file, transports)
	}
	b.ReportMetric(float64(load)/float64(bare), "×bare")
	b.ReportMetric(0, "ns/op") // seconds differ from machine to machine: the ratio is what counts
}

func inventWide(b *testing.B) string {
	file := filepath.Join(b.TempDir(), "trend.csv")
	f, err := os.Create(file)
	if err != nil {
		b.Fatal(err)
	}
	if err := invent.WriteWide(f, wideRows, 1); err != nil {
		b.Fatal(err)
	}
	if err := f.Close(); err != nil {
		b.Fatal(err)
	}
	return file
}

func timeBareWide(b *testing.B, file string, s layout.Source) time.Duration {
	st := openStore(b)
	columns, quantities := "'u': 'varchar', 'd': 'date', 't': 'time'", []string{}
	for _, q := range s.Quantities {
		columns += fmt.Sprintf(", '%s': 'double'", q.Name)
		quantities = append(quantities, q.Name)
	}
	start := time.Now()
	if _, err := st.Engine(b.Context()).Exec(fmt.Sprintf(`create table bare as select u, d + t as at, quantity, value from (
		unpivot (select * from read_csv('%s', auto_detect = false, header = true, delim = ',', dateformat = '%%m/%%d/%%Y', columns = {%s}))
		on %s into name quantity value value)`, file, columns, strings.Join(quantities, ", "))); err != nil {
		b.Fatal(err)
	}
	return time.Since(start)
}

func timeLoadWide(b *testing.B, by layout.Layout, files ...string) time.Duration {
	st := openStore(b)
	start := time.Now()
	if _, err := pipeline.Load(b.Context(), st, files, pipeline.Options{Zone: chicago(b), Layout: by, Now: start, Program: "benchmark"}); err != nil {
		b.Fatal(err)
	}
	took := time.Since(start)
	entries, err := st.Ledger(b.Context(), 0)
	if err != nil || len(entries) != 2 || entries[1].Read < wideRows*95/10 || entries[1].Refused > 0 {
		b.Fatalf("ledger %+v, %v: expected nearly %d readings", entries, err, benchmarkRows)
	}
	return took
}
