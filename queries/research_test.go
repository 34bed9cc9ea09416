package queries

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// researched reads one cell of the research data set as text.
func (f *fixture) researched(id, column string) string {
	f.t.Helper()
	r := f.reader()
	table, err := r.Research(f.t.Context())
	if err != nil {
		f.t.Fatal(err)
	}
	cells, err := collect(f.t.Context(), r, fmt.Sprintf("select coalesce(%s::varchar, 'empty') from %s where transport_id = '%s'", column, table, id), scanText)
	if err != nil || len(cells) != 1 {
		f.t.Fatalf("%s of %s: %v, %v", column, id, cells, err)
	}
	return cells[0]
}

// One transport whose every quantity is worked out by hand: under way from minute 60 to 180, support from 60.
func TestResearchByHand(t *testing.T) {
	f := newFixture(t)
	f.set.TimeZone = zone(t, "America/Chicago")
	f.trip("A", cells{
		"departed_base_at": at(20), "patient_key": q("P1"), "vehicle": q("rotor"), "gestation": "27.4", "age_at_call": "1",
		"planned_oxygen": "100", "planned_duration": "60", "died_within_7_days": "false",
	})
	f.trip("B", cells{"disposition": q("declined"), "disposition_reason": q("no_equipment")})
	f.add("assessments", cells{"transport_id": q("A"), "stage": q("referring_arrival"), "recorded_at": at(60), "temperature": "36",
		"respiratory_status": q("severe"), "systolic_pressure": "30", "response": q("none")})
	f.add("assessments", cells{"transport_id": q("A"), "stage": q("receiving_arrival"), "recorded_at": at(170), "temperature": "36.8",
		"respiratory_status": q("severe"), "systolic_pressure": "50", "response": q("lethargic"), "mean_airway_pressure": "10", "fio2": "40", "po2": "80"})
	f.add("settings", cells{"transport_id": q("A"), "recorded_at": at(60), "mode": q("cpap"), "interface": q("nasal"), "flow": "8", "fio2": "100"})
	f.add("settings", cells{"transport_id": q("A"), "recorded_at": at(90), "mode": q("simv"), "interface": q("tube"), "flow": "8", "fio2": "100"})
	f.add("cylinders", cells{"transport_id": q("A"), "gas": q("oxygen"), "size": q("D"), "start_pressure": "13789.514587", "end_pressure": "6894.7572935"})
	f.add("alarms", cells{"transport_id": q("A"), "started_at": at(100), "ended_at": at(101), "condition": q("apnea"), "priority": q("high")})
	f.add("events", cells{"transport_id": q("A"), "event_id": q("E1"), "kind": q("hypotension"), "harm": q("mild")})
	f.add("events", cells{"transport_id": q("A"), "event_id": q("E2"), "kind": q("unplanned_extubation"), "harm": q("moderate")})
	for column, want := range map[string]string{
		"patient_key": "P1", "month": "2026-03", "year": "2026", "vehicle": "rotor", "sex": "not recorded", "urgency": "not recorded",
		"gestation_band": "under 28", "age_band": "neonatal", "completed": "true", "mobilization_time": "20.0", "care_time": "120.0",
		"stabilization_time": "empty", "referring_trips": "55", "receiving_trips": "20", "trips_change": "-35", "referring_trips_systolic": "16",
		"receiving_oxygenation_index": "5.0", "hypothermia_on_arrival": "false", "first_support": "cpap", "last_support": "invasive",
		"highest_support": "invasive", "episodes": "2", "conversions": "1", "escalations": "true", "time_to_escalation": "30.0",
		"invasive_hours": "1.5", "non_invasive_hours": "0.5", "tube_hours": "1.5", "alarms": "1", "high_priority_alarms": "1", "medium_priority_alarms": "0",
		"alarm_flood": "false", "planned_oxygen": "100.0", "event_hypotension": "1", "event_other": "0", "harm_mild": "1", "worst_harm": "moderate",
		"adverse_events": "2", "unplanned_extubation": "1", "died_within_7_days": "false", "died_in_transit": "empty", "battery_time": "empty",
	} {
		if got := f.researched("A", column); got != want {
			t.Errorf("%s: got %s, want %s", column, got, want)
		}
	}
	// 1000 psi of a D cylinder at 0.16 L/psi; the ventilator's settings ask for 8 L/min over 120 min.
	if got := f.researched("A", "round(oxygen_used, 4)"); got != "160.0" {
		t.Errorf("oxygen used %s, want 160", got)
	}
	if got := f.researched("A", "round(oxygen_hindsight, 4)"); got != "960.0" {
		t.Errorf("hindsight %s, want 960", got)
	}
	if got := f.researched("B", "declined_no_equipment::varchar || completed::varchar || coalesce(adverse_events, -1)"); got != "truefalse-1" {
		t.Errorf("a declined request: %s", got)
	}
}

// The table that describes the data set and the data set itself cannot part.
func TestResearchColumnsAreDescribed(t *testing.T) {
	f := newFixture(t)
	f.trip("A", nil)
	r := f.reader()
	table, err := r.Research(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	types := map[ColumnKind]string{NumberColumn: "DOUBLE", CountColumn: "BIGINT", FlagColumn: "BOOLEAN", CodeColumn: "VARCHAR", TextColumn: "VARCHAR"}
	made, err := collect(t.Context(), r, "select column_name || ' ' || data_type from duckdb_columns() where table_name = '"+table+"' order by column_index", scanText)
	if err != nil {
		t.Fatal(err)
	}
	plain := regexp.MustCompile(`^[a-z][a-z0-9_]*$`)
	for i, c := range ResearchColumns() {
		if want := c.Name + " " + types[c.Kind]; i >= len(made) || made[i] != want {
			t.Errorf("column %d is not %q", i+1, want)
		}
		if !plain.MatchString(c.Name) || c.Meaning == "" || c.Source == "" || c.Privacy == "" {
			t.Errorf("%+v: name, meaning, source and privacy class are needed", c)
		}
		if (c.Kind == CodeColumn) != (len(c.Codes) > 0) {
			t.Errorf("%s: a code has codes, nothing else has", c.Name)
		}
		if c.Kind == TextColumn && c.Privacy != Identifier {
			t.Errorf("%s: free text must not leave the store", c.Name)
		}
		if (c.Kind == NumberColumn) && c.Unit == "" {
			t.Errorf("%s: a number needs a unit", c.Name)
		}
	}
	if len(made) != len(ResearchColumns()) {
		t.Errorf("%d columns made, %d described", len(made), len(ResearchColumns()))
	}
}

// Every measure about transports is in the data set, or the reason is here.
func TestResearchHoldsTheMeasures(t *testing.T) {
	elsewhere := map[string]string{
		"transports_with_event": "adverse_events over 0", "unplanned_extubation_hours": "unplanned_extubation and tube_hours",
		"medication_error": "event_medication_error", "equipment_failure": "event_equipment_failure and two more",
		"cardiac_arrest": "event_cardiac_arrest", "patient_injury": "event_patient_injury", "crew_injury": "event_crew_injury",
		"device_failures": "about devices", "record_linked": "about rows",
	}
	var taken []string
	for _, c := range ResearchColumns() {
		taken = append(taken, c.measure)
	}
	for _, question := range questions() {
		for measure := range question.measures {
			if !slices.Contains(taken, measure) && elsewhere[measure] == "" {
				t.Errorf("%s is in no column", measure)
			}
		}
	}
	if strings.Contains(factSums(ResearchColumns()), "''") {
		t.Error("a sum over no measure")
	}
}
