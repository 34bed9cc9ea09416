package records_test

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"tripwake/pipeline/records"
)

// The contract files fix names, kinds, units, codes and ranges; the Go tables must say the same, in the same order.
func TestTablesAreTheContract(t *testing.T) {
	var got [][]string
	for _, table := range records.Tables() {
		for _, c := range table.Columns {
			got = append(got, []string{table.Name, c.Name, string(c.Kind), c.Unit, yes(c.Required), bound(c.Range, true), bound(c.Range, false), strings.Join(c.Codes, "|"), c.Meaning})
		}
	}
	want := readContract(t, "records.csv")
	byTable := map[string][][]string{}
	for _, row := range want {
		if row[7] == "see quantities.csv" {
			row[7] = strings.Join(quantityNames(t), "|")
		}
		byTable[row[0]] = append(byTable[row[0]], row)
	}
	var ordered [][]string
	for _, table := range records.Tables() {
		ordered = append(ordered, byTable[table.Name]...)
	}
	if len(got) != len(want) {
		t.Fatalf("%d columns, the contract has %d", len(got), len(want))
	}
	for i := range got {
		if !sameRow(got[i], ordered[i]) {
			t.Errorf("column %d\n got %q\nwant %q", i, got[i], ordered[i])
		}
	}
}

func TestQuantitiesAreTheContract(t *testing.T) {
	want := readContract(t, "quantities.csv")
	got := records.Quantities()
	if len(got) != len(want) {
		t.Fatalf("%d quantities, the contract has %d", len(got), len(want))
	}
	for i, q := range got {
		row := []string{q.Name, q.Unit, bound(&q.Range, true), bound(&q.Range, false), q.Note}
		if !sameRow(row, want[i]) {
			t.Errorf("quantity %d\n got %q\nwant %q", i, row, want[i])
		}
	}
}

func TestConditionsWatchKnownQuantities(t *testing.T) {
	known := map[string]bool{"": true}
	for _, q := range records.Quantities() {
		known[q.Name] = true
	}
	for _, c := range records.Conditions() {
		if !known[c.Quantity] {
			t.Errorf("condition %s watches %q, which is no quantity", c.Name, c.Quantity)
		}
	}
}

func readContract(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("../../testdata/contract/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func quantityNames(t *testing.T) []string {
	var names []string
	for _, row := range readContract(t, "quantities.csv") {
		names = append(names, row[0])
	}
	return names
}

// sameRow compares numbers as numbers: 1000000000.0 and 1e+09 are one bound.
func sameRow(a, b []string) bool {
	for i := range a {
		x, errX := strconv.ParseFloat(a[i], 64)
		y, errY := strconv.ParseFloat(b[i], 64)
		if errX == nil && errY == nil && x == y {
			continue
		}
		if a[i] != b[i] {
			return false
		}
	}
	return len(a) == len(b)
}

func yes(required bool) string {
	if required {
		return "yes"
	}
	return ""
}

func bound(r *records.Range, low bool) string {
	switch {
	case r == nil:
		return ""
	case low:
		return strconv.FormatFloat(r.Min, 'g', -1, 64)
	}
	return strconv.FormatFloat(r.Max, 'g', -1, 64)
}
