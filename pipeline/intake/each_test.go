package intake_test

import (
	"fmt"
	"os"
	"reflect"
	"strings"
	"testing"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
)

// Inspected side by side, files are told in their order, each as when it is inspected alone; what cannot be read fails alone.
func TestInspectEach(t *testing.T) {
	dir := t.TempDir()
	for i := range 40 {
		text := "device_id,recorded_at,quantity,value\n" + strings.Repeat("V1,2026-01-05 10:00,spo2,95\n", i)
		switch i % 4 {
		case 1:
			text = strings.ReplaceAll(text, ",", ";") + "\xe9;2026-01-05 10:00;spo2;95\n" // Windows-1252, which is copied in UTF-8
		case 2:
			text += "\"V1,2026-01-05 10:00,spo2,95\n" // a quote that is never closed
		}
		write(t, dir, fmt.Sprintf("readings-%02d.csv", i), []byte(text))
	}
	found, err := intake.Find([]string{dir}, layout.Layout{})
	if err != nil {
		t.Fatal(err)
	}
	alone, scratch, n := t.TempDir(), t.TempDir(), 0
	for c, got := range intake.InspectEach(found.Candidates, scratch) {
		want, err := intake.Inspect(found.Candidates[n], alone, n)
		want.Plain = strings.Replace(want.Plain, alone, scratch, 1)
		if c.Name != found.Candidates[n].Name || fmt.Sprint(got.Err) != fmt.Sprint(err) || (err != nil) != (n%4 == 2) || !reflect.DeepEqual(got.Source, want) {
			t.Errorf("%d: %s, %+v, %v; want %+v, %v", n, c.Name, got.Source, got.Err, want, err)
		}
		n++
	}
	if n != 40 {
		t.Errorf("%d files were inspected, want 40", n)
	}
}

// Who stops asking gets the folder back: nothing writes to it any more.
func TestInspectEachStops(t *testing.T) {
	dir, scratch := t.TempDir(), t.TempDir()
	for i := range 200 {
		write(t, dir, fmt.Sprintf("alarms-%03d.csv", i), []byte("device_id;started_at;condition\n\xe9;2026-01-05 10:00;spo2_low\n"))
	}
	found, err := intake.Find([]string{dir}, layout.Layout{})
	if err != nil {
		t.Fatal(err)
	}
	for range intake.InspectEach(found.Candidates, scratch) {
		break
	}
	entries, err := os.ReadDir(scratch)
	if err != nil || len(entries) == 0 || len(entries) > 100 {
		t.Errorf("%d copies after one of 200 files, %v: expected some, and not nearly all", len(entries), err)
	}
	if err := os.RemoveAll(scratch); err != nil {
		t.Fatal(err)
	}
}
