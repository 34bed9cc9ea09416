package reports

import (
	"bytes"
	"fmt"
	"html"
	"regexp"
	"slices"
	"strings"
	"testing"
	"time"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// offers are one candidate of each sort; every text of them, and of the records below, is hostile.
func offers(hostile string) []measures.Candidate {
	base := measures.Candidate{Add: 1, Batteries: 1, Derating: 1, Price: 42000, Life: 8, Service: 1200}
	device, battery, set, crew := base, base, base, base
	device.Name, device.Kind, device.Team = "Second"+hostile, "ventilator", "North"+hostile
	battery.Name, battery.Kind, battery.Endurance, battery.EnduranceDimmed, battery.Devices = "Battery"+hostile, measures.KindBattery, 200, 200, []string{"V1" + hostile}
	set.Name, set.Kind, set.Gas, set.Sizes, set.Pressure = "Set"+hostile, measures.KindCylinders, "oxygen", []string{"E", "E"}, 2000
	crew.Name, crew.Kind, crew.Units = "Crew"+hostile, queries.WholeTeam, 5
	return []measures.Candidate{device, battery, set, crew}
}

// busy is a store of two teams with a ventilator each: every third day two requests of one team overlap.
func busy(t *testing.T, hostile string) *queries.Reader {
	t.Helper()
	text := func(s string) string { return "'" + strings.ReplaceAll(s+hostile, "'", "''") + "'" }
	var all []string
	row := 0
	add := func(table, columns string, values ...string) {
		row++
		all = append(all, fmt.Sprintf("insert into kept.%s (%s, file_id, record_no) values (%s, 1, %d)", table, columns, strings.Join(values, ", "), row))
	}
	for i, team := range []string{"North", "South"} {
		v := fmt.Sprintf("V%d", i+1)
		add("devices", "device_id, kind, battery_endurance, superseded", text(v), "'ventilator'", "100", "false")
		for day := range 30 {
			for call := range 1 + (day+1)%3/2 {
				at := time.Date(2026, 4, 1+day, 8+call, 0, 0, 0, time.UTC)
				id := text(fmt.Sprintf("%s-%d-%d", team, day, call))
				moment := func(h int) string { return "'" + at.Add(time.Duration(h)*time.Hour).Format(time.DateTime) + "'" }
				add("transports", "transport_id, team, ventilator_id, accepted_at, at_patient_at, handed_over_at, available_at, superseded",
					id, text(team), text(v), moment(0), moment(1), moment(3), moment(4), "false")
				add("power", "transport_id, trip, device_id, recorded_at, source", id, id, text(v), moment(1), "'battery'")
				add("settings", "transport_id, trip, device_id, recorded_at, mode, interface, flow, fio2", id, id, text(v), moment(1), "'cpap'", "'nasal'", "8", "100")
				add("cylinders", "transport_id, gas, size, start_pressure, end_pressure", id, "'oxygen'", "'E'", "13000", "1000")
			}
		}
	}
	add("events", "event_id, transport_id, kind, device_id, superseded", "'e'", text("North-0-0"), "'power_failure'", text("V1"), "false")
	add("service", "device_id, removed_at, returned_at, reason", text("V1"), "'2026-04-20 00:00'", "'2026-04-22 00:00'", "'failure'")
	return reader(t, all...)
}

func purchaseOf(t *testing.T, r *queries.Reader, hostile string, candidates []measures.Candidate) string {
	t.Helper()
	p, err := measures.NewPurchase(t.Context(), r, measures.PurchaseAsk{Candidates: candidates, Currency: "XTS" + hostile, Target: 0.95})
	if err != nil {
		t.Fatal(err)
	}
	in := PurchaseInput{Purchase: p, Team: "Northfold" + hostile, Notice: "Ours alone" + hostile, Version: "1" + hostile, SettingsHash: "cd",
		Settings: PurchaseSettings{Turnaround: 30 * time.Minute, BatteryShare: "80 %", OxygenReserve: "30 min"},
		Ledger:   []LedgerLine{{Table: "alarms" + hostile, Read: 3, Stored: 3}}, Inputs: []InputFile{{"a.csv" + hostile, "ab"}},
		GeneratedAt: time.Date(2026, 7, 1, 9, 30, 0, 0, time.UTC)}
	var out bytes.Buffer
	if err := Purchase(&out, in); err != nil {
		t.Fatal(err)
	}
	return out.String()
}

func TestPurchaseOfHostileRecords(t *testing.T) {
	doc := purchaseOf(t, busy(t, nasty), nasty, offers(nasty))
	for _, e := range elements(t, doc) {
		if slices.Contains([]string{"script", "iframe", "img", "link", "form", "object", "image", "use"}, e.name) {
			t.Errorf("element %s", e.name)
		}
		for name, value := range e.attr {
			if strings.HasPrefix(name, "on") || name == "style" || name == "href" && !strings.HasPrefix(value, "#") {
				t.Errorf("<%s %s=%q>", e.name, name, value)
			}
		}
	}
	if strings.Count(html.UnescapeString(doc), "alert(1)") < 10 || strings.Contains(doc, "<script") {
		t.Error("text of the records is missing, or runs")
	}
}

// North has 40 requests, ten of which come an hour after another that holds its ventilator until 12:30: ten find none of one free
// when it is always there. On 20 April (two requests, one of them among the ten) and 21 April (one) it is out of service: 9 + 2 + 1
// find none. A second one serves all but the later request of the 20th: 11.
func TestPurchaseSaysWhatWouldHaveChanged(t *testing.T) {
	r := busy(t, "")
	doc := purchaseOf(t, r, "", offers(""))
	if doc != purchaseOf(t, r, "", offers("")) {
		t.Error("two reports of the same input differ")
	}
	plain := html.UnescapeString(doc)
	for _, text := range []string{"Northfold: what a purchase would have changed", "In April 2026, one more ventilator for North would have served 11 of the 12 requests that found none free",
		"Had every unit been there at all times, 10 (", "does not say what to buy", "What the records cannot say", "80 requests came in", "The records speak", "k of n", "Erlang B",
		"Shared by all teams: ", "bootstrap over weeks", "power failure"} {
		if !strings.Contains(plain, text) {
			t.Errorf("%q is not in the report: %s", text, regexp.MustCompile(`In April 2026, one[^<]*`).FindString(plain))
		}
	}
	ids := map[string]int{}
	for _, e := range elements(t, doc) {
		if id := e.attr["id"]; id != "" {
			ids[id]++
		}
	}
	for id, n := range ids {
		if n > 1 {
			t.Errorf("id %s stands %d times", id, n)
		}
	}
	for _, target := range regexp.MustCompile(`href="#([^"]*)"`).FindAllStringSubmatch(doc, -1) {
		if ids[target[1]] == 0 {
			t.Errorf("#%s leads nowhere", target[1])
		}
	}
	for _, f := range strings.Split(doc, `<div class="figure`)[1:] {
		if strings.Contains(f, "<svg") && (!strings.Contains(f, "<table") || !strings.Contains(f, `role="img"`)) {
			t.Errorf("a chart without a table or description: %.120s", f)
		}
	}
}

// Nothing stored; no candidate; one transport without a device or a register.
func TestPurchaseOfLittle(t *testing.T) {
	empty := html.UnescapeString(purchaseOf(t, reader(t), "", offers("")))
	elements(t, empty)
	if !strings.Contains(empty, "No transport of these months is stored") || strings.Contains(empty, "<svg") {
		t.Error("an empty store")
	}
	bare := html.UnescapeString(purchaseOf(t, busy(t, ""), "", nil))
	elements(t, bare)
	if !strings.Contains(bare, "No candidate is named") || !strings.Contains(bare, "The need as it was") {
		t.Error("without a candidate the need is not told, or not how to name one")
	}
	one := reader(t, `insert into kept.transports (transport_id, accepted_at, available_at, superseded, file_id, record_no)
		values ('SECRET-1', '2026-03-04 10:00', '2026-03-04 14:00', false, 1, 2)`)
	doc := html.UnescapeString(purchaseOf(t, one, "", offers("")))
	elements(t, doc)
	for _, text := range []string{"1 request came in", "cannot be told", "No device is registered", "one more team would have changed nothing"} {
		if !strings.Contains(strings.ToLower(doc), strings.ToLower(text)) {
			t.Errorf("%q is not in the report of one transport", text)
		}
	}
	if strings.Contains(doc, "SECRET-1") {
		t.Error("the transport is named")
	}
}
