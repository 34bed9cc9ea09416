package intake_test

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tripwake/pipeline/intake"
)

// numbered writes the numbered copies of a text and gives the lines of both.
func numbered(t *testing.T, text string) (all, ends []string) {
	t.Helper()
	s := inspected(t, "readings.csv", []byte(text))
	if !s.Simple {
		t.Fatalf("%.60q is not simple", text)
	}
	if s.Unpacked != int64(len(text)) {
		t.Errorf("%.60q: %d bytes, expected %d", text, s.Unpacked, len(text))
	}
	var lines [2][]string
	for i, write := range []func(string, int) (string, error){s.Number, s.NumberEnds} {
		path, err := write(t.TempDir(), 3)
		if err != nil {
			t.Fatal(err)
		}
		content, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		lines[i] = strings.Split(string(content), "\n")
	}
	return lines[0], lines[1]
}

// Each record has its number before it, however it is written, and nothing else is changed.
func TestNumberedCopies(t *testing.T) {
	const head = "device_id,recorded_at,quantity,value\n"
	for _, body := range []string{
		"V1,2026-03-01 10:00,spo2,95\n", "V1,2026-03-01 10:00,spo2,95", "V1,a,b,c\nV2,d,e,f\n,,,\n", "\"V\n1\",\"a\"\"b\n\n\",c,d\nV2,d,e,f\n",
		"V1,3.5\" tube,b,c\nV2,\"a,b\n\",c,d", " \"V1\" ,a,b,c\n", strings.Repeat("x", 3<<20) + ",a,b,c\nV2,d,e,f\n",
	} {
		for _, end := range []string{"\n", "\r\n"} {
			text := strings.ReplaceAll(head+body, "\n", end)
			all, ends := numbered(t, text)
			if !slices.Equal(all, ends) {
				t.Errorf("%.60q: a short file is not all ends", text)
			}
			var without []string
			number := int64(1)
			for _, line := range all {
				rest, begins := strings.CutPrefix(line, fmt.Sprint(number)+",")
				if begins {
					number++
				}
				without = append(without, rest)
			}
			if got := strings.Join(without, "\n"); got != text {
				t.Errorf("without numbers %.80q, expected %.80q", got, text)
			}
			if want := inspected(t, "readings.csv", []byte(text)).Records + 2; number != want {
				t.Errorf("%.60q: numbers up to %d, expected %d", text, number-1, want-1)
			}
		}
	}
}

// Of a long file the first and the last records are the ends, with their own numbers, however records are written.
func TestEndsOfALongFile(t *testing.T) {
	const short = 3 * intake.EndRecords // fewer with the header are all ends
	for _, body := range []string{"V1,2026-03-01 10:00,spo2,%d\n", "\"V\n\n1\",\"2026-03-01 \"\"10:00\",spo2,%d\n", " \"V1\" ,10:00\" x,\"a\n\",%d\n"} {
		for _, records := range []int{short - 2, short - 1, short + 1, 4*intake.EndRecords - 1, 4 * intake.EndRecords, 9876} {
			for _, end := range []string{"\n", "\r\n"} {
				var b strings.Builder
				b.WriteString("device_id,recorded_at,quantity,value\n")
				for i := range records {
					fmt.Fprintf(&b, body, i)
				}
				text := strings.ReplaceAll(b.String(), "\n", end)
				for _, text := range []string{text, strings.TrimSuffix(text, end)} {
					all, ends := numbered(t, text)
					lines := strings.Count(body, "\n")
					first := 1 + lines*intake.EndRecords
					last := len(ends) - first
					if records == short-2 {
						first, last = 0, len(all)
					}
					if !slices.Equal(ends, slices.Concat(all[:first], all[len(all)-last:])) {
						t.Errorf("%d records like %q: the ends are not the first %d lines and the last %d", records, body, first, last)
					}
					if held := last / lines; records > short && (held < intake.EndRecords || held > 2*intake.EndRecords) {
						t.Errorf("%d records like %q: %d at the end", records, body, held)
					}
				}
			}
		}
	}
}

// Files are numbered side by side, each into its own copies.
func TestNumberEach(t *testing.T) {
	var sources []intake.Source
	var places []int
	for i := range 20 {
		sources = append(sources, inspected(t, "readings.csv", []byte(fmt.Sprintf("device_id,recorded_at,quantity,value\n%s", strings.Repeat(fmt.Sprintf("V%d,a,b,c\n", i), i+1)))))
		places = append(places, i)
	}
	all, err := intake.NumberEach(sources, t.TempDir(), places)
	if err != nil {
		t.Fatal(err)
	}
	for i, path := range all {
		content, err := os.ReadFile(path)
		if want := fmt.Sprintf("\n%d,V%d,a,b,c\n", i+2, i); err != nil || !strings.HasSuffix(string(content), want) || strings.Count(string(content), "\n") != i+2 {
			t.Errorf("file %d: %q, %v: expected %d records, the last %q", i, content, err, i+1, want)
		}
	}
	if _, err := intake.NumberEach(sources, filepath.Join(t.TempDir(), "not there"), places); err == nil || !strings.Contains(err.Error(), "scratch copy of readings.csv") {
		t.Errorf("into a folder that is not there: %v", err)
	}
}

// A scratch folder whose name is a pattern to the engine: it reads the copy in it, and not a file in another folder of that form.
func TestCopiesInAFolderThatIsAPattern(t *testing.T) {
	st := openStore(t)
	for _, name := range []string{"a[1]", "a*", "a?", "a{1}[x]"} {
		root := t.TempDir()
		folder := filepath.Join(root, name)
		for _, other := range []string{"a1", "ab", "ax", "a11", "a{1}x"} {
			write(t, filepath.Join(root, other), "plain-0.csv", []byte("transport_id,team\nwrong,wrong\n"))
		}
		path := write(t, folder, "transports.csv", []byte("transport_id,team\nT1,\xe9\n")) // not UTF-8, so it is copied
		s, err := inspectInto(t, path, folder)
		if err != nil {
			t.Fatal(err)
		}
		if rows, _ := stage(t, st, s); !slices.EqualFunc(rows, [][]string{{"T1", "é"}}, slices.Equal[[]string]) {
			t.Errorf("%s: %q", name, rows)
		}
	}
}
