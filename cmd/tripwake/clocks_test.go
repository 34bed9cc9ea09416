package main

import (
	"fmt"
	"strings"
	"testing"
	"time"
)

// Of the invented devices one alone runs beside its transports, by nine minutes: package invent says so of the monitor M2. It is
// found and said, no other is, and a layout that takes the line suggested puts its log right.
func TestClocksOfInventedDevices(t *testing.T) {
	p := newPlace(t)
	p.good("invent", "--canonical", "--out", "in", "--transports", "140", "--every", "60s")
	said := p.run("load", "in", "--time-zone", "America/Chicago")
	if said.code != 0 || strings.Count(said.messages, "of its transports") != 1 || !strings.Contains(said.messages, "device M2: its readings run 9 min ahead of its transports") {
		t.Errorf("load ends with %d and says %s", said.code, said.messages)
	}
	found := objects[clockLine](t, p.good("ledger", "--clocks", "--format", "json"))
	logs := map[string]bool{}
	for _, c := range found {
		logs[c.Device+" "+c.Table] = true
		want := ""
		if c.Device == "M2" {
			want = "clock_offset: -9m"
		}
		if c.Suggestion != want || want != "" && (c.Offset != 9 || c.N < 5 || c.Spread > 1) {
			t.Errorf("%+v, want the suggestion %q", c, want)
		}
	}
	for _, name := range []string{"M1 readings", "M2 readings", "V1 readings", "V1 settings", "V5 power"} {
		if !logs[name] {
			t.Errorf("%s is not looked at: %v", name, logs)
		}
	}
	if got := p.good("ledger", "--clocks", "--format", "csv"); !strings.HasPrefix(got, strings.Join(clockColumns, ",")+"\n") || strings.Count(got, "\n") != len(found)+1 {
		t.Errorf("csv: %.300s", got)
	}
	if got := p.good("ledger", "--clocks"); strings.Count(got, "\n") != len(found)+1 {
		t.Errorf("table: %.300s", got)
	}
}

// A device on standard time all year, in a zone with summer time: read by the team's zone it is an hour off in summer; a layout
// with its own zone, Etc/GMT+6 (the sign is POSIX's: six hours behind UTC), reads it right before and after the change and
// through it. Chicago's clocks went forward on 2025-03-09 at 2:00 (IANA).
func TestDevicesOnStandardTime(t *testing.T) {
	p := newPlace(t)
	transports := "transport_id,ventilator_id,accepted_at,at_patient_at,handed_over_at,available_at\n"
	readings := "device_id,recorded_at,quantity,value\n"
	chicago, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	standard := time.FixedZone("CST", -6*60*60)
	for i := range 9 {
		from := time.Date(2025, 3, 9, 7, 0, 0, 0, time.UTC).AddDate(0, 0, i-1) // the second trip is under way as the clocks change
		stamp := func(after time.Duration) string { return from.Add(after).In(chicago).Format("2006-01-02 15:04") }
		transports += fmt.Sprintf("T%d,V1,%s,%s,%s,%s\n", i, stamp(-time.Hour), stamp(0), stamp(2*time.Hour), stamp(3*time.Hour))
		for minute := time.Duration(0); minute <= 120; minute += 5 {
			readings += fmt.Sprintf("V1,%s,pip,20\n", from.Add(minute*time.Minute).In(standard).Format("2006-01-02 15:04"))
		}
	}
	p.write("in/transports.csv", transports)
	p.write("in/vent.csv", readings)
	const layout = "sources:\n  - files: vent.csv\n    table: readings\n    columns: {device_id: device_id, recorded_at: recorded_at, quantity: quantity, value: value}\n"
	p.write("plain.yaml", layout)
	p.write("zoned.yaml", layout+"    time_zone: Etc/GMT+6\n")
	p.good("load", "in", "--layout", "plain.yaml", "--time-zone", "America/Chicago", "--store", "plain.duckdb")
	if got := objects[clockLine](t, p.good("ledger", "--clocks", "--format", "json", "--store", "plain.duckdb")); len(got) != 1 || got[0].Offset != -60 || !strings.HasPrefix(got[0].Suggestion, "time_zone: ") {
		t.Errorf("read by the team's zone: %+v", got)
	}
	p.good("load", "in", "--layout", "zoned.yaml", "--time-zone", "America/Chicago", "--store", "zoned.duckdb")
	if got := objects[clockLine](t, p.good("ledger", "--clocks", "--format", "json", "--store", "zoned.duckdb")); len(got) != 1 || got[0].Offset != 0 || got[0].N != 9 || got[0].Spread != 0 || got[0].Suggestion != "" {
		t.Errorf("read by its own zone: %+v", got)
	}
	if got := p.ledgerOf("ledger", "--store", "zoned.duckdb"); got["vent.csv"].Refused != 0 || got["vent.csv"].Stored != 9*25 {
		t.Errorf("ledger %+v", got)
	}
}

// An offset is applied where the layout says so, and only there.
func TestClockOffsetOfALayout(t *testing.T) {
	p := newPlace(t)
	transports := "transport_id,ventilator_id,accepted_at,at_patient_at,handed_over_at,available_at\n"
	readings := "device_id,recorded_at,quantity,value\n"
	for i := range 7 {
		day := fmt.Sprintf("2026-01-%02d ", 5+i)
		transports += fmt.Sprintf("T%d,V1,%s10:00,%s11:00,%s13:00,%s14:00\n", i, day, day, day, day)
		for minute := 0; minute <= 120; minute += 5 {
			readings += fmt.Sprintf("V1,%s%02d:%02d,pip,20\n", day, 10+(minute+48)/60, (minute+48)%60)
		}
	}
	p.write("in/transports.csv", transports)
	p.write("in/vent.csv", readings)
	const layout = "sources:\n  - files: vent.csv\n    table: readings\n    columns: {device_id: device_id, recorded_at: recorded_at, quantity: quantity, value: value}\n"
	for offset, want := range map[string]float64{"": -12, "    clock_offset: 12m\n": 0, "    clock_offset: 32m\n": 20} {
		p.write("layout.yaml", layout+offset)
		name := fmt.Sprintf("x%v.duckdb", want)
		p.good("load", "in", "--layout", "layout.yaml", "--time-zone", "UTC", "--store", name)
		got := objects[clockLine](t, p.good("ledger", "--clocks", "--format", "json", "--store", name))
		if len(got) != 1 || got[0].Offset != want || got[0].Spread != 0 || (got[0].Suggestion == "") != (want == 0) {
			t.Errorf("%q: %+v, want %v", offset, got, want)
		}
	}
}
