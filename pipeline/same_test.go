package pipeline_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline"
	"tripwake/pipeline/invent"
	"tripwake/pipeline/store"
	"tripwake/pipeline/store/storetest"
)

// overlapping is a layout of two exports, of which one has fewer columns.
const overlapping = trends + `  - files: "short*.csv"
    table: readings
    time_format: "%m/%d/%Y %H:%M:%S"
    columns: {device_id: Unit, recorded_at: [Date, Time]}
    quantities: {fio2: O2, spo2: SpO2}
`

// randomRow is a row of two devices, or none, at one of some moments, so that rows meet now and then.
func randomRow(random *rand.Rand) string {
	pick := func(cells ...string) string { return cells[random.IntN(len(cells))] }
	return fmt.Sprintf("%s,03/07/2026,23:%02d:%s,%s,%s,%s\n", pick("V1", "V1", "V2", ""), random.IntN(60), pick("00", "20", "40"), pick("20", "21", ""), pick("30", "40", ""), pick("90", "95", ""))
}

var withoutPressure = regexp.MustCompile(`(:\d\d,)\d*,`)

// overlappingExports are files of which many hold rows of those before, some changed.
func overlappingExports(random *rand.Rand, before []string) (files []string) {
	for i := range 1 + random.IntN(3) {
		var rows []string
		for range 3 + random.IntN(25) {
			if random.IntN(6) > 0 {
				old := strings.SplitAfter(strings.TrimSpace(before[random.IntN(len(before))])+"\n", "\n")[1:]
				at := random.IntN(len(old))
				rows = append(rows, old[at:min(len(old), at+1+random.IntN(12))]...)
				continue
			}
			rows = append(rows, randomRow(random))
		}
		files = append(files, fmt.Sprintf("trend %d.csv", i), trendHead+strings.Join(rows, ""))
	}
	if random.IntN(3) == 0 {
		files = append(files, "short.csv", "Unit,Date,Time,O2,SpO2\n"+withoutPressure.ReplaceAllString(strings.TrimPrefix(files[1], trendHead), "$1"))
	}
	return files
}

// Exports that overlap others in whole and in part, with rows twice and rows changed, give the same store whether records are compared
// as a whole or reading by reading; so does what is left when loads are undone, and when a transport is forgotten.
func TestOverlappingExportsGiveTheSameStore(t *testing.T) {
	t.Cleanup(pipeline.SetSameAtOnce(7))
	random := rand.New(rand.NewPCG(31, 32))
	same := 0
	for round := range 8 {
		whole, apart := newStore(t), newStore(t)
		before := []string{trendHead}
		for second := range 60 {
			before[0] += fmt.Sprintf("V%d,03/07/2026,23:20:%02d,2%d,40,9%d\n", 1+second%2, second, second%3, second%7)
		}
		loads := 3 + random.IntN(3)
		for i := range loads {
			files := []string{"transports.csv", trips, "trend 1.csv", before[0]}
			if i > 0 {
				files = append(files[:2], overlappingExports(random, before)...)
			}
			for k := 3; k < len(files); k += 2 {
				if strings.HasPrefix(files[k-1], "trend") {
					before = append(before, files[k])
				}
			}
			dir := folder(t, files...)
			inBoth(t, whole, apart, func(st *store.Store) error {
				o := overlapOptions(t, i)
				_, err := pipeline.Load(t.Context(), st, []string{dir}, o)
				return err
			})
			agreed(t, fmt.Sprintf("round %d, load %d", round, i+1), whole, apart)
		}
		n, err := strconv.Atoi(one(t, whole, "select count(*) from ledger.repeated_samples"))
		if same += n; err != nil {
			t.Fatal(err)
		}
		for _, id := range random.Perm(loads)[:2] {
			inBoth(t, whole, apart, func(st *store.Store) error {
				_, err := pipeline.Undo(t.Context(), st, int64(id+1), overlapOptions(t, 90+id))
				return err
			})
			agreed(t, fmt.Sprintf("round %d, load %d undone", round, id+1), whole, apart)
		}
		inBoth(t, whole, apart, func(st *store.Store) error {
			_, err := pipeline.Forget(t.Context(), st, pipeline.Forgetting{Transport: "RUN-1", Key: []byte("a key of thirty-two bytes, or so"), Now: time.Unix(99, 0)})
			return err
		})
		agreed(t, fmt.Sprintf("round %d, a transport forgotten", round), whole, apart)
	}
	if same < 200 {
		t.Errorf("%d records were found the same as a whole: too few to show anything", same)
	}
}

// A log of many rows, compared in many parts, is repeated to the last row.
func TestALongLogAgain(t *testing.T) {
	t.Cleanup(pipeline.SetMatchedAtOnce(40_000))
	const n = 400_000
	var text bytes.Buffer
	if err := invent.WriteReadings(&text, n, 1); err != nil {
		t.Fatal(err)
	}
	st := storetest.Open(t, store.Options{})
	load(t, st, "readings.csv", text.String())
	load(t, st, "readings-again.csv", text.String())
	if got, want := rows(t, st, "select path, stored, repeated from ledger.files order by path desc"), fmt.Sprintf("readings.csv|%[1]d|0\nreadings-again.csv|0|%[1]d", n); got != want {
		t.Errorf("got %s, want %s", got, want)
	}
}

// inBoth does the same to two stores: into the first, files are read as batches.
func inBoth(t *testing.T, whole, apart *store.Store, do func(*store.Store) error) {
	t.Helper()
	back := pipeline.SetLeastBatch(0)
	failed := do(whole)
	back()
	if err := do(apart); err != nil || failed != nil {
		t.Fatalf("%v; %v", failed, err)
	}
}

func agreed(t *testing.T, what string, whole, apart *store.Store) {
	t.Helper()
	if got, want := contentAndRepeats(t, whole), contentAndRepeats(t, apart); got != want {
		g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
		for i := range g {
			if i >= len(w) || g[i] != w[i] {
				t.Fatalf("%s: line %d\nas a whole         %s\nreading by reading %s", what, i+1, g[i], strings.Join(w[min(i, len(w)):min(i+1, len(w))], ""))
			}
		}
		t.Fatalf("%s: %d lines as a whole, %d reading by reading", what, len(g), len(w))
	}
}

func overlapOptions(t *testing.T, second int) pipeline.Options {
	t.Helper()
	o := options()
	o.Zone, o.Layout, o.Now = chicagoZone(t), parsed(t, overlapping), time.Unix(int64(second), 0)
	return o
}
