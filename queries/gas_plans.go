package queries

import _ "embed"

//go:embed gas_plans.sql
var gasPlansSQL string

// gasPlans compares the gas used with the gas planned.
var gasPlans = question{
	name: "gas_plans", text: gasPlansSQL,
	measures: map[string]shape{
		"oxygen_ratio":     clustered,
		"air_ratio":        clustered,
		"oxygen_over_plan": counts,
	},
}
