package queries

import "testing"

func TestRecordLinks(t *testing.T) {
	f := newFixture(t)
	f.set.TimeZone = zone(t, "America/Chicago")
	f.trip("A", nil)
	f.setting("A", 60, "cpap", "nasal")
	f.reading("A", "V", 60, "spo2", "90")
	f.alarm("A", 60, unended, nil)
	f.reading("A", "V", 999, "spo2", "90")      // outside the window, but linked as it says
	f.reading("unknown", "V", 60, "spo2", "90") // out of every measure
	f.power("A", "V", 60, "battery", nil)       // power is no part of the population
	f.add("readings", cells{"device_id": q("V"), "recorded_at": at(60), "quantity": q("spo2"), "value": "90"})
	f.add("readings", cells{"recorded_at": at(60), "quantity": q("spo2"), "value": "90"})
	// A row's own month counts, in the team's zone: 1 April 05:00 UTC is Chicago's midnight.
	f.add("readings", cells{"device_id": q("V"), "recorded_at": utc("2026-04-01 04:59:59"), "quantity": q("spo2"), "value": "90"})
	f.add("alarms", cells{"device_id": q("V"), "started_at": utc("2026-04-01 05:00:00"), "condition": q("leak")})
	// Two facts of V and March have no transport: the unlinked rows, and those of the unknown transport.
	f.want("record_linked", map[string]string{
		"A V 2026-03": "4.0/4.0", "not recorded 2026-03": "0.0/1.0", "V 2026-04": "0.0/1.0",
		"V 2026-03": "0.0/2.0 and out: names a transport not yet known",
	})
	s := f.one(f.reader(), Request{Measures: []string{"record_linked"}, From: "2026-03", To: "2026-03"})
	// March: 4 linked of 4 + 1 + 1 + 1 rows; one row left out.
	if s.X != 4 || s.T != 7 || s.LeftOut["names a transport not yet known"] != 1 {
		t.Errorf("March: got %+v, want 4 of 7 rows and 1 left out", s)
	}
}
