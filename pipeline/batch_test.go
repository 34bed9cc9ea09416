package pipeline_test

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline"
	"tripwake/pipeline/invent"
	"tripwake/pipeline/store"
)

const trends = `sources:
  - files: "trend*.csv"
    table: readings
    time_format: "%m/%d/%Y %H:%M:%S"
    columns: {device_id: Unit, recorded_at: [Date, Time]}
    quantities: {pip: {from: Ppeak, unit: mbar}, fio2: O2, spo2: SpO2}
`

const trendHead = "Unit,Date,Time,Ppeak,O2,SpO2\n"

// trips own the devices of the trends on the second Sunday of March and the first of November 2026, on which clocks in Chicago change.
const trips = `transport_id,ventilator_id,accepted_at,available_at
RUN-1,V1,2026-03-07 20:00,2026-03-08 12:00
RUN-2,V2,2026-11-01 00:10,2026-11-01 06:00
`

// Whether files go straight into the store, are read as a batch or as text, one by one, the store must hold the same, byte by byte,
// refused rows with their reasons among it. Their second load overlaps the first, so that batches are taken too.
func TestBatchesGiveTheSameRows(t *testing.T) {
	const march, fall = "V1,03/07/2026,23:0%d:00,20.4,0.3,9%[1]d\n", "V2,11/01/2026,01:3%d:20,20,45,9%[1]d\n"
	lines := func(form string, n int) (text string) {
		for i := range n {
			text += fmt.Sprintf(form, i)
		}
		return text
	}
	plain := trendHead + lines(march, 9)
	for name, c := range map[string]struct {
		layout string
		files  []string
		ways   [3]int // straight into the store, in a batch, as text
	}{
		"plain":                             {trends, []string{"trend 1.csv", plain}, [3]int{1, 0, 0}},
		"two files":                         {trends, []string{"trend 1.csv", plain, "trend 2.csv", trendHead + lines(fall, 9)}, [3]int{2, 0, 0}},
		"files that overlap":                {trends, []string{"trend 1.csv", plain, "trend 2.csv", trendHead + lines(march, 5), "trend 3.csv", trendHead + lines(fall, 9)}, [3]int{0, 3, 0}},
		"one file twice":                    {trends, []string{"trend 1.csv", plain, "trend 2.csv", plain}, [3]int{0, 2, 0}},
		"rows that are equal":               {trends, []string{"trend 1.csv", plain + lines(march, 3)}, [3]int{1, 0, 0}},
		"empty cells":                       {trends, []string{"trend 1.csv", plain + "V1,03/07/2026,23:50:00,,,\nV1,03/07/2026,23:51:00,,40,\n,03/07/2026,23:52:00,12,40,90\n"}, [3]int{1, 0, 0}},
		"an empty file":                     {trends, []string{"trend 1.csv", trendHead, "trend 2.csv", plain}, [3]int{1, 0, 1}},
		"other headers":                     {trends, []string{"trend 1.csv", plain, "trend 2.csv", "Time,Date,Unit,Ppeak,O2,SpO2\n02:05:00,03/08/2026,V1,20,30,90\n"}, [3]int{1, 0, 1}},
		"another delimiter":                 {trends, []string{"trend 1.csv", strings.ReplaceAll(plain, ",", ";")}, [3]int{1, 0, 0}},
		"quotes":                            {trends, []string{"trend 1.csv", plain + "\"V1\",\"03/07/2026\",\"23:40:00\",\"21.5\",\"\",\"97\"\n"}, [3]int{1, 0, 0}},
		"carriage returns":                  {trends, []string{"trend 1.csv", strings.ReplaceAll(plain, "\n", "\r\n")}, [3]int{1, 0, 0}},
		"mixed ends of lines":               {trends, []string{"trend 1.csv", plain + "V1,03/07/2026,23:40:00,21,40,97\r\n"}, [3]int{0, 0, 1}},
		"blanks":                            {trends, []string{"trend 1.csv", plain + " V1 ,03/07/2026 , 23:40:00, 21,40 ,97\n"}, [3]int{1, 0, 0}},
		"a blank line":                      {trends, []string{"trend 1.csv", plain + "\nV1,03/07/2026,23:40:00,21,40,97\n"}, [3]int{0, 0, 1}},
		"a ragged line":                     {trends, []string{"trend 1.csv", plain + "V1,03/07/2026,23:40:00,21,40\n"}, [3]int{0, 0, 1}},
		"a broken quote":                    {trends, []string{"trend 1.csv", plain + "\"V1\"x,03/07/2026,23:40:00,21,40,97\n"}, [3]int{0, 0, 1}},
		"out of range":                      {trends, []string{"trend 1.csv", plain + "V1,03/07/2026,23:40:00,99.9,40,101\n"}, [3]int{0, 0, 1}},
		"out of range in mbar":              {trends, []string{"trend 1.csv", plain + "V1,03/07/2026,23:40:00,99,40,99\n"}, [3]int{0, 0, 1}}, // 100.95 cm[H2O]
		"within range in mbar":              {trends, []string{"trend 1.csv", plain + "V1,03/07/2026,23:40:00,98,40,99\n"}, [3]int{1, 0, 0}}, // 99.93 cm[H2O]
		"no number":                         {trends, []string{"trend 1.csv", plain + "V1,03/07/2026,23:40:00,---,40,99\n"}, [3]int{0, 0, 1}},
		"not a number":                      {trends, []string{"trend 1.csv", plain + "V1,03/07/2026,23:40:00,nan,40,99\n"}, [3]int{0, 0, 1}},
		"without end":                       {trends, []string{"trend 1.csv", plain + "V1,03/07/2026,23:40:00,20,40,-inf\n"}, [3]int{0, 0, 1}},
		"digits with underscore":            {trends, []string{"trend 1.csv", plain + "V1,03/07/2026,23:40:00,1_2,40,99\n"}, [3]int{0, 0, 1}},
		"names with underscore":             {trends, []string{"trend 1.csv", plain + "VENT_1,03/07/2026,23:40:00,12,40,99\n"}, [3]int{1, 0, 0}},
		"a decimal comma":                   {trends, []string{"trend 1.csv", strings.ReplaceAll(trendHead, ",", ";") + "V1;03/07/2026;23:40:00;12,5;40;99\n"}, [3]int{0, 0, 1}},
		"a unit after a number":             {trends, []string{"trend 1.csv", plain + "V1,03/07/2026,23:40:00,12 mbar,40,99\n"}, [3]int{0, 0, 1}},
		"a time without seconds":            {trends, []string{"trend 1.csv", plain + "V1,03/07/2026,23:40,12,40,99\n"}, [3]int{0, 0, 1}},
		"a short time":                      {trends, []string{"trend 1.csv", plain + "V1,3/7/2026,3:40:00,12,40,99\n"}, [3]int{1, 0, 0}},
		"no time":                           {trends, []string{"trend 1.csv", plain + "V1,03/07/2026,,12,40,99\n"}, [3]int{0, 0, 1}},
		"no such day":                       {trends, []string{"trend 1.csv", plain + "V1,02/29/2026,23:40:00,12,40,99\n"}, [3]int{0, 0, 1}},
		"the missing hour":                  {trends, []string{"trend 1.csv", plain + "V1,03/08/2026,02:30:00,12,40,99\n"}, [3]int{0, 0, 1}},
		"the repeated hour":                 {trends, []string{"trend 1.csv", trendHead + lines(fall, 9)}, [3]int{1, 0, 0}},
		"a clock put right":                 {trends + "    clock_offset: -9m\n", []string{"trend 1.csv", plain + lines(fall, 9)}, [3]int{1, 0, 0}},
		"a clock put into the missing hour": {trends + "    clock_offset: -9m\n", []string{"trend 1.csv", trendHead + "V1,03/08/2026,03:05:00,12,40,99\n"}, [3]int{0, 0, 1}},
		"another zone":                      {trends + "    time_zone: Etc/GMT+6\n", []string{"trend 1.csv", plain + "V1,03/08/2026,02:30:00,12,40,99\n"}, [3]int{1, 0, 0}},
		"what stands for empty":             {trends + "    missing: [\"---\", N/A]\n", []string{"trend 1.csv", plain + "V1,03/07/2026,23:40:00,---,N/A,99\n---,03/07/2026,23:41:00,20,40,99\n"}, [3]int{1, 0, 0}},
		"empty in another case":             {trends + "    missing: [\"---\", N/A]\n", []string{"trend 1.csv", plain + "V1,03/07/2026,23:40:00,n/a,40,99\n"}, [3]int{0, 0, 1}},
		"a number for empty":                {trends + "    missing: [\"-1\"]\n", []string{"trend 1.csv", plain + "V1,03/07/2026,23:40:00,-1,40, -1\n"}, [3]int{0, 0, 1}},
		"the layout's comma":                {trends + "    decimal: comma\n", []string{"trend 1.csv", trendHead + "V1,03/07/2026,23:40:00,\"1.200\",40,99\n"}, [3]int{0, 0, 1}},
		"a filter":                          {trends + "    where: {column: Unit, is: [V1]}\n", []string{"trend 1.csv", plain + lines(fall, 9)}, [3]int{0, 0, 1}},
		"ISO times":                         {strings.Replace(trends, "    time_format: \"%m/%d/%Y %H:%M:%S\"\n", "", 1), []string{"trend 1.csv", trendHead + "V1,2026-03-07,23:40:00,20,40,99\nV1,2026-03-07,23:41,20,40,99\n"}, [3]int{1, 0, 0}},
		"ISO times with offsets":            {strings.Replace(trends, "    time_format: \"%m/%d/%Y %H:%M:%S\"\n", "", 1), []string{"trend 1.csv", trendHead + "V1,2026-03-07,23:40:00Z,20,40,99\n"}, [3]int{0, 0, 1}},
		"a constant":                        {strings.Replace(trends, "device_id: Unit, ", "", 1) + "    constants: {device_id: V1}\n", []string{"trend 1.csv", plain}, [3]int{1, 0, 0}},
		"codes of a device":                 {strings.Replace(trends, "device_id: Unit", "device_id: {from: Unit, codes: {V1: V2}}", 1), []string{"trend 1.csv", plain}, [3]int{1, 0, 0}},
	} {
		t.Run(name, func(t *testing.T) {
			o := options()
			o.Zone, o.Layout = chicagoZone(t), parsed(t, c.layout)
			dir := folder(t, append([]string{"transports.csv", trips}, c.files...)...)
			batches, texts := newStore(t), newStore(t)
			back := pipeline.SetLeastBatch(0)
			if n, err := pipeline.Ways(t.Context(), newStore(t), []string{dir}, o); err != nil || n != c.ways {
				t.Errorf("files straight into the store, in a batch, as text: %d, %v, expected %d", n, err, c.ways)
			}
			bothLoaded(t, batches, dir, o)
			back()
			bothLoaded(t, texts, dir, o)
			if got, want := contentAndRepeats(t, batches), contentAndRepeats(t, texts); got != want {
				t.Errorf("read as a batch\n%s\nread as text\n%s", got, want)
			}
		})
	}
}

