package queries

import _ "embed"

//go:embed arrival_ventilation.sql
var arrivalVentilationSQL string

// arrivalVentilation judges pCO2 and pH on arrival of those whose last class of support is invasive or high-frequency.
var arrivalVentilation = question{
	name: "arrival_ventilation", text: arrivalVentilationSQL,
	measures: map[string]shape{
		"hypocarbia_on_arrival":  counts,
		"hypercarbia_on_arrival": counts,
	},
}
