package queries

import (
	"fmt"
	"slices"
	"testing"
	"time"
)

// V1 all the time, away for failure on the 3rd and (overlapping) recall to the 5th; V2 from the 4th; V3 retired before; W of
// another kind. From the 1st to the 11th of March: 1; 0 from the 3rd; V2 comes on the 4th; V1 back on the 5th.
func TestDevicePresence(t *testing.T) {
	f := newFixture(t)
	f.add("devices", cells{"device_id": q("V1"), "kind": q("ventilator")})
	f.add("devices", cells{"device_id": q("V2"), "kind": q("ventilator"), "in_service_on": "date '2026-03-04'"})
	f.add("devices", cells{"device_id": q("V3"), "kind": q("ventilator"), "retired_on": "date '2026-02-01'"})
	f.add("devices", cells{"device_id": q("W"), "kind": q("monitor")})
	f.add("service", cells{"device_id": q("V1"), "removed_at": utc("2026-03-03 00:00:00"), "returned_at": utc("2026-03-04 12:00:00"), "reason": q("failure")})
	f.add("service", cells{"device_id": q("V1"), "removed_at": utc("2026-03-04 00:00:00"), "returned_at": utc("2026-03-05 00:00:00"), "reason": q("recall")})
	f.trip("A", cells{"team": q("North"), "ventilator_id": q("V1")})
	r := f.reader()
	from, until := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), time.Date(2026, 3, 11, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		kind, team string
		want       []string
	}{
		{"ventilator", "", []string{"01 1/1", "03 0/1", "04 1/2", "05 2/2"}},
		{"ventilator", "North", []string{"01 1/1", "03 0/1", "05 1/1"}},
		{"pump", "", []string{"01 0/0"}},
	} {
		got, err := r.DevicePresence(t.Context(), c.kind, c.team, from, until)
		var text []string
		for _, p := range got {
			text = append(text, fmt.Sprintf("%s %d/%d", p.At.Format("02"), p.Units, p.Registered))
		}
		if err != nil || !slices.Equal(text, c.want) {
			t.Errorf("%s of %q: %v, %v, want %v", c.kind, c.team, text, err, c.want)
		}
	}
}
