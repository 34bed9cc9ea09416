package queries

import _ "embed"

//go:embed gas_per_hour.sql
var gasPerHourSQL string

// gasPerHour gives oxygen used per hour on carried gas.
var gasPerHour = question{
	name: "gas_per_hour", text: gasPerHourSQL,
	measures: map[string]shape{
		"oxygen_per_hour": values,
	},
}
