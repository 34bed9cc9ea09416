package main

import (
	"context"
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

// invented are the exports in the habits of many programs; each folder holds in/, truth.yaml and sums.csv.
var invented = filepath.Join(root, "testdata", "exports")

// Every invented export, loaded by its right layout, is stored whole: the ledger balances, no row is refused, and counts and
// sums of what is stored are those that the maker of the export counted, in Python, before it was written.
func TestInventedExportsLoad(t *testing.T) {
	folders, err := filepath.Glob(filepath.Join(invented, "*", "truth.yaml"))
	if err != nil || len(folders) < 25 {
		t.Fatalf("%d exports, %v", len(folders), err)
	}
	for _, file := range folders {
		folder, err := filepath.Abs(filepath.Dir(file))
		if err != nil {
			t.Fatal(err)
		}
		t.Run(filepath.Base(folder), func(t *testing.T) { holdToMaker(t, folder) })
	}
}

func holdToMaker(t *testing.T, folder string) {
	p := newPlace(t)
	lines := objects[ledgerLine](t, p.good("load", filepath.Join(folder, "in"), "--layout", filepath.Join(folder, "truth.yaml"),
		"--time-zone", "America/Chicago", "--format", "json"))
	var refused int
	for _, l := range lines {
		if l.Read != l.Stored+l.Repeated+l.Refused || l.Refused+l.Repeated > 0 || l.Stored == 0 {
			t.Errorf("%+v: expected every row stored", l)
		}
		refused += l.CellsRefused
	}
	if refused != 0 {
		t.Errorf("%d cells refused, expected none", refused)
	}
	s, err := store.Open(context.Background(), filepath.Join(p.dir, "tripwake.duckdb"), store.Options{})
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	engine := s.Engine(context.Background())
	for _, row := range readTable(t, filepath.Join(folder, "sums.csv")) {
		holdSum(t, engine, row)
	}
}

// holdSum asks the store for one number that the maker counted.
func holdSum(t *testing.T, engine store.Engine, row map[string]string) {
	t.Helper()
	want, err := strconv.ParseFloat(row["value"], 64)
	if err != nil {
		t.Fatal(err)
	}
	column := row["column"]
	var got float64
	if err := engine.Ask(sumSQL(row), &got); err != nil {
		t.Fatalf("%v: %v", row, err)
	}
	tolerance := 1e-6
	if row["what"] == "sum" { // cells are written with few digits
		tolerance = 0.005
	}
	if math.Abs(got-want) > tolerance*math.Max(1, math.Abs(want)) {
		t.Errorf("%s.%s: %s is %v, its maker counted %v", row["table"], column, row["what"], got, want)
	}
}

// sumSQL is the question for a line of sums.csv. Readings of a wide export are asked for by their quantity, and their times in
// minutes and rows by row of the export.
func sumSQL(row map[string]string) string {
	table, _ := records.Find(row["table"])
	column, where := row["column"], ""
	if _, ok := table.Column(column); !ok {
		column, where = "value", fmt.Sprintf(" and quantity = %s", store.Literal(row["column"]))
	}
	from := fmt.Sprintf(" from kept.%s where %s is not null%s", table.Name, store.Quote(column), where)
	switch what := row["what"]; what {
	case "filled":
		if column != "value" && table.Name == "readings" {
			return "select count(*) / greatest(1, " + wideness + ")" + from
		}
		return "select count(*)" + from
	case "minutes":
		if column == "recorded_at" && table.Name == "readings" {
			return fmt.Sprintf("select sum(epoch_us(%s) // 60000000) / greatest(1, %s)%s", store.Quote(column), wideness, from)
		}
		return fmt.Sprintf("select sum(epoch_us(%s::timestamp) // 60000000)%s", store.Quote(column), from)
	case "sum":
		return fmt.Sprintf("select sum(%s)%s", store.Quote(column), from)
	default:
		return fmt.Sprintf("select count(*)%s and %s::varchar = %s", from, store.Quote(column), store.Literal(strings.ToLower(what)))
	}
}

// wideness is how many readings a row of the export became, at one moment of one device.
const wideness = "(select max(n) from (select count(*) n from kept.readings group by file_id, record_no))"
