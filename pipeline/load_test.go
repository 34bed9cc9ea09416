package pipeline_test

import (
	"fmt"
	"strings"
	"testing"

	"tripwake/pipeline"
	"tripwake/pipeline/store"
)

const (
	readingsHead = "device_id,recorded_at,quantity,value\n"
	reading1     = "V1,2026-03-01 10:00:00,spo2,95\n"
	reading2     = "V1,2026-03-01 10:00:10,spo2,96\n"
	reading3     = "V1,2026-03-01 10:00:20,spo2,97\n"
)

// definitions.md, Rows: the n-th equal row of one file matches the n-th equal row of another file or of an earlier load.
func TestEqualRows(t *testing.T) {
	two := readingsHead + reading1 + reading1
	for _, c := range []struct {
		name  string
		loads [][]string
		want  []string
	}{
		{"two in one file are two", [][]string{{"readings-a.csv", two}}, []string{"readings-a.csv 2=2+0+0 s0"}},
		{"two files of one load", [][]string{{"readings-a.csv", two, "readings-b.csv", two + reading1}},
			[]string{"readings-a.csv 2=2+0+0 s0; readings-b.csv 3=1+2+0 s0"}},
		{"two loads", [][]string{{"readings-a.csv", readingsHead + reading1}, {"readings-a.csv", two}},
			[]string{"readings-a.csv 1=1+0+0 s0", "readings-a.csv 2=1+1+0 s0"}},
		{"the same file twice", [][]string{{"readings-a.csv", two}, {"readings-a.csv", two}},
			[]string{"readings-a.csv 2=2+0+0 s0", "readings-a.csv 2=0+2+0 s0"}},
		{"another name", [][]string{{"readings-a.csv", two}, {"readings-z.csv", two}},
			[]string{"readings-a.csv 2=2+0+0 s0", "readings-z.csv 2=0+2+0 s0"}},
		{"overlapping export", [][]string{{"readings-a.csv", readingsHead + reading1 + reading2}, {"readings-b.csv", readingsHead + reading2 + reading3}},
			[]string{"readings-a.csv 2=2+0+0 s0", "readings-b.csv 2=1+1+0 s0"}},
		{"another spelling of the same row", [][]string{{"readings-a.csv", readingsHead + reading1},
			{"readings-b.csv", "quantity;value (%);recorded_at;device_id\nSPO2;95,0;2026-03-01T12:00+02:00; V1 \n"}},
			[]string{"readings-a.csv 1=1+0+0 s0", "readings-b.csv 1=0+1+0 s0"}},
		{"two like cylinders", [][]string{{"cylinders.csv", "transport_id,gas,size\nT1,oxygen,D\nT1,oxygen,D\nT1,air,D\n"}, {"cylinders.csv", "transport_id,gas,size\nT1,air,D\nT1,oxygen,D\nT1,oxygen,D\nT1,oxygen,D\n"}},
			[]string{"cylinders.csv 3=3+0+0 s0", "cylinders.csv 4=1+3+0 s0"}},
		{"three files of one load", [][]string{{"cylinders-a.csv", "transport_id,gas\nT1,air\n", "cylinders-b.csv", "transport_id,gas\nT1,air\n", "cylinders-c.csv", "transport_id,gas\nT1,air\nT1,air\n"}},
			[]string{"cylinders-a.csv 1=1+0+0 s0; cylinders-b.csv 1=0+1+0 s0; cylinders-c.csv 2=1+1+0 s0"}},
		{"rows without a device", [][]string{{"settings-a.csv", "transport_id,recorded_at\nT1,2026-03-01 10:00\n"}, {"settings-b.csv", "transport_id,recorded_at\nT1,2026-03-01 10:00\n"}},
			[]string{"settings-a.csv 1=1+0+0 s0", "settings-b.csv 1=0+1+0 s0"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			st := newStore(t)
			for i, files := range c.loads {
				wantCounts(t, load(t, st, files...), c.want[i])
			}
		})
	}
}

