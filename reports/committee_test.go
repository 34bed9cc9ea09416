package reports

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/xml"
	"errors"
	"fmt"
	"html"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"tripwake/pipeline/store"
	"tripwake/pipeline/store/storetest"
	"tripwake/queries"
	"tripwake/queries/measures"
)

// fake answers with a year and a half of months made by rule; hostile puts markup into every text that comes from records.
type fake struct {
	months  int
	hostile string
	size    float64 // members of each month
}

func (f fake) month(i int) string { return fmt.Sprintf("%d-%02d", 2025+i/12, i%12+1) }
func (f fake) last() string       { return f.month(f.months - 1) }

func (f fake) sum(d measures.Definition, month string, i int) queries.Sum {
	n := int(f.size)
	s := queries.Sum{Measure: d.ID, Month: month, Facts: n, Transports: n, X: min(float64(i%3), f.size), T: f.size}
	if month == f.last() && f.months > 12 {
		s.X = f.size // a month that stands out
	}
	for j := range n {
		s.Xs, s.Ts = append(s.Xs, float64(20+i+j)), append(s.Ts, 30)
	}
	if f.hostile != "" {
		s.LeftOut = map[string]int{f.hostile: 2}
	}
	return s
}

func (f fake) Sums(_ context.Context, ask queries.Request) ([]queries.Sum, error) {
	var all []queries.Sum
	for _, id := range ask.Measures {
		d, _ := measures.Find(id)
		switch {
		case ask.By != "":
			for i, place := range []string{"Northfold", "Eastholm", "Sudbrook", "not recorded"} {
				s := f.sum(d, "all", i)
				s.Group = place + f.hostile
				if place == queries.NotRecorded {
					s.Group = place
				}
				all = append(all, s)
			}
		case !ask.ByMonth:
			all = append(all, f.sum(d, "all", 1))
		default:
			for i := range f.months {
				all = append(all, f.sum(d, f.month(i), i))
			}
		}
	}
	return all, nil
}

func (f fake) EventGaps(context.Context, string, string) (queries.Gaps, error) {
	g := queries.Gaps{SinceTransports: 4, SinceHours: 100}
	for i := range f.months {
		g.Gaps = append(g.Gaps, queries.EventGap{Month: f.month(i), Transports: 3 + i%4, Hours: float64(40 + 10*(i%5))})
	}
	g.Events = len(g.Gaps) + 1
	return g, nil
}

