package intake_test

import (
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
)

// archived packs files, given as name and content in turn.
func archived(t *testing.T, nameAndContent ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for i := 0; i < len(nameAndContent); i += 2 {
		f, err := w.Create(nameAndContent[i])
		if err != nil {
			t.Fatal(err)
		}
		if _, err := f.Write([]byte(nameAndContent[i+1])); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestArchives(t *testing.T) {
	st := openStore(t)
	folder := t.TempDir()
	path := write(t, folder, "year/exports.zip", archived(t, "transports.csv", sample, "logs/2025/alarms-1.csv", "device_id;started_at;condition\nV1;2026-01-01 10:00;apnea\n",
		"letter.txt", "x", "\x1b[2Jletter.txt", "x", "__MACOSX/._transports.csv", "x", ".hidden/alarms.csv", "x", "packed/events.csv.gz", string(zipped(t, []byte("transport_id,kind\nT1,other\n")))))
	for _, asked := range []string{folder, path} {
		found, err := intake.Find([]string{asked, path}, layout.Layout{})
		if err != nil {
			t.Fatal(err)
		}
		at := ""
		if asked == folder {
			at = "year/"
		}
		want := []string{at + "exports.zip/transports.csv", at + "exports.zip/packed/events.csv.gz", at + "exports.zip/logs/2025/alarms-1.csv"}
		if !slices.Equal(names(found), want) || !slices.Equal(found.PassedOver[:2], []string{at + "exports.zip/letter.txt", at + `exports.zip/"\x1b[2Jletter.txt"`}) {
			t.Errorf("found %q, passed over %q; want %q", names(found), found.PassedOver, want)
		}
		for i, records := range []int64{3, 1, 1} {
			s, err := intake.Inspect(found.Candidates[i], t.TempDir(), i)
			if err != nil {
				t.Fatal(err)
			}
			rows, _ := stage(t, st, s)
			sum := sha256.Sum256([]byte(sample))
			if s.Records != records || len(rows) != int(records) || i == 0 && (s.SHA256 != hex.EncodeToString(sum[:]) || s.Bytes != int64(len(sample))) {
				t.Errorf("%s: %d records, %d read: %+v", s.Name, s.Records, len(rows), s)
			}
		}
	}
}

func TestArchivesThatAreRefused(t *testing.T) {
	encrypted := archived(t, "alarms.csv", sample)
	encrypted[bytes.Index(encrypted, []byte("PK\x01\x02"))+8] |= 1 // APPNOTE 4.3.12: the flags of a central header
	method := archived(t, "alarms.csv", sample)
	method[bytes.Index(method, []byte("PK\x01\x02"))+10] = 9 // APPNOTE 4.4.5: deflate64
	for name, c := range map[string]struct {
		content []byte
		want    string
	}{
		"up":         {archived(t, "../alarms.csv", sample), "points out of the archive"},
		"up inside":  {archived(t, "a/../../alarms.csv", sample), "points out of the archive"},
		"absolute":   {archived(t, "/tmp/alarms.csv", sample), "points out of the archive"},
		"backslash":  {archived(t, "a\\..\\..\\b/alarms.csv", sample), "points out of the archive"},
		"drive":      {archived(t, "c:/alarms.csv", sample), "points out of the archive"},
		"control":    {archived(t, "a\x1b[2J/alarms.csv", sample), "cannot be printed"},
		"reversed":   {archived(t, "a\u202e/alarms.csv", sample), "cannot be printed"},
		"encrypted":  {encrypted, "is encrypted"},
		"deflate64":  {method, "packed by method 9"},
		"bomb":       {archived(t, "alarms.csv", strings.Repeat("0", 80<<20)), "unpacks to more than 200 times"},
		"no archive": {[]byte("PK"), "is no zip archive"},
		"no export":  {archived(t, "letter.txt", "x"), "holds no file whose name begins with a table's name"},
		"torn":       {archived(t, "alarms.csv", sample)[:60], "is no zip archive"},
	} {
		_, err := intake.Find([]string{write(t, t.TempDir(), "x.zip", c.content)}, layout.Layout{})
		if err == nil || !strings.Contains(err.Error(), c.want) || strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), "x.zip") {
			t.Errorf("%s: %v, want one line with %q", name, err, c.want)
		}
	}
}

// An archive that lies about the size of what it holds is found out while it is unpacked, and so is a packed file.
func TestBombs(t *testing.T) {
	bomb := zipped(t, []byte("transport_id,team\n"+strings.Repeat("T1,aaaaaaaaaaaa\n", 5<<20)))
	for name, content := range map[string][]byte{
		"transports.csv.gz": bomb,
		"x.zip":             archived(t, "transports.csv.gz", string(bomb)),
	} {
		found, err := intake.Find([]string{write(t, t.TempDir(), name, content)}, layout.Layout{})
		if err != nil {
			t.Fatal(err)
		}
		scratch := t.TempDir()
		if _, err = intake.Inspect(found.Candidates[0], scratch, 0); err == nil || !strings.Contains(err.Error(), "unpacks to more than 200 times") {
			t.Errorf("%s: %v", name, err)
		}
		if left, _ := filepath.Glob(filepath.Join(scratch, "*")); len(left) != 0 {
			t.Errorf("%s: leaves %v behind", name, left)
		}
	}
	lying := archived(t, "transports.csv", sample)
	at := bytes.Index(lying, []byte("PK\x01\x02"))
	lying[at+24] = 5 // APPNOTE 4.3.12: the size unpacked
	found, err := intake.Find([]string{write(t, t.TempDir(), "x.zip", lying)}, layout.Layout{})
	if err != nil {
		t.Fatal(err)
	}
	if s, err := intake.Inspect(found.Candidates[0], t.TempDir(), 0); err == nil {
		t.Errorf("a member longer than it says is read: %+v", s.Records)
	}
	if err := os.Remove(found.Candidates[0].Path); err != nil {
		t.Fatal(err)
	}
	if _, err := intake.Inspect(found.Candidates[0], t.TempDir(), 0); err == nil || strings.Contains(err.Error(), "\n") {
		t.Errorf("a vanished archive: %v", err)
	}
}
