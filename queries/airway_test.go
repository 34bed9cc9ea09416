package queries

import "testing"

func TestAirway(t *testing.T) {
	f := newFixture(t)
	f.trip("yes", cells{"tube_confirmed": "true", "intubation_attempts": "1", "intubation_success": "true", "handover_structured": "true"})
	f.setting("yes", 60, "simv", "tube")
	f.trip("no", cells{"tube_confirmed": "false", "intubation_attempts": "2", "handover_structured": "false"})
	f.setting("no", 60, "hfov", "tube")
	// One attempt with success empty counts as yes; one that failed does not.
	f.trip("empty", cells{"intubation_attempts": "1"})
	f.setting("empty", 60, "simv", "tube")
	f.trip("failed", cells{"tube_confirmed": "true", "intubation_attempts": "1", "intubation_success": "false"})
	f.setting("failed", 60, "simv", "tracheostomy") // invasive without a tube: not in the population of tube_confirmed
	f.trip("none", cells{"tube_confirmed": "true", "intubation_attempts": "0"})
	f.setting("none", 60, "cpap", "nasal")
	// A flicker of 1 min on a tube is passed over: no invasive episode.
	f.trip("flicker", cells{"tube_confirmed": "true"})
	f.setting("flicker", 60, "cpap", "nasal")
	f.setting("flicker", 90, "simv", "tube")
	f.setting("flicker", 91, "cpap", "nasal")
	f.trip("lost", cells{"handed_over_at": "null", "tube_confirmed": "true"})
	f.setting("lost", 60, "simv", "tube")
	f.want("tube_confirmed", map[string]string{
		"yes": "1.0/1.0", "no": "0.0/1.0", "empty": "out: tube_confirmed not recorded", "lost": "out: under way missing",
	})
	f.want("first_attempt_intubation", map[string]string{"yes": "1.0/1.0", "no": "0.0/1.0", "empty": "1.0/1.0", "failed": "0.0/1.0"})
	missing := "out: handover_structured not recorded"
	f.want("structured_handover", map[string]string{
		"yes": "1.0/1.0", "no": "0.0/1.0", "empty": missing, "failed": missing, "none": missing, "flicker": missing, "lost": missing,
	})
}
