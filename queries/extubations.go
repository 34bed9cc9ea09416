package queries

import _ "embed"

//go:embed extubations.sql
var extubationsSQL string

// extubations counts unplanned extubations where a tube was in, for each transport and for each hour with a tube.
var extubations = question{
	name: "extubations", text: extubationsSQL,
	measures: map[string]shape{
		"unplanned_extubation":       counts,
		"unplanned_extubation_hours": hours,
	},
}
