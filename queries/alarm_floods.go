package queries

import _ "embed"

//go:embed alarm_floods.sql
var alarmFloodsSQL string

// alarmFloods says which transports had an alarm flood on all their devices together.
var alarmFloods = question{
	name: "alarm_floods", text: alarmFloodsSQL,
	measures: map[string]shape{
		"alarm_flood": counts,
	},
}