func (f fake) Period(context.Context) (string, string, error) { return f.month(0), f.last(), nil }
func (f fake) Settings() queries.Settings                     { return queries.Defaults() }
func (f fake) Months(context.Context, string, string) ([]string, error) {
	var months []string
	for i := range f.months {
		months = append(months, f.month(i))
	}
	return months, nil
}
func (f fake) Activity(context.Context, string, string) ([]queries.ActivityCount, error) {
	return []queries.ActivityCount{{Month: f.last(), Vehicle: "fixed_wing", Urgency: "urgent" + f.hostile, Disposition: "completed", N: 9}}, nil
}
func (f fake) AlarmConditions(context.Context, string, string) ([]queries.AlarmCondition, error) {
	return []queries.AlarmCondition{{Condition: "leak" + f.hostile, Priority: "high", Onsets: 9}}, nil
}
func (f fake) ConversionPairs(context.Context, string, string) ([]queries.ConversionPair, error) {
	return []queries.ConversionPair{{From: "cpap", To: "invasive", Conversions: 2}}, nil
}
func (f fake) OxygenPlan(context.Context, string, string) ([]queries.GasPlan, error) {
	return []queries.GasPlan{{Planned: 100, Used: 120, Bridge: &queries.GasBridge{Hindsight: 110, DurationEffect: 5, SettingsEffect: 5, Unexplained: 10}}, {Planned: 200, Used: 190}, {Planned: 50, Used: -1}}, nil
}
func (f fake) Risks(context.Context, string, string) ([]queries.Risk, error) {
	if f.size == 0 {
		return nil, nil
	}
	var all []queries.Risk
	for i := range f.months {
		for j, score := range []int{4, 16, 44} {
			died, after := j == i%3, score+i%5-2
			all = append(all, queries.Risk{Month: f.month(i), GestationBand: "28–31" + f.hostile, Referring: &score, Receiving: &after, Died: &died})
		}
	}
	return append(all, queries.Risk{Month: f.last(), GestationBand: "not recorded", ReferringMissing: "response not recorded" + f.hostile, ReceivingMissing: "no assessment"}), nil
}
func (f fake) AirPlan(context.Context, string, string) ([]queries.GasPlan, error) { return nil, nil }
func (f fake) Cases(_ context.Context, month string) ([]queries.Case, error) {
	return []queries.Case{{TransportID: "TR-0007" + f.hostile, Month: month, Reasons: []string{"died_in_transit"}}}, nil
}
func (f fake) CasesOf(_ context.Context, measure, _, _ string) ([]queries.Case, error) {
	return []queries.Case{{TransportID: "TR-0042" + f.hostile, Reasons: []string{measure}}}, nil
}
func (f fake) Notes(context.Context, string, string) ([]queries.Note, error) {
	return []queries.Note{
		{NotedOn: "2025-04-02", Month: "2025-04", Measure: "stabilization_time", Kind: "change", Text: "New bag" + f.hostile, Owner: "Lead" + f.hostile},
		{NotedOn: "2025-05-02", Month: "2025-05", Kind: "action", Text: "Read the log"},
		{NotedOn: "2025-05-02", Month: "2025-05", Kind: "action", Text: "Ask", ClosedOn: "2025-06-01", Measure: f.hostile},
	}, nil
}
func (f fake) Quality(context.Context) (queries.Quality, error) {
	return queries.Quality{
		Flags: []queries.FlagCount{{Table: "readings", Flag: "clock_repeated", Rows: 1214}}, Stamps: []queries.StampCount{{Stamp: "called_at", Transports: 9, Missing: 1}},
		Logs:   []queries.LogCount{{Table: "alarms", Device: "V1" + f.hostile, Rows: 10, Unlinked: 2}, {Table: "alarms", Device: "V2", Rows: 10}},
		Events: []queries.StrayEvents{{Kind: "unplanned_extubation", Reason: "no tube recorded" + f.hostile, Events: 1}},
	}, nil
}

func inputOf(f fake) Input {
	return Input{Reader: f, Month: f.last(), Team: "Northfold" + f.hostile, Notice: "Ours alone" + f.hostile, Key: []byte("key"),
		Ledger: []LedgerLine{{Table: "alarms", Read: 1234567, Stored: 1234560, Refused: 7, Reasons: map[string]int64{"unknown code" + f.hostile: 7}}},
		Inputs: []InputFile{{"alarms.csv" + f.hostile, strings.Repeat("ab", 32)}}, SettingsHash: "cd", Version: "1.2" + f.hostile,
		GeneratedAt: time.Date(2026, 7, 1, 9, 30, 0, 0, time.UTC)}
}

func written(t *testing.T, in Input) string {
	t.Helper()
	var out bytes.Buffer
	if err := Committee(t.Context(), &out, in); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// documents are the reports over 18 months that several tests read, by the hostile text in them.
var documents = map[string]string{}

func cached(t *testing.T, hostile string) string {
	t.Helper()
	if documents[hostile] == "" {
		documents[hostile] = written(t, inputOf(fake{months: 18, size: 20, hostile: hostile}))
	}
	return documents[hostile]
}

// element is a start tag with its attributes and the tags around it.
type element struct {
	name   string
	attr   map[string]string
	inside []string
}

// elements reads a document as tags and fails where one does not close.
func elements(t *testing.T, doc string) []element {
	t.Helper()
	dec := xml.NewDecoder(strings.NewReader(doc))
	dec.Strict, dec.AutoClose, dec.Entity = false, xml.HTMLAutoClose, xml.HTMLEntity
	var stack []string
	var all []element
	for {
		token, err := dec.RawToken()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.Fatalf("not well-formed after %v: %v", stack, err)
		}
		switch tok := token.(type) {
		case xml.StartElement:
			e := element{tok.Name.Local, map[string]string{}, slices.Clone(stack)}
			for _, a := range tok.Attr {
				e.attr[a.Name.Local] = a.Value
			}
			all = append(all, e)
			if !slices.Contains(xml.HTMLAutoClose, e.name) {
				stack = append(stack, e.name+"."+e.attr["class"])
			}
		case xml.EndElement:
			if slices.Contains(xml.HTMLAutoClose, tok.Name.Local) {
				continue
			}
			if len(stack) == 0 || !strings.HasPrefix(stack[len(stack)-1], tok.Name.Local+".") {
				t.Fatalf("</%s> closes %v", tok.Name.Local, stack)
			}
			stack = stack[:len(stack)-1]
		}
	}
	if len(stack) != 0 {
		t.Fatalf("never closed: %v", stack)
	}
	return all
}

