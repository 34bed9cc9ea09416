package queries

import (
	"slices"
	"testing"
	"time"
)

// Ten days of March, 240 h. V1 fails on the 3rd (36 h, 500) and is away for prevention 12 h; V2 comes on the 6th (120 h) and
// fails on the 10th without an end: 24 h out, none repaired; a failure before it came counts for nobody.
func TestDeviceDowntime(t *testing.T) {
	f := newFixture(t)
	f.add("devices", cells{"device_id": q("V1"), "kind": q("ventilator")})
	f.add("devices", cells{"device_id": q("V2"), "kind": q("ventilator"), "in_service_on": "date '2026-03-06'"})
	f.add("devices", cells{"device_id": q("V0"), "kind": q("ventilator"), "retired_on": "date '2025-01-01'"})
	f.add("service", cells{"device_id": q("V1"), "removed_at": utc("2026-03-03 00:00:00"), "returned_at": utc("2026-03-04 12:00:00"), "reason": q("failure"), "cost": "500"})
	f.add("service", cells{"device_id": q("V1"), "removed_at": utc("2026-03-08 00:00:00"), "returned_at": utc("2026-03-08 12:00:00"), "reason": q("preventive")})
	f.add("service", cells{"device_id": q("V2"), "removed_at": utc("2026-03-02 00:00:00"), "returned_at": utc("2026-03-03 00:00:00"), "reason": q("failure")})
	f.add("service", cells{"device_id": q("V2"), "removed_at": utc("2026-03-10 00:00:00"), "reason": q("failure")})
	f.trip("A", cells{"team": q("North"), "ventilator_id": q("V1")})
	got, err := f.reader().DeviceDowntime(t.Context(), time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), time.Date(2026, 3, 11, 0, 0, 0, 0, time.UTC))
	want := []Downtime{
		{Device: "V1", Kind: "ventilator", Team: "North", Held: 240, Out: 48, Failures: 1, Removals: 2, Repaired: 1, RepairHours: 36, Cost: 500},
		{Device: "V2", Kind: "ventilator", Held: 120, Out: 24, Failures: 1, Removals: 1},
	}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("got  %+v, %v\nwant %+v", got, err, want)
	}
}
