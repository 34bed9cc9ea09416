package queries

import (
	"slices"
	"testing"
)

func TestSupplyFailures(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"team": q("North")})
	f.trip("B", cells{"disposition": q("cancelled")})
	for i, e := range []cells{
		{"transport_id": q("A"), "kind": q("power_failure")},
		{"transport_id": q("A"), "kind": q("power_failure"), "device_id": q("V")},
		{"transport_id": q("A"), "kind": q("gas_supply_failure"), "device_id": q("G")},
		{"transport_id": q("A"), "kind": q("power_failure"), "superseded": "true"},
		{"transport_id": q("A"), "kind": q("desaturation")},
		{"transport_id": q("B"), "kind": q("power_failure")},
	} {
		e["event_id"] = q(string(rune('a' + i)))
		f.add("events", e)
	}
	got, err := f.reader().SupplyFailures(t.Context(), "2026-03", "2026-03")
	want := []SupplyFailure{{"gas_supply_failure", "G", "North", 1}, {"power_failure", "V", "North", 2}}
	if err != nil || !slices.Equal(got, want) {
		t.Errorf("got %v, %v, want %v", got, err, want)
	}
}
