package intake_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"tripwake/pipeline/intake"
)

// The beginning of a text is the same whatever its encoding and packing; of a long one no more is read than was asked for.
func TestHeads(t *testing.T) {
	folder := t.TempDir()
	text := "Gerät;Größe\nV1;2\n"
	write(t, folder, "a.csv", []byte(text))
	write(t, folder, "b.csv", encoded(t, charmap.Windows1252, text))
	write(t, folder, "c.txt", encoded(t, unicode.UTF16(unicode.BigEndian, unicode.UseBOM), text))
	write(t, folder, "d.csv.gz", zipped(t, []byte(text)))
	write(t, folder, "e.zip", archived(t, "in/e.csv", text, "readme.md", "no export"))
	write(t, folder, ".hidden.csv", []byte(text))
	write(t, folder, "picture.png", []byte(text))
	exports, err := intake.Exports([]string{folder, filepath.Join(folder, "a.csv")})
	if err != nil || len(exports) != 5 {
		t.Fatalf("%d exports, %v", len(exports), err)
	}
	for _, c := range exports {
		head, err := c.Head(1 << 10)
		if err != nil || !head.Whole || strings.TrimPrefix(string(head.Text), "\ufeff") != text {
			t.Errorf("%s: %q, whole %v, %v", c.Name, head.Text, head.Whole, err)
		}
	}
	short, err := exports[0].Head(10)
	if err != nil || short.Whole || !strings.HasPrefix(text, strings.TrimSuffix(string(short.Text), "\ufffd")) || len(short.Text) < 8 {
		t.Errorf("%q, whole %v, %v", short.Text, short.Whole, err)
	}
}

func TestHeadsThatAreRefused(t *testing.T) {
	if _, err := intake.Exports([]string{"nowhere"}); err == nil {
		t.Error("a path that is not there is no error")
	}
	folder := t.TempDir()
	write(t, folder, "z.csv", []byte("a,b\n\x00\x01\x00\x00\x02c,d\n\x00,1\n"))
	if err := os.WriteFile(filepath.Join(folder, "no.zip"), []byte("PK no archive"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := intake.Exports([]string{folder}); err == nil || !strings.Contains(err.Error(), "no zip archive") {
		t.Errorf("a broken archive: %v", err)
	}
	exports, err := intake.Exports([]string{filepath.Join(folder, "z.csv")})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := exports[0].Head(1 << 10); err == nil || !strings.Contains(err.Error(), "zero bytes") {
		t.Errorf("zero bytes: %v", err)
	}
}
