package queries

import _ "embed"

//go:embed battery_use.sql
var batteryUseSQL string

// batteryUse gives minutes on battery and finds batteries drawn beyond the share of their rating.
var batteryUse = question{
	name: "battery_use", text: batteryUseSQL,
	measures: map[string]shape{
		"battery_time":      values,
		"battery_overdrawn": counts,
	},
}
