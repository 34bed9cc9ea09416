package pipeline_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tripwake/pipeline"
)

const (
	transportsHead = "transport_id,ventilator_id,disposition,accepted_at,available_at\n"
	trip1          = "T1,V1,,2026-03-01 09:00,2026-03-01 12:00\n"
	trip2          = "T2,V1,,2026-03-01 12:40,2026-03-01 15:00\n"
	trip3          = "T3,V2,cancelled,2026-03-01 09:00,2026-03-01 10:00\n"
)

// logFiles hold a row of each device every ten minutes of a day.
func logFiles() (files []string) {
	var b [4]strings.Builder
	for i, head := range []string{"device_id,recorded_at,quantity,value\n", "device_id,recorded_at,mode\n", "device_id,started_at,condition\n", "device_id,recorded_at,source\n"} {
		b[i].WriteString(head)
	}
	for minute := 0; minute < 24*60; minute += 10 {
		for v := 1; v <= 3; v++ {
			at := fmt.Sprintf("V%d,2026-03-01 %02d:%02d:00", v, minute/60, minute%60)
			for i, rest := range []string{",spo2,95\n", ",simv\n", ",apnea\n", ",battery\n"} {
				b[i].WriteString(at + rest)
			}
		}
	}
	return []string{"readings.csv", b[0].String(), "settings.csv", b[1].String(), "alarms.csv", b[2].String(), "power.csv", b[3].String()}
}

const tripsQuestion = `select 'readings' as log, device_id, trip, count(*), min(recorded_at), max(recorded_at) from kept.readings group by all
	union all select 'settings', device_id, trip, count(*), min(recorded_at), max(recorded_at) from kept.settings group by all
	union all select 'alarms', device_id, trip, count(*), min(started_at), max(started_at) from kept.alarms group by all
	union all select 'power', device_id, trip, count(*), min(recorded_at), max(recorded_at) from kept.power group by all order by all`

// definitions.md, Rows: the order of files and loads does not matter.
func TestOrderOfLoadsDoesNotMatter(t *testing.T) {
	logs := logFiles()
	parts := [][]string{
		{"transports-a.csv", transportsHead + trip1},
		{"transports-b.csv", transportsHead + trip2 + trip3},
		{"carried.csv", "transport_id,device_id\nT3,V3\nT1,V2\n"},
		logs[0:2], logs[2:6], logs[6:8],
	}
	whole := newStore(t)
	var all []string
	for _, part := range parts {
		all = append(all, part...)
	}
	load(t, whole, all...)
	want := rows(t, whole, tripsQuestion)
	// T1 holds V1 from 08:30 to 12:20, where T2's window is as near and starts later: 23 rows, then 12:20 to 15:30 is T2's.
	if !strings.Contains(want, "readings|V1|T1|23|2026-03-01 08:30:00|2026-03-01 12:10:00") || !strings.Contains(want, "readings|V1|T2|20|2026-03-01 12:20:00|2026-03-01 15:30:00") {
		t.Errorf("links of one load\n%s", want)
	}
	random := rand.New(rand.NewPCG(7, 8))
	for range 2 {
		order := random.Perm(len(parts))
		st := newStore(t)
		for _, i := range order {
			load(t, st, parts[i]...)
		}
		if got := rows(t, st, tripsQuestion); got != want {
			t.Errorf("order %v\n got %s\nwant %s", order, got, want)
		}
	}
}

