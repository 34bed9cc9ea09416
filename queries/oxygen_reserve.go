package queries

import _ "embed"

//go:embed oxygen_reserve.sql
var oxygenReserveSQL string

// oxygenReserve finds transports that arrived with less carried oxygen than the reserve at their last demand.
var oxygenReserve = question{
	name: "oxygen_reserve", text: oxygenReserveSQL,
	measures: map[string]shape{
		"oxygen_reserve_short": counts,
	},
}
