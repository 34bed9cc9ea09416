//go:build browser

package main

import (
	"fmt"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// words are the texts of some pages of a PDF, as poppler reads them.
func words(t *testing.T, pdf string, from, to int) string {
	t.Helper()
	text, err := exec.Command("pdftotext", "-layout", "-f", strconv.Itoa(from), "-l", strconv.Itoa(to), pdf, "-").Output()
	if err != nil {
		t.Fatalf("pdftotext: %v", err)
	}
	return string(text)
}

// facts are what poppler says of a PDF, by name.
func facts(t *testing.T, pdf string) map[string]string {
	t.Helper()
	text, err := exec.Command("pdfinfo", pdf).Output()
	if err != nil {
		t.Fatalf("pdfinfo: %v", err)
	}
	found := map[string]string{}
	for line := range strings.Lines(string(text)) {
		name, value, _ := strings.Cut(line, ":")
		found[name] = strings.TrimSpace(value)
	}
	return found
}

// On both papers the first page holds the month and the cases, and the second every measure; no page is all but empty; two runs give
// the same bytes.
func TestPrintedInABrowser(t *testing.T) {
	needBundle(t)
	p := newPlace(t, "SOURCE_DATE_EPOCH=1790000000")
	p.good("demo", "--out", ".")
	for paper, size := range map[string]string{"A4": "594.96 x 841.92 pts (A4)", "Letter": "612 x 792 pts (letter)"} {
		for name, least := range map[string]int{"committee": 10, "purchase": 5, "research": 5} {
			path := strings.TrimSpace(p.good("report", name, "--format", "pdf", "--paper", paper, "--out", paper))
			pdf := filepath.Join(p.dir, path)
			told := facts(t, pdf)
			pages, err := strconv.Atoi(told["Pages"])
			if err != nil || pages < least || told["Page size"] != size || told["Tagged"] != "yes" || !strings.Contains(told["Title"], "team") {
				t.Errorf("%s, %s: %v, %v", name, paper, told, err)
			}
			for i := range pages {
				if text := words(t, pdf, i+1, i+1); len(strings.Fields(text)) < 40 || !strings.Contains(strings.ReplaceAll(text, " ", ""), fmt.Sprintf("\n%d/%d\n", i+1, pages)) {
					t.Errorf("%s, %s: page %d holds %.300q", name, paper, i+1, text)
				}
			}
			if name == "committee" {
				holdFirstPages(t, pdf)
				again := strings.TrimSpace(p.good("report", name, "--format", "pdf", "--paper", paper, "--out", "again"))
				if p.read(again) != p.read(path) {
					t.Errorf("%s: two runs gave different bytes", paper)
				}
			}
		}
	}
}

func holdFirstPages(t *testing.T, pdf string) {
	t.Helper()
	for page, wanted := range map[int][]string{
		1: {"The month on one page", "What stands out", "The measures asked for every month", "Cases to read", "gravest reason first", "used more oxygen than planned"},
		2: {"All measures", "Mobilization time", "Device rows linked to a transport"},
	} {
		text := words(t, pdf, page, page)
		for _, w := range wanted {
			if !strings.Contains(strings.ToLower(text), strings.ToLower(w)) {
				t.Errorf("%s: page %d does not hold %q", filepath.Base(pdf), page, w)
			}
		}
	}
}