// definitions.md, Rows: a row with a stored identifier and other content is a correction; loading the same again changes
// nothing.
func TestIdentifiers(t *testing.T) {
	const head = "transport_id,team\n"
	for _, c := range []struct {
		name  string
		loads []string
		want  string
		kept  string
	}{
		{"equal rows of one file are one", []string{head + "T1,a\nT1,a\n"}, "transports.csv 2=1+1+0 s0", "a|false"},
		{"two contents in one file", []string{head + "T1,a\nT1,b\n"}, "transports.csv 2=2+0+0 s1", "a|true\nb|false"},
		{"a correction", []string{head + "T1,a\n", head + "T1,b\n"}, "transports.csv 1=1+0+0 s1; transports.csv 1=1+0+0 s0", "a|true\nb|false"},
		{"the old file again", []string{head + "T1,a\n", head + "T1,b\n", head + "T1,a\n"}, "transports.csv 2=1+1+0 s1; transports.csv 1=1+0+0 s0", "a|true\nb|false"},
		{"there and back in one file", []string{head + "T1,a\nT1,b\nT1,a\n"}, "transports.csv 3=2+1+0 s1", "a|true\nb|false"},
		{"two corrections", []string{head + "T1,a\n", head + "T1,b\n", head + "T1,c\n"}, "transports.csv 1=1+0+0 s1; transports.csv 1=1+0+0 s1; transports.csv 1=1+0+0 s0", "a|true\nb|true\nc|false"},
		{"a correction far down", []string{head + "\n\nT1,a\n\n\nT1,b\n"}, "transports.csv 2=2+0+0 s1", "a|true\nb|false"},
	} {
		t.Run(c.name, func(t *testing.T) {
			st := newStore(t)
			for _, text := range c.loads {
				load(t, st, "transports.csv", text)
			}
			entries, err := st.Ledger(t.Context(), 0)
			if err != nil {
				t.Fatal(err)
			}
			wantCounts(t, entries, c.want)
			if got := rows(t, st, "select team, superseded from kept.transports order by file_id, record_no"); got != c.kept {
				t.Errorf("kept %q, want %q", got, c.kept)
			}
		})
	}
}

// An event without an identifier is known by all its columns: two equal ones in one file are two.
func TestEventsWithAndWithoutIdentifier(t *testing.T) {
	st := newStore(t)
	text := "event_id,transport_id,kind\nE1,T1,other\n,T1,other\n,T1,other\nE1,T1,air_leak\n"
	wantCounts(t, load(t, st, "events.csv", text), "events.csv 4=4+0+0 s1")
	wantCounts(t, load(t, st, "events.csv", text), "events.csv 4=0+4+0 s0")
	if got := one(t, st, "select count(*) from kept.events where superseded"); got != "1" {
		t.Errorf("%s superseded, want 1", got)
	}
}

// Loading a folder again changes no record; the ledger alone says that it was loaded.
func TestLoadingTwiceChangesNothing(t *testing.T) {
	st := newStore(t)
	dir := folder(t,
		"transports.csv", "transport_id,ventilator_id,accepted_at,available_at,weight\nT1,V1,2026-03-01 09:00,2026-03-01 12:00,x\nT2,V2,2026-03-02 09:00,2026-03-02 12:00,3000\n",
		"readings.csv", readingsHead+reading1+reading1+"V9,2026-03-01 10:00,spo2,90\nV1,never,spo2,95\nV1,2026-03-01 10:00\n",
		"power.csv", "device_id,recorded_at,source,charge\nV1,2026-03-01 10:00,battery,50\nV1,2026-03-01 11:00,battery,101\n",
		"devices.csv", "device_id,kind\nV1,ventilator\nV1,pump\n")
	loadPaths(t, st, dir)
	before := kept(t, st)
	for range 2 {
		for _, e := range loadPaths(t, st, dir) {
			if e.Stored != 0 {
				t.Errorf("%s: %d rows stored again", e.File, e.Stored)
			}
		}
		if after := kept(t, st); after != before {
			t.Errorf("records changed\n%s\nwere\n%s", after, before)
		}
	}
}

