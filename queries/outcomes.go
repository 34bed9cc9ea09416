package queries

import _ "embed"

//go:embed outcomes.sql
var outcomesSQL string

// outcomes gives deaths under way and within seven days.
var outcomes = question{
	name: "outcomes", text: outcomesSQL,
	measures: map[string]shape{
		"died_in_transit":    counts,
		"died_within_7_days": counts,
	},
}
