package queries

import _ "embed"

//go:embed harm.sql
var harmSQL string

// harm counts the adverse events of each transport by sort.
var harm = question{
	name: "harm", text: harmSQL,
	measures: map[string]shape{
		"adverse_events":        counts,
		"transports_with_event": counts,
		"preventable_events":    counts,
		"harmful_events":        counts,
		"serious_events":        counts,
		"device_dislodgement":   counts,
		"medication_error":      counts,
		"equipment_failure":     counts,
		"cardiac_arrest":        counts,
		"patient_injury":        counts,
		"crew_injury":           counts,
	},
}
