package queries

import "testing"

func TestHarm(t *testing.T) {
	f := newFixture(t)
	event := func(id, kind string, more cells) {
		row := cells{"transport_id": q(id), "kind": q(kind)}
		for k, v := range more {
			row[k] = v
		}
		f.add("events", row)
	}
	f.trip("A", nil)
	event("A", "unplanned_extubation", cells{"harm": q("severe"), "preventable": "true"})
	event("A", "line_dislodgement", cells{"harm": q("none"), "preventable": "false"})
	event("A", "power_failure", cells{"harm": q("mild")})
	event("A", "other", cells{"event_id": q("E1"), "superseded": "true"}) // corrected: the next row stands
	event("A", "medication_error", cells{"event_id": q("E1")})
	f.trip("B", nil)
	f.trip("C", nil)
	event("C", "cardiac_arrest", cells{"harm": q("death")})
	event("C", "crew_injury", cells{"harm": q("moderate")})
	// Cancelled after leaving base: it went out, so injuries count, other events do not.
	f.trip("out", cells{"disposition": q("cancelled"), "departed_base_at": at(10)})
	event("out", "patient_injury", nil)
	event("out", "other", nil)
	f.trip("in", cells{"disposition": q("cancelled")})
	event("in", "crew_injury", nil)
	event("nobody", "other", nil) // names a transport that is not known

	want := func(measure, a, b, c string) {
		t.Helper()
		f.want(measure, map[string]string{"A": a + "/1.0", "B": b + "/1.0", "C": c + "/1.0"})
	}
	want("adverse_events", "4.0", "0.0", "2.0")
	want("transports_with_event", "1.0", "0.0", "1.0")
	want("preventable_events", "1.0", "0.0", "0.0")
	want("harmful_events", "2.0", "0.0", "2.0")
	want("serious_events", "1.0", "0.0", "1.0")
	want("device_dislodgement", "2.0", "0.0", "0.0")
	want("medication_error", "1.0", "0.0", "0.0")
	want("equipment_failure", "1.0", "0.0", "0.0")
	want("cardiac_arrest", "0.0", "0.0", "1.0")
	f.want("patient_injury", map[string]string{"A": "0.0/1.0", "B": "0.0/1.0", "C": "0.0/1.0", "out": "1.0/1.0"})
	f.want("crew_injury", map[string]string{"A": "0.0/1.0", "B": "0.0/1.0", "C": "1.0/1.0", "out": "0.0/1.0"})
}
