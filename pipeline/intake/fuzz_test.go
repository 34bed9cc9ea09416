package intake_test

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
	"tripwake/pipeline/store"
)

// FuzzDialect: whatever the bytes, a file is refused with one line, or the engine delivers as many records as were counted; and
// where Go's own CSV reader, a second implementation, reads the text too, it finds as many.
func FuzzDialect(f *testing.F) {
	for _, text := range []string{
		"transport_id,team\nT1,a\n", "transport_id;team\r\nT1;\"a\nb\"\r\n", "Report\n\ntransport_id\tteam\nT1\ta\n-- end --\n", "transport_id,team\rT1,a\rT2,b",
		"\xef\xbb\xbftransport_id,team\nT1,\"say \"\"x\"\"\"\n", "\xff\xfet\x00e\x00a\x00m\x00,\x00x\x00\n\x00a\x00,\x00b\x00", "transport_id,team\nT1,\"a \\\"b\\\" c\",\n", "transport_id,team\nT1,\xe9\n",
		"transport_id,team\nT1\nT2,a,b\n\n\nT3,a\nTotal rows: 3\n", "transport_id,team\nT1, \"a\"\nT2,\"a\" ,b\n", "transport_id|team|\"x\ny\"\nT1|\"|\"|c", "sep=;\ntransport_id;team\nT1;3.5\" tube\n",
	} {
		f.Add([]byte(text))
	}
	dir := f.TempDir()
	st, err := store.Open(f.Context(), filepath.Join(dir, "a.duckdb"), store.Options{})
	if err != nil {
		f.Fatal(err)
	}
	f.Cleanup(func() { st.Close() })
	path := filepath.Join(dir, "transports.csv")
	f.Fuzz(func(t *testing.T, content []byte) {
		if err := os.WriteFile(path, content, 0o600); err != nil {
			t.Fatal(err)
		}
		found, err := intake.Find([]string{path}, layout.Layout{})
		if err != nil {
			t.Fatal(err)
		}
		s, err := intake.Inspect(found.Candidates[0], dir, 0)
		if err != nil {
			if strings.Contains(err.Error(), "\n") {
				t.Fatalf("more than a line: %q", err)
			}
			return
		}
		rows, rejected := stage(t, st, s)
		if int64(len(rows)+len(rejected)) != s.Records {
			t.Fatalf("%q: %d records counted, the engine delivers %d and rejects %d", content, s.Records, len(rows), len(rejected))
		}
		if n, ok := slowCount(content, s); ok && n != s.Records {
			t.Fatalf("%q: %d records counted, encoding/csv reads %d", content, s.Records, n)
		}
	})
}

// slowCount counts the records after the header with Go's own reader, where it takes the text as it is.
func slowCount(content []byte, s intake.Source) (int64, bool) {
	if s.Encoding != "utf-8" || s.Before > 0 || s.After > 0 || s.Escaped || strings.Contains(strings.ReplaceAll(string(content), "\r\n", ""), "\r") {
		return 0, false
	}
	r := csv.NewReader(bytes.NewReader(content))
	r.Comma, r.FieldsPerRecord = s.Delimiter, -1
	records, err := r.ReadAll()
	return int64(len(records)) - 1, err == nil
}
