package reports

import (
	"testing"

	"tripwake/queries/measures"
)

// The invented story (package invent): from its tenth month, October 2025, the default limit of expired_tidal_volume_low is
// 3.2 instead of 4.5 mL/kg on every ventilator; every other limit stays or is set for the patient.
func TestInventedDefaultIsFoundAndNoOther(t *testing.T) {
	defaults, err := inventedReader(t).AlarmDefaults(t.Context(), "", "")
	if err != nil {
		t.Fatal(err)
	}
	changes := measures.DefaultChanges(defaults)
	if len(changes) != 1 {
		t.Fatalf("got %d changes, want one: %+v", len(changes), changes)
	}
	c := changes[0]
	if c.Condition != "expired_tidal_volume_low" || c.From != 4.5 || c.To != 3.2 || c.Month != "2025-10" || len(c.Devices) != 5 {
		t.Errorf("got %s", c.Sentence())
	}
}
