package queries

import "testing"

// Under way from minute 60 to 180. A: battery from 60 to 100 lit, 100 to 120 dimmed, then mains; its ventilator is rated at 100
// min (dimmed as lit): 0.6 of it. B: another ventilator without a rating, mains throughout. C: no end of care.
func TestBatteryLoads(t *testing.T) {
	f := newFixture(t)
	f.add("devices", cells{"device_id": q("V"), "kind": q("ventilator"), "battery_endurance": "100"})
	f.trip("A", cells{"team": q("North")})
	f.trip("B", cells{"ventilator_id": q("W")})
	f.trip("C", cells{"handed_over_at": "null"})
	for _, p := range []cells{
		{"transport_id": q("A"), "device_id": q("V"), "recorded_at": at(60), "source": q("battery")},
		{"transport_id": q("A"), "device_id": q("V"), "recorded_at": at(100), "source": q("battery"), "display_dimmed": "true"},
		{"transport_id": q("A"), "device_id": q("V"), "recorded_at": at(120), "source": q("external")},
		{"transport_id": q("B"), "device_id": q("W"), "recorded_at": at(60), "source": q("external")},
		{"transport_id": q("C"), "device_id": q("V"), "recorded_at": at(60), "source": q("battery")},
	} {
		f.add("power", p)
	}
	got, err := f.reader().BatteryLoads(t.Context(), "", "")
	if err != nil || len(got) != 3 {
		t.Fatalf("%+v, %v", got, err)
	}
	if a := got[0]; a.Lit != 40 || a.Dim != 20 || a.Share < 0.6-1e-12 || a.Share > 0.6+1e-12 || !a.Rated || a.Team != "North" || a.LeftOut != "" || a.At.Hour() != 12 {
		t.Errorf("A: %+v", a)
	}
	if b := got[1]; b.Lit != 0 || b.Dim != 0 || b.Rated || b.Device != "W" || b.Team != NotRecorded {
		t.Errorf("B: %+v", b)
	}
	if c := got[2]; c.LeftOut != "under way missing" {
		t.Errorf("C: %+v", c)
	}
}
