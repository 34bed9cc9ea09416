//go:build bench

package main

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"tripwake/pipeline/invent"
	"tripwake/pipeline/layout"
	"tripwake/pipeline/store"
)

// benchMonths is a year and one month more, which is loaded into the year's store.
const benchMonths = 13

// benchMemory is what the engine may take, in the bare run and in the program.
const benchMemory = "1500MB"

// asBare makes the test binary the bare engine: it reads and casts the exports of the folder that it names, and ends.
const asBare = "RUN_AS_BARE_ENGINE"

func init() {
	if folder := os.Getenv(asBare); folder != "" {
		if err := bare(folder); err != nil {
			fmt.Fprintln(os.Stderr, err)
			os.Exit(1)
		}
		os.Exit(0)
	}
}

// bare is the limit: the engine reads the same files into tables with typed columns, and does nothing else.
func bare(folder string) error {
	by, err := layout.Parse("layout.yaml", []byte(invent.BenchLayout))
	if err != nil {
		return err
	}
	trend := "'Unit': 'varchar', 'Date': 'date', 'Time': 'time'"
	for _, q := range by.Sources[0].Quantities {
		trend += fmt.Sprintf(", '%s': 'double'", q.Name)
	}
	stamps := ""
	for _, s := range []string{"called_at", "accepted_at", "departed_base_at", "arrived_referring_at", "at_patient_at", "departed_referring_at", "arrived_receiving_at", "handed_over_at", "available_at"} {
		stamps += fmt.Sprintf(", '%s': 'timestamp'", s)
	}
	st, err := store.Open(context.Background(), filepath.Join(os.Getenv("BARE_STORE"), "bare.duckdb"), store.Options{Memory: benchMemory})
	if err != nil {
		return err
	}
	read := func(table, files, columns string) string {
		return fmt.Sprintf(`create table %s as select * from read_csv(%s, auto_detect = false, header = true, delim = ',', dateformat = '%%m/%%d/%%Y', columns = {%s})`,
			table, store.Literal(filepath.Join(folder, files)), columns)
	}
	_, err = st.Engine(context.Background()).Exec(
		read("transports", "transports-*.csv", "'transport_id': 'varchar', 'vehicle': 'varchar', 'urgency': 'varchar', 'disposition': 'varchar', 'ventilator_id': 'varchar'"+stamps),
		read("alarms", "alarms-*.csv", "'device_id': 'varchar', 'started_at': 'timestamp', 'ended_at': 'timestamp', 'condition': 'varchar', 'priority': 'varchar'"),
		read("trend", "trend *.csv", trend))
	if err != nil {
		return err
	}
	return st.Close()
}

// spent is what one process took.
type spent struct {
	wall, cpu time.Duration
	peak      int64 // bytes
	out       string
}

func (r spent) plus(o spent) spent {
	return spent{r.wall + o.wall, r.cpu + o.cpu, max(r.peak, o.peak), ""}
}

// bench is one size: its folder, what was run in it, in order.
type bench struct {
	t       *testing.T
	dir     string
	program string
	order   []string
	runs    map[string]spent
}

// timed runs a process and notes under a name what it took.
func (b *bench) timed(name string, env []string, command ...string) spent {
	b.t.Helper()
	cmd := exec.Command(command[0], command[1:]...)
	var out, messages bytes.Buffer
	cmd.Dir, cmd.Env, cmd.Stdout, cmd.Stderr = b.dir, append(os.Environ(), env...), &out, &messages
	start := time.Now()
	err := cmd.Run()
	if err != nil {
		b.t.Fatalf("%s: %v\n%s", name, err, messages.String())
	}
	usage := cmd.ProcessState.SysUsage().(*syscall.Rusage)
	r := spent{time.Since(start), cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime(), usage.Maxrss << 10, out.String()}
	b.order, b.runs[name] = append(b.order, name), r
	return r
}

func (b *bench) tripwake(name string, args ...string) spent {
	return b.timed(name, nil, append([]string{b.program, "--store", "bench.duckdb"}, args...)...)
}

// values are measures by month: "month,measure" to the number.
type values map[string]float64

// told reads lines of month, measure, value.
func told(t *testing.T, text string) values {
	t.Helper()
	lines, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(lines) == 0 {
		t.Fatalf("%d lines, %v: %s", len(lines), err, text)
	}
	v := values{}
	for _, l := range lines {
		if n, err := strconv.ParseFloat(l[2], 64); err == nil {
			v[l[0]+","+l[1]] = n
		}
	}
	return v
}

// benchMeasures are those that the scripts work out too.
var benchMeasures = []string{"trip_time", "stabilization_time", "mobilization_time", "alarms_per_hour", "record_linked"}

const pressureSQL = `select strftime(recorded_at, '%Y-%m') as month, 'mean_airway_pressure' as measure, avg(value) as value
	from readings where quantity = 'mean_airway_pressure' and linked_to is not null group by month order by month`

// answers are the program's own numbers.
func (b *bench) answers(month string) values {
	found := values{}
	for _, a := range objects[answer](b.t, b.tripwake("measures by month"+month, append([]string{"measure", "--by", "month", "--format", "json"}, benchMeasures...)...).out) {
		if v, ok := a["value"].(float64); ok {
			found[a["month"].(string)+","+a["measure"].(string)] = v
		}
	}
	for k, v := range told(b.t, b.tripwake("readings by month"+month, "query", "--format", "csv", pressureSQL).out) {
		found[k] = v
	}
	return found
}

