package reports

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
	"testing"

	"tripwake/queries/measures"
)

// The invented story (package invent): from its tenth month, October 2025, the default limit of expired_tidal_volume_low is
// 3.2 instead of 4.5 mL/kg on every ventilator; in its last, June 2026, that of spo2_low is 92 instead of 88 % on every monitor.
// Every other limit stays or is set for the patient.
func TestInventedDefaultsAreFoundAndNoOther(t *testing.T) {
	defaults, err := inventedReader(t).AlarmDefaults(t.Context(), "", "")
	if err != nil {
		t.Fatal(err)
	}
	changes := measures.DefaultChanges(defaults)
	if len(changes) != 2 {
		t.Fatalf("got %d changes, want two: %+v", len(changes), changes)
	}
	for i, want := range []struct {
		condition, month string
		from, to         float64
	}{{"expired_tidal_volume_low", "2025-10", 4.5, 3.2}, {"spo2_low", "2026-06", 88, 92}} {
		if c := changes[i]; c.Condition != want.condition || c.From != want.from || c.To != want.to || c.Month != want.month || len(c.Devices) != 5 {
			t.Errorf("got %s", c.Sentence())
		}
	}
}

var (
	listItem = regexp.MustCompile(`(?s)<li class="[a-z]*">.*?</li>`)
	anchor   = regexp.MustCompile(`<a href="#([^"]+)">([^<]*)</a>`)
)

// walker follows links of a document as a reader clicks them.
type walker struct {
	t   *testing.T
	doc string
}

// at is the element with an id: a row of a table, or a heading with what follows it up to the next.
func (w walker) at(id string) string {
	w.t.Helper()
	start := strings.Index(w.doc, ` id="`+id+`"`)
	if start < 0 {
		w.t.Fatalf("a link leads to #%s, which is not there", id)
	}
	start = strings.LastIndex(w.doc[:start], "<")
	end := "</tr>"
	if strings.HasPrefix(w.doc[start:], "<h3") {
		end = "<h3"
	}
	text := w.doc[start+1:]
	if to := strings.Index(text, end); to >= 0 {
		text = text[:to]
	}
	return text
}

// targets are the links of a text whose target begins so, in order.
func (w walker) targets(text, prefix string) []string {
	var found []string
	for _, m := range anchor.FindAllStringSubmatch(text, -1) {
		if strings.HasPrefix(m[1], prefix) {
			found = append(found, m[1])
		}
	}
	return found
}

// cellWithCode finds a cell of a table, or a text of a drawing, that bears a code as records and JSON do.
var cellWithCode = regexp.MustCompile(`<(?:t[dh]|text)\b[^>]*>(?:<a[^>]*>)?[^<]*(?:\b(?:spo2|pip|peep|fio2|etco2|cpap|nippv|simv|cmv|hfov|hfjv)\b|[a-z]_[a-z])[^<]*<`)

// "Alarms doubled in June": from that sentence a reader comes by clicks alone to the condition, to the default that changed, to
// the three transports that made it, and to their pages, which show that alarm.
func TestFromTheAlarmSignalToThePagesByClicksAlone(t *testing.T) {
	in := inputOf(fake{months: 18, size: 20})
	in.Reader, in.Month = inventedReader(t), "2026-06"
	var page bytes.Buffer
	if err := Committee(t.Context(), &page, in); err != nil {
		t.Fatal(err)
	}
	if code := cellWithCode.FindString(page.String()); code != "" {
		t.Errorf("the cell %q shows a code: want words", code)
	}
	w := walker{t, page.String()}
	items := listItem.FindAllString(w.doc, -1)
	at := slices.IndexFunc(items, func(s string) bool { return strings.Contains(s, "Alarms per monitored hour") })
	if at < 0 || !strings.Contains(items[at], "Worse.") {
		t.Fatalf("the alarms do not stand out among %d signals", len(items))
	}
	condition := w.targets(items[at], "alarm-spo2-low")
	if len(condition) < 2 || condition[1] != "alarm-spo2-low-default-2026-06" || !strings.Contains(items[at], "from 88 to 92 %") {
		t.Fatalf("the sentence leads to %v: want the condition and its default", condition)
	}
	shown := w.at(condition[0])
	if !strings.Contains(shown, "SpO2 low") || !slices.Contains(w.targets(shown, "alarm-"), condition[1]) {
		t.Errorf("the row of the condition does not lead on to its default: %s", shown)
	}
	cases := w.targets(w.at(condition[1]), "case-")
	if len(cases) != 3 || !slices.Equal(cases, w.targets(items[at], "case-")) {
		t.Fatalf("the default leads to %v, the sentence to %v: want the same three transports", cases, w.targets(items[at], "case-"))
	}
	for _, id := range cases {
		if one := w.at(id); !strings.Contains(one, "SpO2 low, medium priority") || !strings.Contains(one, "SpO2 low alarmed") {
			t.Errorf("the page %s does not show the alarm: %.300s", id, one)
		}
	}
	monthAfter(t, in)
}

// A month later the same signal is an earlier one: its line leads on as the sentence did.
func monthAfter(t *testing.T, in Input) {
	t.Helper()
	in.Month, in.Parts = "2026-07", []string{"alarms"}
	var page bytes.Buffer
	if err := Committee(t.Context(), &page, in); err != nil {
		t.Fatal(err)
	}
	w := walker{t, page.String()}
	at := strings.Index(w.doc, "Earlier signal, June 2026:")
	if at < 0 {
		t.Fatal("the signal of June is not told in July")
	}
	line := w.doc[at : at+strings.Index(w.doc[at:], "</p>")]
	condition := w.targets(line, "alarm-spo2-low")
	if len(condition) < 2 || condition[1] != "alarm-spo2-low-default-2026-06" || !strings.Contains(line, "Most of it in June 2026 on") {
		t.Errorf("the earlier signal leads to %v: want the condition, its default and the transports of June", condition)
	}
	for _, id := range condition {
		w.at(id)
	}
}
