package queries

import _ "embed"

//go:embed airway.sql
var airwaySQL string

// airway judges tube confirmation, first-attempt intubation and hand-over.
var airway = question{
	name: "airway", text: airwaySQL,
	measures: map[string]shape{
		"tube_confirmed":           counts,
		"first_attempt_intubation": counts,
		"structured_handover":      counts,
	},
}
