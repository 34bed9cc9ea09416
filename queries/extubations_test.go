package queries

import "testing"

func TestUnplannedExtubation(t *testing.T) {
	f := newFixture(t)
	// Tube 60–150: 1.5 h; then cpap 30 min. Two events.
	f.trip("A", nil)
	f.setting("A", 60, "simv", "tube")
	f.setting("A", 150, "cpap", "nasal")
	for range 2 {
		f.add("events", cells{"transport_id": q("A"), "kind": q("unplanned_extubation")})
	}
	// Tracheostomy 60–90, then high frequency with tube 90–180: only the episode with the tube counts, 1.5 h.
	f.trip("B", nil)
	f.setting("B", 60, "simv", "tracheostomy")
	f.setting("B", 90, "hfov", "tube")
	// No tube recorded: the extubation lies outside the population.
	f.trip("C", nil)
	f.setting("C", 60, "cpap", "nasal")
	f.add("events", cells{"transport_id": q("C"), "kind": q("unplanned_extubation")})
	f.trip("D", cells{"at_patient_at": "null"})
	f.setting("D", 60, "simv", "tube")
	f.want("unplanned_extubation", map[string]string{"A": "2.0/1.0", "B": "0.0/1.0", "D": "out: under way missing"})
	f.want("unplanned_extubation_hours", map[string]string{"A": "2.0/1.5", "B": "0.0/1.5", "D": "out: under way missing"})
}
