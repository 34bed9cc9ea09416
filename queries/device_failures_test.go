package queries

import (
	"testing"
)

func utc(text string) string { return "timestamp '" + text + "'" }

// The period is March 2026 in Chicago: 1 March 06:00 UTC to 1 April 05:00 UTC, 743 h, since the clocks go forward on the 8th.
func TestDeviceHours(t *testing.T) {
	f := newFixture(t)
	f.set.TimeZone = zone(t, "America/Chicago")
	f.trip("A", nil)
	device := func(id string, more cells) {
		row := cells{"device_id": q(id), "kind": q("ventilator")}
		for k, v := range more {
			row[k] = v
		}
		f.add("devices", row)
	}
	serve := func(id, removed, returned, reason string) {
		row := cells{"device_id": q(id), "removed_at": utc(removed), "reason": q(reason)}
		if returned != "" {
			row["returned_at"] = utc(returned)
		}
		f.add("service", row)
	}
	device("whole", nil)
	// From the start of the 8th (6:00 UTC) to the end of the 9th (10 March 05:00 UTC): the 8th has 23 h. 47 h.
	device("two days", cells{"in_service_on": "date '2026-03-08'", "retired_on": "date '2026-03-09'"})
	device("later", cells{"in_service_on": "date '2026-04-01'"})
	device("before", cells{"retired_on": "date '2026-02-28'"})
	device("old", cells{"superseded": "true"})
	// Out 24 h, and 12 h that overlap it by 6: 30 h less. Two failures, one of them while out.
	device("failed", nil)
	serve("failed", "2026-03-10 00:00:00", "2026-03-11 00:00:00", "failure")
	serve("failed", "2026-03-10 18:00:00", "2026-03-11 06:00:00", "failure")
	// Preventive from the last day of February and never back: no hour of March, no failure.
	device("gone", nil)
	serve("gone", "2026-02-28 12:00:00", "", "preventive")
	// At the first instant of March in the zone it is March's failure; an instant earlier February's. Back at once.
	device("edge", nil)
	serve("edge", "2026-03-01 06:00:00", "2026-03-01 06:00:00", "failure")
	serve("edge", "2026-03-01 05:59:59", "2026-03-01 05:59:59", "failure")
	// Returned before removed: no time out.
	device("crossed", nil)
	serve("crossed", "2026-03-10 12:00:00", "2026-03-10 00:00:00", "recall")
	serve("two days", "2026-03-20 00:00:00", "2026-03-21 00:00:00", "failure") // retired by then
	serve("stranger", "2026-03-20 00:00:00", "2026-03-21 00:00:00", "failure") // not registered
	out := "out: device not registered or not in service"
	f.want("device_failures", map[string]string{
		"whole 2026-03": "0.0/743.0", "two days 2026-03": "0.0/47.0 and " + out, "failed 2026-03": "2.0/713.0",
		"gone 2026-03": "0.0/0.0", "edge 2026-03": "1.0/743.0", "crossed 2026-03": "0.0/743.0", "stranger 2026-03": out,
	})
}

// Sums of a period longer than that of the transports: hours of every month asked for count.
func TestDeviceFailureSums(t *testing.T) {
	f := newFixture(t)
	f.trip("A", nil)
	f.add("devices", cells{"device_id": q("V"), "kind": q("ventilator")})
	f.add("devices", cells{"device_id": q("W"), "kind": q("ventilator"), "in_service_on": "date '2026-04-16'"})
	f.add("service", cells{"device_id": q("V"), "removed_at": utc("2026-04-10 00:00:00"), "returned_at": utc("2026-04-11 00:00:00"), "reason": q("failure")})
	f.add("service", cells{"device_id": q("W"), "removed_at": utc("2026-04-10 00:00:00"), "returned_at": utc("2026-04-11 00:00:00"), "reason": q("failure")})
	r := f.reader()
	ask := Request{Measures: []string{"device_failures"}}
	// March alone has a transport: 31 d × 24 h of V.
	if s := f.one(r, ask); s.T != 744 || s.X != 0 || s.Transports != 1 {
		t.Errorf("March: got %+v, want 744 h of one device", s)
	}
	// March to April: V 744 + 720 − 24, W 15 d × 24 = 360; one failure counts, W was not yet in service at the other.
	ask.From, ask.To = "2026-03", "2026-04"
	s := f.one(r, ask)
	if s.T != 744+720-24+360 || s.X != 1 || s.Transports != 2 || s.LeftOut["device not registered or not in service"] != 1 {
		t.Errorf("March to April: got %+v, want 1800 h of two devices, 1 failure, 1 left out", s)
	}
	// And back: the facts of the longer period are gone.
	if s := f.one(r, Request{Measures: ask.Measures}); s.T != 744 {
		t.Errorf("March again: got %v h, want 744", s.T)
	}
	ask.By, ask.ByMonth = "device", true
	sums, err := r.Sums(t.Context(), ask)
	if err != nil || len(sums) != 4 || sums[3].Group != "W" || sums[3].Month != "2026-04" || sums[3].T != 360 || sums[1].T != 0 {
		t.Errorf("by month and device: got %+v, %v", sums, err)
	}
}

// one asks for sums and expects one.
func (f *fixture) one(r *Reader, ask Request) Sum {
	f.t.Helper()
	sums, err := r.Sums(f.t.Context(), ask)
	if err != nil {
		f.t.Fatal(err)
	}
	if len(sums) != 1 {
		f.t.Fatalf("got %d sums, want 1: %+v", len(sums), sums)
	}
	return sums[0]
}
