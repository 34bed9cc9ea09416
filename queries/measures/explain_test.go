package measures

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"tripwake/queries"
)

// unitsInWords is how the unit of the contract stands in a formula.
var unitsInWords = map[string]string{"min": "in min", "L/h": "in L/h", "%": "in %", "/100": "per 100 ", "/h": "per hour", "/1000 h": "per 1000 hours", "1": "geometric mean"}

// The contract is testdata/contract/measures.csv: each of its measures has an answer from members, and a description with
// formula, unit and source.
func TestEveryMeasureOfTheContractIsAnsweredAndExplained(t *testing.T) {
	for _, row := range contract(t)[1:] {
		id, numerator, denominator, unit, source := row[0], row[5], row[6], row[7], row[11]
		s := queries.Sum{Measure: id, Facts: 20, Transports: 20, X: 5, T: 20}
		for i := range 20 {
			s.Xs, s.Ts = append(s.Xs, float64(1+i)), append(s.Ts, 2)
		}
		if answer := rowOf(t, s); answer.Value == nil || answer.N == 0 || answer.Unit != unit {
			t.Errorf("%s: no answer: %+v", id, answer)
		}
		list, err := Explain([]string{id})
		if err != nil || len(list) != 1 {
			t.Errorf("%s: no explanation: %v", id, err)
			continue
		}
		e := list[0]
		if !strings.Contains(e.Formula, numerator) || !strings.Contains(e.Formula, denominator) || unit == "" || !strings.Contains(e.Formula, unitsInWords[unit]) {
			t.Errorf("%s: formula %q lacks %q, %q or the unit %q", id, e.Formula, numerator, denominator, unit)
		}
		if e.Source != source || len(e.Source) < 4 || e.Population != row[4] || e.Interval != row[8] || e.Chart != row[9] {
			t.Errorf("%s: %+v is not the contract's %q", id, e, row)
		}
	}
}

// Measures that count every member as recorded leave nothing out; all others say what.
func TestExclusionsStandWithTheirMeasures(t *testing.T) {
	complete := []string{"first_attempt_intubation", "adverse_events", "transports_with_event", "preventable_events", "harmful_events", "serious_events",
		"device_dislodgement", "medication_error", "equipment_failure", "cardiac_arrest", "patient_injury", "crew_injury", "alarms_per_hour",
		"high_priority_alarms_per_hour", "repeat_alarms", "alarm_flood", "alarming_time", "declined_no_equipment", "delayed_no_equipment", "declined"}
	for _, d := range Catalogue() {
		if none := len(d.Exclusions()) == 0; none != slices.Contains(complete, d.ID) {
			t.Errorf("%s: exclusions %q", d.ID, d.Exclusions())
		}
	}
	for _, e := range exclusions {
		for _, id := range e.measures {
			if _, err := Find(id); err != nil {
				t.Errorf("%q names %s, which is no measure", e.reason, id)
			}
		}
	}
}

func TestExplanationsInEveryFormat(t *testing.T) {
	list, err := Explain([]string{"battery_overdrawn", "crew_injury"})
	if err != nil {
		t.Fatal(err)
	}
	var text, table, lines bytes.Buffer
	for format, out := range map[string]*bytes.Buffer{"table": &text, "csv": &table, "json": &lines} {
		if err := WriteExplanations(out, format, list); err != nil {
			t.Fatal(err)
		}
	}
	for _, want := range []string{"battery_overdrawn: Used over 80 % of rated battery endurance (power, proportion)\n", "\n  exclusions   the time under way cannot be told: an end is missing, or they are out of order; the device has no battery rating\n",
		"\n\ncrew_injury: ", "\n  chart        none\n", "\n  source       Schwartz 2015\n"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("%q is not in\n%s", want, text.String())
		}
	}
	records, err := csv.NewReader(&table).ReadAll()
	if err != nil || len(records) != 3 || records[0][0] != "measure" || records[2][0] != "crew_injury" {
		t.Errorf("csv %q, %v", records, err)
	}
	var back Explanation
	if err := json.Unmarshal(bytes.SplitN(lines.Bytes(), []byte("\n"), 2)[0], &back); err != nil || back.Measure != "battery_overdrawn" || len(back.Exclusions) != 2 {
		t.Errorf("json %s: %v", lines.String(), err)
	}
	if all, err := Explain(nil); err != nil || len(all) != len(Catalogue()) {
		t.Errorf("all: %d, %v", len(all), err)
	}
	if _, err := Explain([]string{"speed"}); err == nil {
		t.Error("an unknown measure was explained")
	}
	if err := WriteExplanations(&text, "xml", nil); err == nil {
		t.Error("an unknown format was written")
	}
}