const nasty = `"'><script>alert(1)</script><img src=x onerror=alert(1)>{{.}}{b}</style>`

func TestDocumentHoldsNothingThatRunsOrFetches(t *testing.T) {
	doc := cached(t, nasty)
	forbidden := []string{"script", "iframe", "object", "embed", "link", "img", "form", "input", "base", "audio", "video", "foreignObject", "image", "use", "animate"}
	for _, e := range elements(t, doc) {
		if slices.Contains(forbidden, e.name) {
			t.Errorf("element %s", e.name)
		}
		for name, value := range e.attr {
			if strings.HasPrefix(name, "on") || name == "style" || name == "src" || name == "href" && !strings.HasPrefix(value, "#") {
				t.Errorf("<%s %s=%q>", e.name, name, value)
			}
		}
	}
	if rest := strings.ReplaceAll(doc, `xmlns="http://www.w3.org/2000/svg"`, ""); regexp.MustCompile(`(?i)https?:|//[a-z0-9-]+\.|url\((?:[^#]|$)`).MatchString(rest) {
		t.Error("the document refers to something outside")
	}
}

func TestHostileTextIsPrintedAsText(t *testing.T) {
	doc := cached(t, nasty)
	if strings.Count(html.UnescapeString(doc), "alert(1)") < 10 || strings.Contains(doc, "<script") || strings.Contains(doc, "<img") {
		t.Error("text of the records is missing, or runs")
	}
}

// W3C Content Security Policy Level 3: the hash is that of the exact text of the style element.
func TestPolicyNamesItsOwnStyleAlone(t *testing.T) {
	doc := cached(t, "")
	style := regexp.MustCompile(`(?s)<style>(.*)</style>`).FindStringSubmatch(doc)
	policy := regexp.MustCompile(`http-equiv="Content-Security-Policy" content="([^"]*)"`).FindStringSubmatch(doc)
	if style == nil || policy == nil {
		t.Fatal("no style or no policy")
	}
	sum := sha256.Sum256([]byte(style[1]))
	want := "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'; img-src data:; base-uri 'none'; form-action 'none'"
	if got := html.UnescapeString(policy[1]); got != want {
		t.Errorf("policy %q, expected %q", got, want)
	}
}

// WCAG 2.2, 1.3.1 and 2.4.1: one h1, no level left out, every fragment and label has its target, ids are unique.
func TestStructureForReadersWhoDoNotSee(t *testing.T) {
	doc := cached(t, "")
	ids, level, h1 := map[string]int{}, 0, 0
	all := elements(t, doc)
	for _, e := range all {
		if id := e.attr["id"]; id != "" {
			ids[id]++
		}
		if len(e.name) == 2 && e.name[0] == 'h' && e.name[1] >= '1' && e.name[1] <= '6' {
			now := int(e.name[1] - '0')
			if now > level+1 {
				t.Errorf("heading h%d after h%d", now, level)
			}
			level = now
			if now == 1 {
				h1++
			}
		}
	}
	if h1 != 1 {
		t.Errorf("%d h1", h1)
	}
	for id, n := range ids {
		if n > 1 {
			t.Errorf("id %s stands %d times", id, n)
		}
	}
	for _, e := range all {
		targets := strings.Fields(e.attr["aria-labelledby"])
		if href := e.attr["href"]; href != "" {
			targets = append(targets, strings.TrimPrefix(href, "#"))
		}
		for _, target := range targets {
			if ids[target] == 0 {
				t.Errorf("<%s> points to %q, which is not there", e.name, target)
			}
		}
	}
	for _, landmark := range []string{"<header>", "<nav aria-label", "<main>", "<footer>", `class="skip"`, `<html lang="en">`, "<caption>"} {
		if !strings.Contains(doc, landmark) {
			t.Errorf("no %s", landmark)
		}
	}
}

