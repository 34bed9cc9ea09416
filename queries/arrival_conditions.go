package queries

import _ "embed"

//go:embed arrival_conditions.sql
var arrivalConditionsSQL string

// arrivalConditions judges temperature and glucose of the last receiving_arrival assessment.
var arrivalConditions = question{
	name: "arrival_conditions", text: arrivalConditionsSQL,
	measures: map[string]shape{
		"hypothermia_on_arrival":  counts,
		"hyperthermia_on_arrival": counts,
		"glucose_low_on_arrival":  counts,
	},
}
