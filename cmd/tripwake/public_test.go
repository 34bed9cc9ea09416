//go:build public

package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline/store"
)

// public holds two layouts of ours and, after npm ci, tables of other fields that anybody can fetch.
var public = filepath.Join(root, "testdata", "public")

// publicFile is a file of the package; without it the test fails and says what to run.
func publicFile(t *testing.T, name string) string {
	t.Helper()
	path, err := filepath.Abs(filepath.Join(public, "node_modules", "vega-datasets", "data", name))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(path); err != nil {
		t.Fatalf("%s is not there: run make public", name)
	}
	return path
}

// loadPublic loads one file by one of the layouts and gives the ledger and the store.
func loadPublic(t *testing.T, file, layoutName string) ([]ledgerLine, store.Engine) {
	t.Helper()
	layoutFile, err := filepath.Abs(filepath.Join(public, layoutName))
	if err != nil {
		t.Fatal(err)
	}
	p := newPlace(t)
	lines := objects[ledgerLine](t, p.good("load", file, "--layout", layoutFile, "--format", "json"))
	for _, l := range lines {
		if l.Read != l.Stored+l.Repeated+l.Refused || l.Refused > 0 {
			t.Errorf("%+v: expected read = stored + repeated + refused, none refused", l)
		}
	}
	s, err := store.Open(context.Background(), filepath.Join(p.dir, "tripwake.duckdb"), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { s.Close() })
	return lines, s.Engine(context.Background())
}

// stored asks for a count.
func stored(t *testing.T, engine store.Engine, question string, args ...any) (n int) {
	t.Helper()
	if err := engine.Ask(fmt.Sprintf(question, args...), &n); err != nil {
		t.Fatal(err)
	}
	return n
}

// Bird strikes load as events and notes. Counts by code are held to those of the standard library's CSV reader.
func TestPublicBirdStrikes(t *testing.T) {
	path := publicFile(t, "birdstrikes.csv")
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	airport, damage := slices.Index(rows[0], "Airport Name"), slices.Index(rows[0], "Effect Amount of damage")
	damages, airports := map[string]int{}, map[string]bool{}
	for _, r := range rows[1:] {
		damages[r[damage]]++
		airports[strings.TrimSpace(r[airport])] = true
	}
	lines, engine := loadPublic(t, path, "birdstrikes.yaml")
	events, notes := lines[0], lines[1]
	if events.Table != "events" || events.Stored != len(rows)-1 || events.CellsRefused != damages["B"]+damages["C"] {
		t.Errorf("%+v, expected %d events and %d refused cells", events, len(rows)-1, damages["B"]+damages["C"])
	}
	if notes.Table != "notes" || notes.Stored != damages["Substantial"] {
		t.Errorf("%+v, expected %d notes", notes, damages["Substantial"])
	}
	for text, code := range map[string]string{"None": "none", "Minor": "mild", "Medium": "moderate", "Substantial": "severe"} {
		if got := stored(t, engine, "select count(*) from kept.events where harm = '%s'", code); got != damages[text] || got == 0 {
			t.Errorf("harm %s: %d, expected %d", code, got, damages[text])
		}
	}
	if got := stored(t, engine, "select count(distinct transport_id) from kept.events"); got != len(airports) {
		t.Errorf("%d places, expected %d", got, len(airports))
	}
}

// flight is one object of flights-20k.json.
type flight struct{ Date, Origin, Destination string }

// Flights load as transports. Counts by place and day, and the sum of the moments, are held to Go's own reading of the file.
func TestPublicFlights(t *testing.T) {
	flights := readFlights(t)
	zone, err := time.LoadLocation("America/Chicago")
	if err != nil {
		t.Fatal(err)
	}
	origins := map[string]int{}
	minutes := 0
	rows := [][]string{{"number", "date", "origin", "destination"}}
	for i, f := range flights {
		origins[f.Origin]++
		at, err := time.ParseInLocation("2006/01/02 15:04", f.Date, zone)
		if err != nil {
			t.Fatal(err)
		}
		minutes += int(at.Unix() / 60)
		rows = append(rows, []string{fmt.Sprint(i + 1), f.Date, f.Origin, f.Destination})
	}
	lines, engine := loadPublic(t, writeRows(t, "flights-20k.csv", rows), "flights.yaml")
	if lines[0].Stored != len(flights) || lines[0].CellsRefused > 0 {
		t.Errorf("%+v, expected %d transports", lines[0], len(flights))
	}
	for origin, n := range origins {
		if got := stored(t, engine, "select count(*) from kept.transports where referring_site = %s", store.Literal(origin)); got != n {
			t.Errorf("from %s: %d, expected %d", origin, got, n)
		}
	}
	if got := stored(t, engine, "select sum(epoch_us(departed_referring_at) // 60000000)::bigint from kept.transports"); got != minutes {
		t.Errorf("sum of the moments is %d min, expected %d", got, minutes)
	}
}

func readFlights(t *testing.T) (flights []flight) {
	t.Helper()
	text, err := os.ReadFile(publicFile(t, "flights-20k.json"))
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &flights); err != nil || len(flights) < 10000 {
		t.Fatalf("%d flights, %v", len(flights), err)
	}
	return flights
}

func writeRows(t *testing.T, name string, rows [][]string) string {
	t.Helper()
	f, err := os.Create(filepath.Join(t.TempDir(), name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := csv.NewWriter(f).WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	return f.Name()
}

// A draft of tables of another field proposes nothing.
func TestPublicTablesAreNotTakenForTransports(t *testing.T) {
	for _, name := range []string{"birdstrikes.csv", "flights-airport.csv"} {
		got := newPlace(t).run("draft", publicFile(t, name))
		if got.code != exitFailed || !strings.Contains(got.out, "# not read: "+name) || !strings.Contains(got.messages, "no export fits a table") {
			t.Errorf("%s: exit %d\n%s%s", name, got.code, got.out, got.messages)
		}
	}
}
