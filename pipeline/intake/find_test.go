package intake_test

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
)

func names(found intake.Found) (all []string) {
	for _, c := range found.Candidates {
		all = append(all, c.Name)
	}
	return all
}

func TestFindInFolders(t *testing.T) {
	folder, beside := t.TempDir(), t.TempDir()
	for _, name := range []string{"readings-1.csv", "transports.csv", "b/Transports_old.TXT", "a/settings.tsv.gz", "carried.csv", ".alarms.csv", ".hidden/alarms.csv", "b/plan.xlsx", "power.pdf", "letter.csv"} {
		write(t, folder, name, []byte("x"))
	}
	write(t, beside, "alarms.csv", []byte("x"))
	if err := os.Symlink(filepath.Join(beside, "alarms.csv"), filepath.Join(folder, "alarms-linked.csv")); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(filepath.Join(folder, "nowhere"), filepath.Join(folder, "events-broken.csv")); err != nil {
		t.Fatal(err)
	}
	linked := filepath.Join(beside, "link")
	if err := os.Symlink(folder, linked); err != nil {
		t.Fatal(err)
	}
	want := []string{"b/Transports_old.TXT", "transports.csv", "carried.csv", "a/settings.tsv.gz", "readings-1.csv", "alarms-linked.csv"}
	passed, broken := []string{"b/plan.xlsx", "letter.csv", "power.pdf"}, []string{"events-broken.csv"}
	for _, path := range []string{folder, folder + "/", linked} {
		found, err := intake.Find([]string{path}, layout.Layout{})
		if err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(names(found), want) || !slices.Equal(found.PassedOver, passed) || !slices.Equal(found.NoFiles, broken) {
			t.Errorf("%s: found %q, passed over %q, no files %q", path, names(found), found.PassedOver, found.NoFiles)
		}
	}
}

func TestFindReadsAFileOnce(t *testing.T) {
	folder := t.TempDir()
	path := write(t, folder, "alarms.csv", []byte("x"))
	link := filepath.Join(folder, "alarms-again.csv")
	if err := os.Symlink(path, link); err != nil {
		t.Fatal(err)
	}
	found, err := intake.Find([]string{path, folder, link, folder}, layout.Layout{})
	if err != nil || len(found.Candidates) != 1 {
		t.Errorf("found %q, %v", names(found), err)
	}
}

func TestFindRefuses(t *testing.T) {
	folder := t.TempDir()
	for path, want := range map[string]string{
		filepath.Join(folder, "nowhere"):                       "no such file or folder",
		write(t, folder, "letters.csv", []byte("x")):           "begins with no table's name",
		write(t, folder, "alarms.xlsx", []byte("x")):           "begins with no table's name",
		filepath.Join(folder, "letters.csv") + "/transports.x": "no such file or folder",
	} {
		if _, err := intake.Find([]string{path}, layout.Layout{}); err == nil || !strings.Contains(err.Error(), want) || !strings.Contains(err.Error(), path) {
			t.Errorf("%s: %v, want %q", path, err, want)
		}
	}
}
