package pipeline_test

import (
	"fmt"
	"strings"
	"testing"

	"tripwake/pipeline"
	"tripwake/pipeline/intake"
)

// longTrend is a trend of V1 of so many rows, one each ten seconds of a day in June 2026, with a line of one's own in the middle.
func longTrend(day int, middle string) string {
	const records = 4*intake.EndRecords + 200 // the middle is at neither end
	var b strings.Builder
	b.WriteString(trendHead)
	for i := range records {
		if i == records/2 {
			b.WriteString(middle)
		}
		fmt.Fprintf(&b, "V1,06/%02d/2026,%02d:%02d:%02d,2%d,40,9%d\n", day, i/360, i/6%60, i%6*10, i%10, i%9)
	}
	return b.String()
}

// What stands in the middle of a file is seen only when all of it is read: then the load begins anew, that file goes another way,
// those beside it still go straight into the store, and the store holds what it holds when all is read as text.
func TestFilesThatTurnOutNotToBePlain(t *testing.T) {
	spoilt, overlapping, plain := [3]int{2, 0, 1}, [3]int{0, 3, 0}, [3]int{3, 0, 0}
	for name, c := range map[string]struct {
		middle string
		ways   [3]int
	}{
		"nothing":                           {"", plain},
		"no number":                         {"V1,06/02/2026,12:00:00,---,40,95\n", spoilt},
		"out of range":                      {"V1,06/02/2026,12:00:00,400,40,95\n", spoilt},
		"on the edge":                       {"V1,06/02/2026,12:00:00,98.06650000001,40,95\n", plain}, // 100.00000000001 cm[H2O], to nine digits 100
		"not a number":                      {"V1,06/02/2026,12:00:00,20,nan,95\n", spoilt},
		"without end":                       {"V1,06/02/2026,12:00:00,20,40,inf\n", spoilt},
		"no time":                           {"V1,06/02/2026,,20,40,95\n", spoilt},
		"no such day":                       {"V1,06/31/2026,12:00:00,20,40,95\n", spoilt},
		"the missing hour":                  {"V1,03/08/2026,02:30:00,20,40,95\n", spoilt},
		"the repeated hour":                 {"V2,11/01/2026,01:30:20,20,40,95\n", plain},
		"the next year":                     {"V2,06/02/2027,12:00:00,20,40,95\n", plain},
		"another century":                   {"V2,06/02/2126,12:00:00,20,40,95\n", spoilt},
		"too few cells":                     {"V1,06/02/2026,12:00:00,20\n", spoilt},
		"too many cells":                    {"V1,06/02/2026,12:00:00,20,40,95,7\n", spoilt},
		"quotes":                            {"\"V1\",\"06/02/2026\",\"12:00:00\",20,40,95\n", plain},
		"a cell of two lines":               {"\"V\n1\",06/02/2026,12:00:00,20,40,95\n", plain},
		"no readings":                       {"V1,06/02/2026,12:00:00,,,\n", plain},
		"no readings, and one out of range": {"V1,06/02/2026,12:00:00,,,\nV1,06/02/2026,12:00:00,,,101\n", spoilt},
		"a row of another day":              {"V1,06/03/2026,02:00:05,20,40,95\n", overlapping},
		"the row of another day":            {"V1,06/03/2026,02:00:00,20,40,90\n", overlapping},
		"another device on another day":     {"V2,06/03/2026,02:00:00,20,40,90\n", plain},
	} {
		t.Run(name, func(t *testing.T) {
			o := options()
			o.Zone, o.Layout = chicagoZone(t), parsed(t, trends)
			dir := folder(t, "transports.csv", trips, "trend 1.csv", longTrend(1, ""), "trend 2.csv", longTrend(2, c.middle), "trend 3.csv", longTrend(3, ""))
			texts := newStore(t)
			defer pipeline.SetLeastBatch(1 << 40)()
			if n, err := pipeline.Ways(t.Context(), texts, []string{dir}, o); err != nil || n != [3]int{0, 0, 3} {
				t.Errorf("files straight into the store, in a batch, as text: %d, %v, expected all as text", n, err)
			}
			want := contentAndRepeats(t, texts)
			pipeline.SetLeastBatch(0)
			for _, atOnce := range []int64{int64(len(longTrend(1, ""))) * 5 / 2, 1 << 40} { // two files and one, all three
				files := newStore(t)
				defer pipeline.SetMostNumbered(atOnce)()
				if n, err := pipeline.Ways(t.Context(), files, []string{dir}, o); err != nil || n != c.ways {
					t.Errorf("%d bytes at once: files straight into the store, in a batch, as text: %d, %v, expected %d", atOnce, n, err, c.ways)
				}
				if got := contentAndRepeats(t, files); got != want {
					t.Errorf("%d bytes at once: straight into the store\n%.3000s\nread as text\n%.3000s", atOnce, got, want)
				}
			}
		})
	}
}