// same holds a script's numbers to the program's: as many, and each to 1e-6.
func same(t *testing.T, name string, got, want values) {
	t.Helper()
	if len(got) != len(want) || len(got) < 6*(benchMonths-1)/2 {
		t.Errorf("%s: %d numbers, the program has %d", name, len(got), len(want))
	}
	for k, w := range want {
		if g, ok := got[k]; !ok || math.Abs(g-w) > 1e-6*math.Max(1, math.Abs(w)) {
			t.Errorf("%s: %s is %v, the program says %v", name, k, g, w)
		}
	}
}

// TestBench times whole processes on invented exports, BENCH_SIZES transports, and holds the scripts' numbers to the program's. It
// judges no time.
func TestBench(t *testing.T) {
	program, err := filepath.Abs(filepath.Join("..", "..", "bin", "tripwake"))
	if err != nil {
		t.Fatal(err)
	}
	for _, word := range strings.Fields(os.Getenv("BENCH_SIZES")) {
		size, err := strconv.Atoi(word)
		if err != nil {
			t.Fatalf("BENCH_SIZES: expected numbers of transports, found %q", word)
		}
		dir, err := os.MkdirTemp(os.Getenv("BENCH_DIR"), "tripwake-bench")
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { os.RemoveAll(dir) })
		b := &bench{t: t, dir: dir, program: program, runs: map[string]spent{}}
		b.size(size)
	}
}

func (b *bench) size(transports int) {
	if err := invent.WriteTeam(b.dir, transports, benchMonths, 1); err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(b.dir, "layout.yaml"), []byte(invent.BenchLayout), 0o600); err != nil {
		b.t.Fatal(err)
	}
	b.timed("bare engine", []string{asBare + "=" + filepath.Join(b.dir, "past"), "BARE_STORE=" + b.dir}, os.Args[0])
	b.tripwake("load", "load", "past", "--layout", "layout.yaml")
	year := b.answers("")
	b.tripwake("committee report", "report", "committee", "--out", "report")
	b.tripwake("load next month", "load", "next", "--layout", "layout.yaml")
	more := b.answers(", next")
	b.timed("load next month alone", nil, b.program, "--store", "alone.duckdb", "load", "next", "--layout", "layout.yaml")
	for name, command := range scripts(b.t) {
		same(b.t, name, told(b.t, b.timed(name, nil, append(command, "past")...).out), year)
		same(b.t, name, told(b.t, b.timed(name+", next", nil, append(command, "past", "next")...).out), more)
	}
	b.print(transports)
}

// scripts are the analyst's, run as Debian's packages run them; BENCH_SCRIPTS=no leaves them out, for sizes that they cannot hold.
func scripts(t *testing.T) map[string][]string {
	if os.Getenv("BENCH_SCRIPTS") == "no" {
		return nil
	}
	folder, err := filepath.Abs(filepath.Join("..", "..", "testdata", "bench"))
	if err != nil {
		t.Fatal(err)
	}
	return map[string][]string{"pandas": {"/usr/bin/python3", filepath.Join(folder, "analyst.py")}, "data.table": {"Rscript", filepath.Join(folder, "analyst.R")}}
}

// print gives the table of one size: ratios first.
func (b *bench) print(transports int) {
	rows, bytes := b.input()
	whole := b.runs["load"].plus(b.runs["measures by month"]).plus(b.runs["readings by month"])
	next := b.runs["load next month"].plus(b.runs["measures by month, next"]).plus(b.runs["readings by month, next"])
	fmt.Printf("\n%d transports, %.2f million source rows, %d MB; %d processors, load %s\n\n", transports, float64(rows)/1e6, bytes>>20, runtime.NumCPU(), uptime())
	fmt.Println("| | ratio | CPU ratio | to |\n|---|---|---|---|")
	ratio := func(name string, a spent, to string, of spent) {
		fmt.Printf("| %s | %.2f | %.2f | %s |\n", name, a.wall.Seconds()/of.wall.Seconds(), a.cpu.Seconds()/of.cpu.Seconds(), to)
	}
	ratio("load", b.runs["load"], "bare engine", b.runs["bare engine"])
	ratio("next month's load", b.runs["load next month"], "that month into an empty store", b.runs["load next month alone"])
	for _, name := range []string{"pandas", "data.table"} {
		if r, ok := b.runs[name]; ok {
			ratio(name, r, "load and measures", whole)
			ratio(name+", a month later", b.runs[name+", next"], "next month's load and measures", next)
		}
	}
	fmt.Println("\n| process | seconds | CPU seconds | rows a second | peak memory, MB |\n|---|---|---|---|---|")
	for _, name := range b.order {
		r, speed := b.runs[name], ""
		if name == "load" || name == "bare engine" {
			speed = fmt.Sprintf("%.0f", float64(rows)/r.wall.Seconds())
		}
		fmt.Printf("| %s | %.2f | %.2f | %s | %d |\n", name, r.wall.Seconds(), r.cpu.Seconds(), speed, r.peak>>20)
	}
}

// input counts the lines and bytes of the year's trends, which are nearly all.
func (b *bench) input() (rows, size int64) {
	files, err := filepath.Glob(filepath.Join(b.dir, "past", "*.csv"))
	if err != nil {
		b.t.Fatal(err)
	}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			b.t.Fatal(err)
		}
		rows, size = rows+int64(bytes.Count(text, []byte("\n")))-1, size+int64(len(text))
	}
	return rows, size
}

func uptime() string {
	text, err := os.ReadFile("/proc/loadavg")
	if err != nil {
		return "unknown"
	}
	return strings.Fields(string(text))[0]
}
