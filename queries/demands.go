package queries

import _ "embed"

//go:embed demands.sql
var demandsSQL string

// demands finds requests declined or delayed for want of equipment.
var demands = question{
	name: "demands", text: demandsSQL,
	measures: map[string]shape{
		"declined_no_equipment": counts,
		"declined":              counts,
		"delayed_no_equipment":  counts,
	},
}
