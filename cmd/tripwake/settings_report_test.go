package main

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

func TestReportSettings(t *testing.T) {
	var s settings
	for text, words := range map[string]string{"": "got none", strings.Repeat("x", 601): "at most 600", "two\nlines": "one paragraph"} {
		if err := takeNotice(&s, text); err == nil || !strings.Contains(err.Error(), words) {
			t.Errorf("notice %.20q: got %v, want %q", text, err, words)
		}
	}
	if err := takeParts(&s, "month, harm,notes"); err != nil || !slices.Equal(s.report.parts, []string{"month", "harm", "notes"}) {
		t.Errorf("got %v, %v", s.report.parts, err)
	}
	for text, words := range map[string]string{"harm, weather": "weather", "harm, harm": "twice"} {
		if err := takeParts(&s, text); err == nil || !strings.Contains(err.Error(), words) {
			t.Errorf("sections %q: got %v, want %q", text, err, words)
		}
	}
	for text, words := range map[string]string{"": "1 to 20", "trip_time, trip_time": "twice", "speed": "speed"} {
		if err := takeKeyMeasures(&s, text); err == nil || !strings.Contains(err.Error(), words) {
			t.Errorf("first_page %q: got %v, want %q", text, err, words)
		}
	}
	if err := takeCasePages(&s, "0"); err == nil {
		t.Error("no page for any case: got no error")
	}
}

// The file may list sections as YAML or as the text that flags take.
func TestSectionsOfAFile(t *testing.T) {
	p := newPlace(t)
	if err := os.WriteFile(filepath.Join(p.dir, settingsFile), []byte("sections: [month, harm, notes]\nfirst_page: trip_time\npeer_review_notice: Ours\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for key, want := range map[string]string{"sections": "month, harm, notes", "first_page": "trip_time", "peer_review_notice": "Ours"} {
		if got := inForce(p, key); got.Value != want || got.From != settingsFile {
			t.Errorf("%s: got %q from %s, want %q", key, got.Value, got.From, want)
		}
	}
	p.bad(exitUsage, "sections", "settings", "--sections", "month,weather")
}

// The report has the sections asked for, in that order, says the notice, and marks on paper only what stands out unless asked.
func TestReportHasTheSectionsAskedFor(t *testing.T) {
	p := smallPlace(t)
	p.good("load", "in")
	path := strings.TrimSpace(p.good("report", "committee", "--sections", "notes, harm", "--peer-review-notice", "Under § 7 <ours>", "--first-page", "trip_time"))
	text, err := os.ReadFile(filepath.Join(p.dir, path))
	if err != nil {
		t.Fatal(err)
	}
	doc := string(text)
	last := 0
	for _, id := range []string{"month", "notes", "section-harm", "method"} {
		at := strings.Index(doc, `<section id="`+id+`"`)
		if at < last {
			t.Errorf("%s is not in its place (%d after %d)", id, at, last)
		}
		last = at
	}
	for _, never := range []string{"section-alarms", `href="#section-gas"`, `href="#measure-trip-time"`, "<ours>"} {
		if strings.Contains(doc, never) {
			t.Errorf("%s is in the report", never)
		}
	}
	if strings.Count(doc, "Under § 7 &lt;ours&gt;") != 2 || !strings.Contains(doc, `<body class="brief-print">`) {
		t.Error("the notice does not stand twice, or the print is not short")
	}
	p.good("report", "committee", "--sections", "notes", "--full")
	if text, err = os.ReadFile(filepath.Join(p.dir, path)); err != nil || strings.Contains(string(text), `class="brief-print"`) {
		t.Errorf("%v, or --full gives a short print", err)
	}
}
