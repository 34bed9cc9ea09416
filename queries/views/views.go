// Package views holds the building blocks of the questions, one SQL file each: temporary tables and macros made once for
// each reader.
//
// In: nothing. Out: the text of each block by its name, which is the name of its file and of the table or macro that it
// makes. It refuses nothing; a name that is no block is reported as absent.
//
//	calendar, day_starts           months of the team's zone, and when a local day begins in UTC
//	minutes_between                length of an interval, rounded as limits demand
//	sum_in_order                   fractions added in order of a key
//	trips                          each current transport: stamps, under way, month, groups
//	trip_groups, fact_group        the group of a transport, and of a fact, for each grouping
//	assessed, arrival, care_events last assessment of each stage, and of receiving_arrival; current events
//	risk_scores                    risk index on arrival at the referring and the receiving hospital
//	support_class, support_rank    class of a settings row and its place in the order
//	ventilator_settings            settings rows of each transport's ventilator
//	settings_timeline              settings in force while under way
//	support_stretches, episodes    stretches of one class, then with those too short passed over
//	conversions, supported         changes of class; what support a transport had, also where it cannot be placed
//	support_summary                support of a transport in all, and when it was escalated
//	alarm_summary, event_summary   onsets by priority, events by kind and harm of a transport
//	trip_legs, alarm_details       legs of each trip; onsets with their leg, answer and limit
//	held_readings, latest_readings how long each reading held (table macros); per_weight: volumes per kg
//	support_settings, beyond       settings in force with mode and pressures; the side of a range on which a value is
//	monitored, monitored_legs      monitored time, and how much of it in each leg
//	onsets, alarming               alarm onsets, time with an alarm sounding
//	cylinder_contents, gas_used    free gas in each cylinder, and used by each transport and gas
//	pressure_at_filling            gauge pressure at the temperature of filling, where that is wanted
//	wall_time, gas_time            time on wall gas and on carried gas
//	breath_rates, gas_factors      total breath rates read; leak and bleed of each ventilator
//	gas_demand, nitric_supply      gas that the settings in force ask for; concentration of nitric oxide
//	carried_demand, gas_asked      the same for each gas while it came from cylinders, and its sum
//	gas_bridges, gas_shares        from plan to use for each transport; the part that each cylinder gave
//	gas_left                       carried gas left on arrival against the last demand
//	ventilator_power               power rows of each transport's ventilator
//	battery_pieces, battery_drawn  stretches on battery while under way, and their sum
//	device_service, device_outages when each registered device was in service, and out of it
//	unit_homes                     team that each device mostly goes out with
//	has_text                       whether a text is filled
//	log_rows                       how many rows each device log has, by transport, device and quarter of an hour
//
// The block `windows` is made from the text of package link; `reading_rows` (readings with a column for each quantity),
// `reading_counts` (how many each transport has) and `quarter_of` (the quarter of an hour of a moment) from that of package store.
package views

import (
	"embed"
	"strings"
)

//go:embed *.sql
var files embed.FS

// Names returns the name of every block, sorted.
func Names() []string {
	entries, err := files.ReadDir(".")
	if err != nil {
		return nil
	}
	names := make([]string, len(entries))
	for i, e := range entries {
		names[i] = strings.TrimSuffix(e.Name(), ".sql")
	}
	return names
}

// Text returns the statement that makes the block, or false where there is no block of that name.
func Text(name string) (string, bool) {
	text, err := files.ReadFile(name + ".sql")
	return string(text), err == nil
}
