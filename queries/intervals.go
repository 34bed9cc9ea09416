package queries

import _ "embed"

//go:embed intervals.sql
var intervalsSQL string

// intervals gives minutes from stamp to stamp; a missing stamp or an end before its start leaves the interval out.
var intervals = question{
	name: "intervals", text: intervalsSQL,
	measures: map[string]shape{
		"mobilization_time":  values,
		"response_time":      values,
		"stabilization_time": values,
		"patient_leg_time":   values,
		"trip_time":          values,
		"care_time":          values,
	},
}
