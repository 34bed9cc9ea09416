package queries

import _ "embed"

//go:embed device_failures.sql
var deviceFailuresSQL string

// deviceFailures counts failures and hours in service of registered devices, for each month of the period asked.
var deviceFailures = question{
	name: "device_failures", text: deviceFailuresSQL,
	period: true,
	measures: map[string]shape{
		"device_failures": byDevice,
	},
}
