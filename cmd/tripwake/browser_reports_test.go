//go:build browser

package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

// screens are the widths in px at which a page is looked at: a desk, a tablet, a phone.
var screens = []int64{1280, 768, 320}

// papers are the room on a sheet inside the margins of the style sheet (12, 14 and 13 mm), in px of 1/96 inch.
var papers = map[string]struct{ width, height int64 }{"A4": {688, 1028}, "Letter": {710, 961}}

// everyReport writes all kinds of reports and gives their paths.
func (p *place) everyReport(month string, extra ...string) map[string]string {
	p.t.Helper()
	written := map[string]string{}
	for name, args := range map[string][]string{
		"committee":      {"committee", "--month", month, "--out", "out"},
		"committee full": {"committee", "--month", month, "--full", "--name-transports", "--out", "full"},
		"purchase":       {"purchase", "--out", "out"},
		"research":       {"research", "--out", "out"},
	} {
		written[name] = filepath.Join(p.dir, strings.TrimSpace(p.good(append(append([]string{"report"}, args...), extra...)...)))
	}
	return written
}

// holdToReaders looks at one report at every width and on paper, and asks what the browser and axe-core have to say.
func holdToReaders(t *testing.T, browser context.Context, file string) {
	t.Helper()
	page := openTab(t, browser, file, screens[0])
	for _, width := range screens {
		page.wide(width, 900)
		none(t, fmt.Sprintf("%d px", width), page.boxes(0))
	}
	none(t, "320 px, axe", page.axe())
	none(t, "text", page.text())
	for name, room := range papers {
		page.medium("print")
		page.wide(room.width, room.height)
		none(t, name, page.boxes(room.height))
	}
	page.medium("")
	page.wide(screens[0], 900)
	none(t, "1280 px, axe", page.axe())
	none(t, "browser", page.said())
}

// What committee, department and researcher get is read without a stumble: nothing is covered, clipped, split or wider than the
// screen, nothing is fetched, nothing breaks the page's own policy.
func TestReportsInABrowser(t *testing.T) {
	needBundle(t)
	browser := startBrowser(t)
	for name, reports := range map[string]func(*testing.T) map[string]string{
		"demo": demoReports, "hostile": hostileReports, "one transport": oneTransport, "empty month": emptyMonth, "no alarms": noAlarms,
	} {
		t.Run(name, func(t *testing.T) {
			for report, file := range reports(t) {
				t.Run(report, func(t *testing.T) { holdToReaders(t, browser, file) })
			}
		})
	}
}

func demoReports(t *testing.T) map[string]string {
	p := newPlace(t, "SOURCE_DATE_EPOCH=1790000000")
	p.good("demo", "--out", ".")
	written := p.everyReport("2026-06")
	written["research"] = filepath.Join(p.dir, "research.html") // the demo's own study
	return written
}

// hostileWords are what a name may be that wants to be markup, or breaks a line badly.
var hostileWords = []string{
	`<script>window.owned=1</script>`, `<img src=x onerror=window.owned=2>`, `"><svg onload=window.owned=3>`, `<b>bold</b>&amp;<i>`,
	`{{.}}${x}</title></style><iframe src=//invented.example>`, strings.Repeat("Unbrokenname", 6), "</script><script>window.owned=4</script>",
}