func TestEveryChartHasATableBesideIt(t *testing.T) {
	doc := cached(t, "")
	figures := strings.Split(doc, `<div class="figure`)[1:]
	drawn := 0
	for _, f := range figures {
		if strings.Contains(f, "<svg") {
			drawn++
			if !strings.Contains(f, "<table") {
				t.Errorf("a chart without a table: %.120s", f[strings.Index(f, "<svg"):])
			}
		}
	}
	charts := strings.Count(doc, "<svg") - strings.Count(doc, `class="chart chart-spark"`)
	if drawn != charts || drawn < 40 {
		t.Errorf("%d charts, %d of them in a figure", charts, drawn)
	}
}

func TestEveryMeasureAppears(t *testing.T) {
	doc := html.UnescapeString(cached(t, ""))
	for _, d := range measures.Catalogue() {
		for _, text := range []string{d.Title + "</h3>", `">` + d.Title + "</a></th>", d.Population, d.Source, "Id: " + d.ID + "."} {
			if !strings.Contains(doc, text) {
				t.Errorf("%s: %q is not in the report", d.ID, text)
			}
		}
	}
}

func TestSameInputSameBytes(t *testing.T) {
	if cached(t, "") != written(t, inputOf(fake{months: 18, size: 20})) {
		t.Error("two reports of the same input differ")
	}
}

func TestMonthThatStandsOut(t *testing.T) {
	doc := html.UnescapeString(cached(t, ""))
	for _, text := range []string{
		"Declined for any reason: 100 % (95 % interval 84–100, n = 20) in June 2026, 0–10 % in the 12 months before; 100 % is above the upper limit of",
		"could be judged by rules. If nothing had changed at all, about", "gives no advice for a patient under way", "Ours alone",
		"New bag", "Read the log", "2026-07-01 09:30 UTC", "Left out, because the gauges show no use or nothing was planned: 1.", "June 2026: 9 transports asked for, 9 completed",
		"1\u202f234\u202f567",
	} {
		if !strings.Contains(doc, text) {
			t.Errorf("%q is not in the report", text)
		}
	}
}

func TestTransportsStandByPseudonymUnlessAsked(t *testing.T) {
	in := inputOf(fake{months: 18, size: 20})
	doc := cached(t, "")
	if strings.Contains(doc, "TR-00") || !strings.Contains(doc, pseudonym(in.Key, "TR-0007")) || !strings.Contains(doc, pseudonym(in.Key, "TR-0042")) {
		t.Error("transports do not stand by pseudonym")
	}
	in.NameTransports, in.Key = true, nil
	if doc = written(t, in); !strings.Contains(doc, "TR-0007") || !strings.Contains(doc, "not for passing on") {
		t.Error("transports do not stand by name, or the report does not say so")
	}
}

// RFC 4231, test case 1: key 20 times 0b, data "Hi There", HMAC-SHA-256 b0344c61d8…; its first 40 bits in base32 (RFC 4648).
func TestPseudonymIsHMAC(t *testing.T) {
	if got := pseudonym(bytes.Repeat([]byte{0x0b}, 20), "Hi There"); got != "WA2EYYOY" {
		t.Errorf("got %s", got)
	}
}

func TestInputIsRefused(t *testing.T) {
	good := inputOf(fake{months: 2, size: 3})
	for name, spoil := range map[string]func(*Input){
		"no reader": func(in *Input) { in.Reader = nil },
		"month":     func(in *Input) { in.Month = "03/2026" },
		"no key":    func(in *Input) { in.Key = nil },
	} {
		in := good
		spoil(&in)
		var out bytes.Buffer
		if err := Committee(t.Context(), &out, in); err == nil || out.Len() > 0 || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: error %v, %d bytes written", name, err, out.Len())
		}
	}
}

