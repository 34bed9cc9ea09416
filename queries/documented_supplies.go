package queries

// supplyViews tell of gas and power.
func supplyViews() []view {
	return []view{
		{"gas_cylinders", "One cylinder of one transport a row.", "cylinder_contents", []viewColumn{
			{"transport_id", "transport_id", "", perTransport}, {"cylinder_id", "cylinder_id", "", "the cylinder"}, {"gas", "gas", "", "its gas"},
			{"supply", "supplied", "", "carried or vehicle"}, {"liquid", "liquid", "", "liquid oxygen, told by mass"},
			{"start_litres", "start_litres", "L", "free gas before"}, {"end_litres", "end_litres", "L", "free gas after"},
			{"usable_litres", "usable_litres", "L", "free gas after, less the residual pressure"}, {"left_out", "left_out", "", "why it cannot be told"},
		}},
		{"gas_balance", "Gas used, planned and by hindsight of one completed transport and gas a row; hindsight less plan is duration and settings effect together.", "gas_bridges", []viewColumn{
			{"transport_id", "transport_id", "", perTransport}, {"gas", "gas", "", "oxygen, air or nitric_oxide"},
			{"month", "strftime(month, '%Y-%m')", "", "month of the transport"},
			{"planned", "planned", "L", "the crew's plan"}, {"planned_duration", "planned_duration", "min", "planned time on carried gas"},
			{"gas_time", "minutes", "min", "time on carried gas"}, {"used", "used", "L", "start less end contents"}, {"gauge_error", "gauge_error", "L", "of used"},
			{"hindsight", "hindsight", "L", "what the settings in force asked for"}, {"duration_effect", "duration_effect", "L", "for being longer or shorter than planned"},
			{"settings_effect", "settings_effect", "L", "for settings other than planned"}, {"unexplained", "unexplained", "L", "used less hindsight: leaks, gauges, model"},
		}},
		{"gas_reserve", "Carried gas left on arrival of one completed transport and gas a row.", "gas_left", []viewColumn{
			{"transport_id", "transport_id", "", perTransport}, {"gas", "gas", "", "oxygen, air or nitric_oxide"},
			{"litres_left", "carried_left", "L", "left in the carried cylinders"}, {"last_flow", "last_flow", "L/min", "last demand"},
			{"minutes_left", "minutes_left", "min", "left at the last demand; empty: nothing was asked for, or left_out says why"},
			{"left_out", "left_out", "", "why it cannot be told"},
		}},
		{"battery_use", "Battery time of the ventilator of one completed transport with power records a row.", "battery_drawn", []viewColumn{
			{"transport_id", "transport_id", "", perTransport}, {"device", "device", "", "its ventilator"}, {"minutes", "minutes", "min", "on battery while under way"},
			{"minutes_lit", "lit", "min", "of them with a lit display"}, {"minutes_dimmed", "dim", "min", "of them with a dimmed display"},
			{"share", "share", "", "part of the rated endurance used; empty: no rating"}, {"left_out", "left_out", "", "why it cannot be told"},
		}},
	}
}

// ledgerViews tell where rows came from.
func ledgerViews() []view {
	return []view{
		{"files", "One file of one load a row: read = stored + repeated + refused.", "ledger.files", []viewColumn{
			{"file_id", "file_id", "", "number of the file"}, {"load_id", "load_id", "", "load that read it"}, {"file", "path", "", "its name"},
			{"table_name", "table_name", "", "table of records that it was read as"}, {"sha256", "sha256", "", "of its bytes"}, {"read", "rows_read", "", "records read"},
			{"stored", "stored", "", "rows stored"}, {"repeated", "repeated", "", "rows stored already"}, {"refused", "refused", "", "rows refused"},
			{"cells_refused", "cells_refused", "", "cells of stored rows refused"},
		}},
		{"loads", "One load a row.", "ledger.loads", []viewColumn{
			{"load_id", "load_id", "", "number of the load"}, {"loaded_at", "loaded_at", "", "when it began, UTC"},
			{"program", "program", "", "version that loaded"}, {"time_zone", "time_zone", "", "zone of times without an offset"},
		}},
	}
}