// hostileInvented holds invented records in which sites, teams, devices, notes and narratives have hostile names.
func hostileInvented(t *testing.T) *place {
	t.Helper()
	p := newPlace(t, "TRIPWAKE_TIME_ZONE=America/Chicago")
	p.good("invent", "--out", "invented", "--transports", "150", "--every", "10m")
	swap := map[string]string{"Quenspur Cottage": hostileWords[0], "Tarrowick General": hostileWords[1], "Brackolm County": hostileWords[2],
		"Ostrelow Memorial": hostileWords[5], "Fenquill": hostileWords[3], "V1": hostileWords[4], "M1": hostileWords[6], "Nursing lead": hostileWords[1]}
	for name, text := range p.files("invented") {
		p.write("in/"+name, swapped(text, swap))
	}
	p.write("tripwake.yaml", "team: '"+hostileWords[0]+"'\npeer_review_notice: '"+hostileWords[1]+"'\ncandidates:\n"+
		"  - {name: '"+hostileWords[1]+"', kind: ventilator, price: 42000, life: 8}\n  - {name: '"+hostileWords[5]+"', kind: monitor, price: 42000, life: 8}\n"+
		"cohort: {include: [{name: '"+hostileWords[2]+"', column: completed, is: true}]}\n"+
		"exposure: {column: vehicle, groups: [{name: '"+hostileWords[0]+"', is: ground}, {name: '"+hostileWords[5]+"', is: rotor}]}\n")
	p.write("in/transports-zz.csv", "transport_id,vehicle,urgency,referring_site,team,accepted_at,departed_base_at,available_at\n"+
		csvLine(hostileWords[0], "ground", "urgent", hostileWords[6], hostileWords[5], "2025-03-05 10:00", "2025-03-05 12:20", "2025-03-05 16:00"))
	p.write("in/events-zz.csv", "event_id,transport_id,kind,harm,narrative\n"+csvLine("E-zz", hostileWords[0], "line_dislodgement", "severe", hostileWords[1]))
	p.write("in/notes-zz.csv", "noted_on,measure,kind,text,owner,closed_on\n"+csvLine("2025-02-03", "mobilization_time", "change", hostileWords[1], hostileWords[5], ""))
	p.good("load", "in")
	return p
}

func hostileReports(t *testing.T) map[string]string {
	p := hostileInvented(t)
	written := p.everyReport("2025-03")
	for name, words := range map[string]string{"committee full": hostileWords[0], "purchase": hostileWords[1], "research": hostileWords[2]} {
		holdShown(t, written[name], words)
	}
	return written
}

// holdShown makes sure that hostile words are in the page at all: else nothing would be shown by their harmlessness.
func holdShown(t *testing.T, file, words string) {
	t.Helper()
	if text := ask[string](openTab(t, startBrowser(t), file, screens[0]), "document.body.innerText"); !strings.Contains(text, words) {
		t.Errorf("%s does not show %q", filepath.Base(file), words)
	}
}

func csvLine(cells ...string) string {
	var line strings.Builder
	w := csv.NewWriter(&line)
	_ = w.Write(cells) // a builder takes every write
	w.Flush()
	return line.String()
}

// swapped writes a CSV text with commas anew with other cells; any other text stays.
func swapped(text string, swap map[string]string) string {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil || len(rows[0]) < 3 || !utf8.ValidString(text) || strings.ContainsRune(text, 0) {
		return text
	}
	var out strings.Builder
	for _, row := range rows {
		for i, cell := range row {
			if other, ok := swap[cell]; ok {
				row[i] = other
			}
		}
		out.WriteString(csvLine(row...))
	}
	return out.String()
}

func oneTransport(t *testing.T) map[string]string {
	p := newPlace(t)
	p.write("in/transports.csv", goodTransports)
	p.good("load", "in")
	return p.everyReport("2026-01")
}

// emptyMonth is a month after the last transport.
func emptyMonth(t *testing.T) map[string]string {
	p := newPlace(t, "TRIPWAKE_TIME_ZONE=America/Chicago")
	p.good("invent", "--out", "in", "--transports", "40", "--every", "10m")
	p.good("load", "in")
	return p.everyReport("2027-01")
}

// noAlarms holds dispatch times and nothing of a device.
func noAlarms(t *testing.T) map[string]string {
	p := newPlace(t, "TRIPWAKE_TIME_ZONE=America/Chicago")
	p.good("invent", "--out", "invented", "--transports", "150", "--every", "10m")
	for name, text := range p.files("invented") {
		if strings.HasPrefix(name, "transports") || strings.HasPrefix(name, "assessments") {
			p.write("in/"+name, text)
		}
	}
	p.good("load", "in")
	return p.everyReport("2025-02")
}
