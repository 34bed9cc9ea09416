package invent

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"golang.org/x/text/encoding/charmap"
)

var shaped = Options{Transports: 60, Every: 30 * time.Second, Months: 2, Seed: 3, Shaped: true}

// Every header that the layout names stands in every file that it names, and every file either is named or bears a table's name.
func TestLayoutNamesTheHeaders(t *testing.T) {
	dir, sum := mustWrite(t, shaped)
	if !slices.Contains(sum.Files, LayoutName) {
		t.Fatalf("files %v", sum.Files)
	}
	text := string(contents(t, dir)[LayoutName])
	for _, p := range programs {
		names, err := filepath.Glob(filepath.Join(dir, p.stem+" *.csv"))
		if err != nil || len(names) == 0 {
			t.Fatalf("%s: %v, %v", p.stem, names, err)
		}
		for _, name := range names {
			if header := firstLine(t, name, p); !slices.Equal(header, p.headers()) {
				t.Errorf("%s has %q, want %q", name, header, p.headers())
			}
		}
		for _, header := range p.headers() {
			if !strings.Contains(text, `"`+header+`"`) && header != kindHeader {
				t.Errorf("the layout has no %q of %s", header, p.stem)
			}
		}
	}
	for _, name := range sum.Files {
		named := slices.ContainsFunc(programNames(), func(stem string) bool { return strings.HasPrefix(name, stem+" ") })
		if _, table := columns[tableOf(name)]; !table && !named && name != LayoutName {
			t.Errorf("%s is named by nothing", name)
		}
	}
}

func programNames() (stems []string) {
	for _, p := range programs {
		stems = append(stems, p.stem)
	}
	return stems
}

func firstLine(t *testing.T, name string, p *program) []string {
	t.Helper()
	raw, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if p.dialect.encoding != nil {
		if raw, err = charmap.Windows1252.NewDecoder().Bytes(raw); err != nil {
			t.Fatal(err)
		}
	}
	r := csv.NewReader(strings.NewReader(string(raw)))
	r.Comma = p.dialect.comma
	header, err := r.Read()
	if err != nil {
		t.Fatal(err)
	}
	return header
}

// A wide log has one row for each sample: times of one device rise by the interval asked for, and no row is without a value.
func TestWideLogsHaveARowForEachSample(t *testing.T) {
	dir, _ := mustWrite(t, shaped)
	raw := contents(t, dir)["trend V1 2025q1.csv"]
	lines := strings.Split(strings.TrimSpace(string(raw)), "\n")
	if len(lines) < 100 {
		t.Fatalf("%d lines", len(lines))
	}
	moments := map[string]bool{}
	for _, line := range lines[1:] {
		cells := strings.Split(line, ",")
		moment := strings.Join(cells[:4], ",")
		if moments[moment] || !slices.ContainsFunc(cells[4:], func(cell string) bool { return cell != trend.missing }) {
			t.Errorf("%s stands twice or is empty", line)
		}
		moments[moment] = true
	}
}

// The same seed gives the same bytes, and a folder written before is written anew; a layout that is another's is not.
func TestShapedExportsAreWrittenAnew(t *testing.T) {
	dir, _ := mustWrite(t, shaped)
	first := contents(t, dir)
	if _, err := Write(t.Context(), dir, shaped); err != nil {
		t.Fatal(err)
	}
	if !reflect.DeepEqual(contents(t, dir), first) {
		t.Error("two runs with one seed differ")
	}
	alien := t.TempDir()
	if err := os.WriteFile(filepath.Join(alien, LayoutName), []byte("mine"), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := Write(t.Context(), alien, shaped); err == nil || !strings.Contains(err.Error(), "move layout.yaml away") {
		t.Errorf("%v: another's layout was replaced", err)
	}
	if string(contents(t, alien)[LayoutName]) != "mine" {
		t.Error("another's layout is gone")
	}
}