// kept is the content without the ledger of loads and files.
func kept(t *testing.T, st *store.Store) string {
	t.Helper()
	all := content(t, st)
	return all[strings.Index(all, "link.spans"):]
}

// The same records give the same kept rows, whichever way they are cut into files and loads.
func TestFilesAndLoadsMayBeCutAnywhere(t *testing.T) {
	var lines []string
	for i := range 40 {
		lines = append(lines, fmt.Sprintf("V%d,2026-03-01 10:%02d:00,spo2,%d\n", i%3, i/4, 90+i%5))
	}
	const question = "select device_id, recorded_at, quantity, value, unit, trip from kept.readings order by all"
	whole := newStore(t)
	load(t, whole, "readings.csv", readingsHead+strings.Join(lines, ""))
	want := rows(t, whole, question)
	parts := newStore(t)
	load(t, parts, "readings-b.csv", readingsHead+strings.Join(lines[15:30], ""), "readings-a.csv", readingsHead+strings.Join(lines[:20], ""))
	load(t, parts, "readings-c.csv", readingsHead+strings.Join(lines[10:], ""))
	if got := rows(t, parts, question); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// A transport that is not known (yet) leaves its rows stored, under the name that they give.
func TestUnknownTransports(t *testing.T) {
	st := newStore(t)
	wantCounts(t, load(t, st, "events.csv", "transport_id,kind\nT9,other\n", "settings.csv", "transport_id,recorded_at\nT9,2026-03-01 10:00\n"),
		"events.csv 1=1+0+0 s0; settings.csv 1=1+0+0 s0")
	if got := one(t, st, "select trip from kept.settings"); got != "T9" {
		t.Errorf("trip %s, want T9", got)
	}
}

func TestRecordNumbers(t *testing.T) {
	for _, c := range []struct {
		name string
		step int // every how many records a gap stands
	}{{"few gaps", 20}, {"many gaps", 3}, {"a gap before each", 1}} {
		t.Run(c.name, func(t *testing.T) {
			var b strings.Builder
			b.WriteString("transport_id,weight\n")
			record, want := 1, []string{}
			for i := range 200 {
				if i%c.step == 0 {
					b.WriteString([]string{"\n", "T,1,2\n", "T\n", "\n\n"}[i/c.step%4])
					record += []int{1, 1, 1, 2}[i/c.step%4]
				}
				fmt.Fprintf(&b, "T%d,3000\n", i)
				record++
				want = append(want, fmt.Sprintf("T%d|%d", i, record))
			}
			b.WriteString(",3000\nX,heavy\n")
			st := newStore(t)
			load(t, st, "transports.csv", b.String())
			if got := rows(t, st, "select transport_id, record_no from kept.transports where transport_id <> 'X' order by record_no"); got != strings.Join(want, "\n") {
				t.Errorf("record numbers %s", got)
			}
			if got, want := one(t, st, "select record_no from ledger.refused_rows where column_name = 'transport_id'"), fmt.Sprint(record+1); got != want {
				t.Errorf("refused record %s, want %s", got, want)
			}
			if got, want := one(t, st, "select record_no from ledger.refused_cells"), fmt.Sprint(record+2); got != want {
				t.Errorf("refused cell in record %s, want %s", got, want)
			}
		})
	}
}

func TestRemarks(t *testing.T) {
	st := newStore(t)
	out, err := pipeline.Load(t.Context(), st, []string{folder(t, "letter.txt", "x", "notes.txt", "to do\n", "events.csv", "", "transports.csv", "transport_id;colour;weight\nT1;red;3000,5\n")}, options())
	if err != nil {
		t.Fatal(err)
	}
	text := strings.Join(out.Remarks, "\n")
	if !strings.Contains(text, "letter.txt: not read") || !strings.Contains(text, "not read: notes.txt") || !strings.Contains(text, `"colour"`) || !strings.Contains(text, "comma") {
		t.Errorf("remarks %q", text)
	}
}
