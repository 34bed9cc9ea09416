package invent

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"slices"
	"testing"

	"tripwake/pipeline/records"
)

func TestWriteReadingsHasExactlyThatManyRows(t *testing.T) {
	table, _ := records.Find("readings")
	for _, rows := range []int{0, 1, 7, 40000} {
		var out bytes.Buffer
		if err := WriteReadings(&out, rows, 1); err != nil {
			t.Fatal(err)
		}
		all, err := csv.NewReader(&out).ReadAll()
		if err != nil || len(all) != rows+1 || !slices.Equal(all[0], table.Names()) {
			t.Fatalf("asked for %d rows, got %d with header %v (%v)", rows, len(all)-1, all[0], err)
		}
		named := 0
		for _, row := range all[1:] {
			if row[0] != "" {
				named++
			}
			if q, ok := quantity(row[3]); !ok {
				t.Fatalf("no quantity of the contract: %s", row[3])
			} else if v, ok := number(row[4]); !ok || v < q.Range.Min || v > q.Range.Max {
				t.Fatalf("%s of %s is out of range", row[3], row[4])
			}
		}
		if rows == 40000 && (named < 18000 || named > 22000) {
			t.Errorf("%d of %d rows name a transport, wanted half", named, rows)
		}
	}
}

func TestWriteReadingsIsSeeded(t *testing.T) {
	var a, b, c bytes.Buffer
	for _, run := range []struct {
		out  *bytes.Buffer
		seed uint64
	}{{&a, 1}, {&b, 1}, {&c, 2}} {
		if err := WriteReadings(run.out, 500, run.seed); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) || bytes.Equal(a.Bytes(), c.Bytes()) {
		t.Error("bytes do not follow the seed")
	}
}

type full struct{}

var errFull = errors.New("no room")

func (full) Write([]byte) (int, error) { return 0, errFull }

func TestWriteReadingsReportsErrors(t *testing.T) {
	if err := WriteReadings(full{}, 100000, 1); !errors.Is(err, errFull) {
		t.Errorf("got %v, wanted the writer's error", err)
	}
	if err := WriteReadings(io.Discard, -1, 1); err == nil {
		t.Error("a negative number of rows was taken")
	}
}

func BenchmarkWriteReadings(b *testing.B) {
	for b.Loop() {
		if err := WriteReadings(io.Discard, 1_000_000, 1); err != nil {
			b.Fatal(err)
		}
	}
}
