package queries

import _ "embed"

//go:embed alarm_rates.sql
var alarmRatesSQL string

// alarmRates counts alarm onsets, repeats and sounding time, for each transport and device.
var alarmRates = question{
	name: "alarm_rates", text: alarmRatesSQL,
	measures: map[string]shape{
		"alarms_per_hour":               clustered,
		"high_priority_alarms_per_hour": clustered,
		"repeat_alarms":                 counts,
		"alarming_time":                 hours,
	},
}
