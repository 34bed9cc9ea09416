// Package views holds the building blocks of the questions, one SQL file each: temporary tables and macros made once for
// each reader.
//
// In: nothing. Out: the text of each block by its name, which is the name of its file and of the table or macro that it
// makes. It refuses nothing; a name that is no block is reported as absent.
//
//	calendar, day_starts           months of the team's zone, and when a local day begins in UTC
//	minutes_between                length of an interval, rounded as limits demand
//	trips                          each current transport: stamps, under way, month, groups
//	trip_groups, fact_group        the group of a transport, and of a fact, for each grouping
//	arrival, care_events           last receiving_arrival assessment; current events
//	support_class, support_rank    class of a settings row and its place in the order
//	ventilator_settings            settings rows of each transport's ventilator
//	settings_timeline              settings in force while under way
//	support_stretches, episodes    stretches of one class, then with those too short passed over
//	conversions, supported         changes of class; what support a transport had, also where it cannot be placed
//	monitored, onsets, alarming    monitored time, alarm onsets, time with an alarm sounding
//	cylinder_contents, gas_used    free gas in each cylinder, and used by each transport and gas
//	wall_time, gas_time            time on wall gas and on carried gas
//	extra_breaths, gas_demand      gas that the settings in force ask for
//	carried_demand                 the same for each gas while it came from cylinders
//	ventilator_power               power rows of each transport's ventilator
//	battery_pieces                 stretches on battery while under way
//	device_service, device_outages when each registered device was in service, and out of it
//	log_rows                       how many rows each device log has, by transport, device and quarter of an hour
//
// The block `windows` is made from the text of package link.
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