// A corrected transport gives up rows that its window no longer holds, and takes those that it holds now.
func TestCorrectedTransportsAreLinkedAnew(t *testing.T) {
	const question = "select trip, count(*), min(recorded_at), max(recorded_at) from kept.readings where device_id = 'V1' and trip is not null group by all order by all"
	for _, c := range []struct{ name, correction, want string }{
		{"later", "T1,V1,,2026-03-01 10:00,2026-03-01 12:00\n", "T1|19|2026-03-01 09:30:00|2026-03-01 12:30:00"},
		{"another device", "T1,V3,,2026-03-01 09:00,2026-03-01 12:00\n", ""},
		{"declined", "T1,V1,declined,2026-03-01 09:00,2026-03-01 12:00\n", ""},
		{"no stamps", "T1,V1,,,\n", ""},
		{"turned round", "T1,V1,,2026-03-01 12:00,2026-03-01 09:00\n", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			st := newStore(t)
			load(t, st, append(logFiles()[:2], "transports.csv", strings.ReplaceAll(transportsHead+trip1, "V1,,", "V1,,"))...)
			load(t, st, "transports.csv", transportsHead+c.correction)
			if got := rows(t, st, question); got != c.want {
				t.Errorf("linked %q, want %q", got, c.want)
			}
		})
	}
}

// A transport that comes later and is nearer takes rows from the one that had them; one that goes gives them back.
func TestANewTransportTakesRowsOver(t *testing.T) {
	const question = "select trip from kept.readings where device_id = 'V1' and recorded_at = '2026-03-01 12:30:00'"
	st := newStore(t)
	load(t, st, append(logFiles()[:2], "transports.csv", transportsHead+trip1)...)
	if got := one(t, st, question); got != "T1" {
		t.Fatalf("linked to %s, want T1", got)
	}
	load(t, st, "transports.csv", transportsHead+trip2)
	if got := one(t, st, question); got != "T2" {
		t.Errorf("linked to %s, want T2, whose window is nearer", got)
	}
	load(t, st, "transports.csv", transportsHead+"T2,V9,,2026-03-01 12:40,2026-03-01 15:00\n")
	if got := one(t, st, question); got != "T1" {
		t.Errorf("linked to %s, want T1 again", got)
	}
}

// A row that names its transport stays with it, whatever windows say.
func TestNamedTransportsAreKept(t *testing.T) {
	st := newStore(t)
	load(t, st, "settings.csv", "transport_id,device_id,recorded_at\nT9,V1,2026-03-01 10:00\n,V1,2026-03-01 10:00\n")
	load(t, st, "transports.csv", transportsHead+trip1)
	if got := rows(t, st, "select transport_id, trip from kept.settings order by record_no"); got != "T9|T9\n<nil>|T1" {
		t.Errorf("%q", got)
	}
}

// Samples that were stored before their transports are linked when those come, go to the next owner when one is corrected, and are told
// by quarters of an hour as if all had come at once.
func TestSamplesAreLinkedAnew(t *testing.T) {
	o := options()
	o.Layout = parsed(t, trends)
	const before, corrected = "T1,V1,,2026-06-01 00:00,2026-06-01 02:10\n", "T2,V1,,2026-06-01 02:20,2026-06-01 05:00\n"
	trend := []string{"trend.csv", longTrend(1, "V2,06/01/2026,01:00:00,20,40,95\n")}
	parts := [][]string{trend, {"transports-a.csv", transportsHead + before}, {"transports-b.csv", transportsHead + corrected + "T3,V2,,2026-06-01 00:00,2026-06-01 02:00\n"}}
	told := func(parts ...[]string) string {
		st := newStore(t)
		for _, part := range parts {
			if _, err := pipeline.Load(t.Context(), st, []string{folder(t, part...)}, o); err != nil {
				t.Fatal(err)
			}
			quarters(t, st)
		}
		if one(t, st, "select count(*) from kept.sampled_readings where trip is not null") == "0" {
			t.Error("no sample has an owner")
		}
		return rows(t, st, "select * exclude (file_id) from kept.sampled_quarters order by all")
	}
	want := told(slices.Concat(parts...))
	for name, got := range map[string]string{"transports last": told(parts...), "transports first": told(parts[2], parts[1], parts[0])} {
		if got != want {
			t.Errorf("%s\n got %s\nwant %s", name, got, want)
		}
	}
}