// Months with few or no members must give a report that says so.
func TestThinMonths(t *testing.T) {
	for name, f := range map[string]fake{"one month, one transport": {months: 1, size: 1}, "nothing in any month": {months: 5, size: 0}, "two months": {months: 2, size: 4}} {
		doc := html.UnescapeString(written(t, inputOf(f)))
		elements(t, doc)
		if f.size == 0 && !strings.Contains(doc, "no data") || f.size == 1 && !strings.Contains(doc, "Only 1 transport: too few to say anything") {
			t.Errorf("%s: the report does not say so", name)
		}
	}
}

func reader(t *testing.T, statements ...string) *queries.Reader {
	t.Helper()
	s := storetest.Open(t, store.Options{})
	for _, text := range statements {
		if _, err := s.DB().ExecContext(t.Context(), text); err != nil {
			t.Fatal(err)
		}
	}
	r, err := queries.Open(t.Context(), s, queries.Defaults())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestEmptyStoreGivesAReport(t *testing.T) {
	doc := html.UnescapeString(written(t, Input{Reader: reader(t), Month: "2026-03", Key: []byte("k")}))
	elements(t, doc)
	for _, text := range []string{"Transport team, March 2026", "No transport was asked for in March 2026.", "No chart shows a signal", DefaultNotice,
		"No alarm was recorded in monitored time.", "No transport of the month meets a reason for reading.", "No note was made"} {
		if !strings.Contains(doc, text) {
			t.Errorf("%q is not in the report", text)
		}
	}
}

// One transport with a death, through the real questions: its narrative and its patient's key stay in the store.
func TestOneTransportKeepsItsSecrets(t *testing.T) {
	r := reader(t,
		`insert into kept.transports (transport_id, vehicle, urgency, accepted_at, departed_base_at, arrived_referring_at, departed_referring_at,
			arrived_receiving_at, patient_key, died_in_transit, superseded, file_id, record_no)
		values ('RUN-77', 'ground', 'urgent', '2026-03-04 10:00', '2026-03-04 10:20', '2026-03-04 11:00', '2026-03-04 12:30', '2026-03-04 13:00',
			'SECRETKEY', true, false, 1, 2)`,
		`insert into kept.events (event_id, transport_id, kind, harm, narrative, superseded, file_id, record_no)
		values ('E1', 'RUN-77', 'cardiac_arrest', 'death', 'SECRETSTORY', false, 2, 2)`)
	doc := html.UnescapeString(written(t, Input{Reader: r, Month: "2026-03", Key: []byte("k")}))
	for _, secret := range []string{"SECRETKEY", "SECRETSTORY", "RUN-77"} {
		if strings.Contains(doc, secret) {
			t.Errorf("%s is in the report", secret)
		}
	}
	for _, text := range []string{pseudonym([]byte("k"), "RUN-77"), "Death under way; events with severe harm or death", "1 transport asked for, 1 completed", "median 90 min (n = 1)"} {
		if !strings.Contains(doc, text) {
			t.Errorf("%q is not in the report", text)
		}
	}
	next := html.UnescapeString(written(t, Input{Reader: r, Month: "2026-04", Key: []byte("k")}))
	if !strings.Contains(next, "No transport was asked for in April 2026.") || !strings.Contains(next, "All months before: median 90 min") {
		t.Error("the month after the last transport gives no sensible report")
	}
}

func TestWords(t *testing.T) {
	for text, want := range map[string]string{"pH": "pH", "pH low": "pH low", "SpO2": "SpO2", "p chart": "p chart", "p′ chart": "p′ chart", "run chart": "Run chart", "": "", "écart": "Écart"} {
		if got := capital(text); got != want {
			t.Errorf("capital(%q) = %q", text, got)
		}
	}
	if count(1234567) != "1\u202f234\u202f567" || count(12) != "12" || plural(1, "chart") != "1 chart" || plural(2, "chart") != "2 charts" {
		t.Error("numbers in words")
	}
}
