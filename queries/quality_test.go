package queries

import (
	"slices"
	"testing"
)

func TestQuality(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"called_at": at(-5), "arrived_referring_at": at(70), "flags": q("clock_repeated other")})
	f.trip("B", cells{"called_at": at(5), "flags": q("clock_repeated")}) // accepted before it was called
	f.trip("C", cells{"disposition": q("cancelled")})
	f.add("readings", cells{"trip": q("A"), "transport_id": q("A"), "device_id": q("V"), "recorded_at": at(-31), "quantity": q("spo2"), "value": "90"})
	f.reading("A", "V", 60, "spo2", "90")
	f.reading("unknown", "V", 60, "spo2", "90")
	f.add("power", cells{"device_id": q("V"), "recorded_at": at(60), "source": q("battery")})
	f.add("events", cells{"transport_id": q("A"), "kind": q("unplanned_extubation")})
	f.add("events", cells{"transport_id": q("C"), "kind": q("other")})
	f.add("events", cells{"transport_id": q("D"), "kind": q("other")})
	f.add("events", cells{"transport_id": q("B"), "kind": q("other")})
	got, err := f.reader().Quality(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if want := []FlagCount{{"transports", "clock_repeated", 2}, {"transports", "other", 1}}; !slices.Equal(got.Flags, want) {
		t.Errorf("flags: got %v, want %v", got.Flags, want)
	}
	if len(got.Stamps) != 9 {
		t.Fatalf("stamps: got %d, want 9", len(got.Stamps))
	}
	// Accepted at 0 after a call at 5 is out of order; so is reaching the patient (60) before the hospital (70).
	for _, want := range []StampCount{{"called_at", 2, 0, 0}, {"accepted_at", 2, 0, 1}, {"arrived_referring_at", 2, 1, 0}, {"at_patient_at", 2, 0, 1}, {"arrived_receiving_at", 2, 2, 0}} {
		if !slices.Contains(got.Stamps, want) {
			t.Errorf("stamps: got %v, want %v among them", got.Stamps, want)
		}
	}
	if want := []LogCount{{"power", "V", 1, 1, 0, 0}, {"readings", "V", 3, 0, 1, 1}}; !slices.Equal(got.Logs, want) {
		t.Errorf("logs: got %v, want %v", got.Logs, want)
	}
	want := []StrayEvents{{"other", "names a transport not yet known", 1}, {"other", "transport did not go out", 1}, {"unplanned_extubation", "no tube recorded", 1}}
	if !slices.Equal(got.Events, want) {
		t.Errorf("events: got %v, want %v", got.Events, want)
	}
}
