//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// A PDF as short as can be, with the dates that browsers write at its head.
const shortPDF = "%PDF-1.4\n1 0 obj\n<</Producer (x)\n/CreationDate (D:20300102030405+00'00')\n/ModDate (D:20300102030405+00'00')>>\nendobj\n(D:20300102030405+00'00')\n%%EOF\n"

// browserOf makes a program that stands for a browser: told is what it does with the path of the PDF in $pdf.
func (p *place) browserOf(told string) string {
	p.t.Helper()
	p.write("browser", "#!/bin/sh\nfor a in \"$@\"; do case $a in --print-to-pdf=*) pdf=${a#*=};; file:*) page=${a#file://};; esac; done\n"+told+"\n")
	path := filepath.Join(p.dir, "browser")
	if err := os.Chmod(path, 0o755); err != nil {
		p.t.Fatal(err)
	}
	return path
}

// Without a browser the line says what was looked for and what to do, before the report is worked out.
func TestNoBrowser(t *testing.T) {
	p := smallPlace(t)
	p.good("load", "in")
	p.env = append(p.env, "PATH="+p.dir)
	for _, report := range []string{"committee", "purchase", "research"} {
		got := p.run("report", report, "--format", "pdf", "--out", "out")
		oneClearLine(t, report, got.code, got.messages, "looked for chromium, chromium-browser, google-chrome")
		if !strings.Contains(got.messages, "HTML report prints") {
			t.Errorf("%q does not say that the page prints", got.messages)
		}
	}
	got := p.run("report", "committee", "--format", "pdf", "--out", "out", "--browser", "nowhere/at-all")
	oneClearLine(t, "a browser that is named", got.code, got.messages, `"nowhere/at-all"`)
	p.bad(exitUsage, `"docx"`, "report", "committee", "--format", "docx")
	p.bad(exitUsage, `"A5"`, "report", "committee", "--paper", "A5")
	if files := p.names(); strings.Contains(strings.Join(files, " "), "out") {
		t.Errorf("something was written: %v", files)
	}
}

// The program that prints gets the page laid out for the paper, and nothing of the work stays beside the PDF, which is its owner's
// alone and bears the date of the last load.
func TestPrintedByAProgram(t *testing.T) {
	needBundle(t)
	p := smallPlace(t)
	p.good("load", "in")
	p.write("short.pdf", shortPDF)
	p.env = append(p.env, "TRIPWAKE_BROWSER="+p.browserOf("cp "+p.dir+`/short.pdf "$pdf"; cp "$page" `+p.dir+`/seen.html; mkdir ../left; rmdir ../left`))
	path := strings.TrimSpace(p.good("report", "purchase", "--format", "pdf", "--paper", "Letter", "--out", "out"))
	if path != filepath.Join("out", "purchase.pdf") {
		t.Errorf("wrote %q", path)
	}
	printed := p.read(path)
	if len(printed) != len(shortPDF) || strings.Count(printed, "D:2030") != 1 {
		t.Errorf("dates of %q", printed)
	}
	if seen := p.read("seen.html"); !strings.Contains(seen, "@page { size: Letter; }") || strings.Contains(seen, "<script") {
		t.Error("the page was not laid out for Letter, or holds script")
	}
	if entries, err := os.ReadDir(filepath.Join(p.dir, "out")); err != nil || len(entries) != 1 {
		t.Errorf("beside the PDF stay %v, %v", entries, err)
	}
	if info, err := os.Stat(filepath.Join(p.dir, path)); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("%v, %v", info, err)
	}
	if page := p.read(strings.TrimSpace(p.good("report", "purchase", "--out", "out"))); strings.Contains(page, "{ size: ") {
		t.Error("the page itself asks for a sheet; it ought to take that of the reader's printer")
	}
}

// A browser that fails or prints half a PDF leaves an earlier report as it was.
func TestPrintingFails(t *testing.T) {
	needBundle(t)
	p := smallPlace(t)
	p.good("load", "in")
	p.write("out/purchase.pdf", "an earlier one")
	for told, words := range map[string]string{
		"echo no display >&2; exit 3": "no display", "exit 0": "no whole PDF", `printf '%%PDF-1.4 half' > "$pdf"`: "no whole PDF",
	} {
		got := p.run("report", "purchase", "--format", "pdf", "--out", "out", "--browser", p.browserOf(told))
		oneClearLine(t, told, got.code, got.messages, words)
	}
	if p.read("out/purchase.pdf") != "an earlier one" || len(p.files("out")) != 1 {
		t.Errorf("out holds %v", p.files("out"))
	}
}
