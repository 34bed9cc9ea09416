package queries

import (
	"fmt"
	"slices"
	"testing"
)

// hour is the time of 10 March 2026 as "12:00", or "" for none.
func written(requests []DeviceRequest) []string {
	var all []string
	for _, r := range requests {
		free := "?"
		if !r.Free.IsZero() {
			free = r.Free.Format("15:04")
		}
		asked := "?"
		if !r.Asked.IsZero() {
			asked = r.Asked.Format("15:04")
		}
		all = append(all, fmt.Sprintf("%s %s-%s %v %v", r.TransportID, asked, free, r.TurnedAway, r.Delayed))
	}
	return all
}

// A trip of the fixture is accepted at 12:00 and available at 16:00: with 30 min to make ready it is free at 16:30.
func TestDeviceRequests(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"team": q("North"), "delay_reason": q("no_equipment")})
	f.trip("B", cells{"ventilator_id": "null", "accepted_at": at(-60), "team": q("South")})
	f.trip("C", cells{"disposition": q("declined"), "disposition_reason": q("no_equipment"), "accepted_at": "null", "called_at": at(10), "available_at": "null"})
	f.trip("D", cells{"disposition": q("declined"), "disposition_reason": q("weather")})
	f.trip("E", cells{"disposition": q("cancelled"), "available_at": at(60), "departed_base_at": "null"})
	f.trip("F", cells{"disposition": q("cancelled"), "accepted_at": "null", "departed_base_at": "null"})
	f.trip("G", cells{"accepted_at": at(20), "available_at": at(10)})
	f.trip("H", cells{"accepted_at": at(30), "available_at": at(31*24*60 + 31)})
	f.trip("I", cells{"accepted_at": "null", "departed_base_at": at(40)})
	f.add("devices", cells{"device_id": q("M1"), "kind": q("monitor")})
	f.add("carried", cells{"transport_id": q("B"), "device_id": q("M1")})
	r := f.reader()
	for _, c := range []struct {
		kind, team string
		want       []string
	}{
		{"ventilator", "", []string{"A 12:00-16:30 false true", "E 12:00-13:30 false false", "C 12:10-? true false", "G 12:20-? false false",
			"H 12:30-? false false", "I ?-? false false"}},
		{"monitor", "", []string{"B 11:00-16:30 false false", "C 12:10-? true false"}},
		{"monitor", "South", []string{"B 11:00-16:30 false false"}},
		{WholeTeam, "North", []string{"A 12:00-16:30 false true"}},
		{"pump", "", []string{"C 12:10-? true false"}},
	} {
		got, err := r.DeviceRequests(t.Context(), c.kind, c.team, "", "")
		if err != nil || !slices.Equal(written(got), c.want) {
			t.Errorf("%s of %q: %v, %v\nwant %v", c.kind, c.team, written(got), err, c.want)
		}
	}
	lent := newFixture(t)
	for i, team := range []string{"North", "North", "South", "South"} { // V of North twice, and lent to South once; U is South's
		lent.trip(fmt.Sprint(i), cells{"team": q(team), "ventilator_id": q([]string{"V", "V", "V", "U"}[i])})
	}
	borrowed, err := lent.reader().DeviceRequests(t.Context(), "ventilator", "", "", "")
	if err != nil || len(borrowed) != 4 || borrowed[0].Lent || borrowed[1].Lent || !borrowed[2].Lent || borrowed[3].Lent {
		t.Errorf("lent: %+v, %v: want the third alone", borrowed, err)
	}
	all, err := r.DeviceRequests(t.Context(), WholeTeam, "", "2026-03", "2026-03")
	if err != nil || len(all) != 7 {
		t.Errorf("March: %v, %v: want A B C E G H I", written(all), err)
	}
	if _, err := r.DeviceRequests(t.Context(), "ventilator", "", "2026-04", "2026-03"); err == nil {
		t.Error("a span that ends before it begins was taken")
	}
}