// bothLoaded loads a folder twice: the second load meets its own rows.
func bothLoaded(t *testing.T, st *store.Store, dir string, o pipeline.Options) {
	t.Helper()
	for i := range 2 {
		o.Now = time.Unix(int64(i), 0)
		out, err := pipeline.Load(t.Context(), st, []string{dir}, o)
		if err != nil {
			t.Fatal(err)
		}
		entries, err := st.Ledger(t.Context(), out.LoadID)
		if err != nil {
			t.Fatal(err)
		}
		balance(t, st, entries)
	}
}

// A month of a team's trends, with one cell in some files spoilt at random: both ways agree, whichever files are batches.
func TestBatchesOfRandomFilesGiveTheSameRows(t *testing.T) {
	rolls := rand.New(rand.NewPCG(7, 7))
	cells := []string{"", "---", "nan", "400", "-3", "1_0", "+-5", "0.4", "9,5", "7 %", "02/30/2026", "\"", "V1"}
	for round := range 8 {
		var files []string
		for i := range 4 {
			var text bytes.Buffer
			if err := invent.WriteWide(&text, 1400, uint64(10*round+i)); err != nil {
				t.Fatal(err)
			}
			lines := strings.Split(strings.TrimSpace(text.String()), "\n")
			for range rolls.IntN(3) {
				at := 1 + rolls.IntN(len(lines)-1)
				row := strings.Split(lines[at], ",")
				row[rolls.IntN(len(row))] = cells[rolls.IntN(len(cells))]
				lines[at] = strings.Join(row, ",")
			}
			files = append(files, fmt.Sprintf("trend %d.csv", i), strings.Join(lines, "\n")+"\n")
		}
		o := options()
		o.Layout = parsed(t, invent.WideLayout)
		dir := folder(t, files...)
		batches, texts := newStore(t), newStore(t)
		back := pipeline.SetLeastBatch(0)
		_, failed := pipeline.Load(t.Context(), batches, []string{dir}, o)
		back()
		_, err := pipeline.Load(t.Context(), texts, []string{dir}, o)
		if fmt.Sprint(failed) != fmt.Sprint(err) {
			t.Errorf("round %d: as a batch %v, as text %v", round, failed, err)
		}
		if got, want := contentAndRepeats(t, batches), contentAndRepeats(t, texts); got != want {
			t.Errorf("round %d: read as a batch\n%.2000s\nread as text\n%.2000s", round, got, want)
		}
	}
}
