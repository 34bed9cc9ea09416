// Package queries asks the store one question at a time: each is an SQL file with a Go file of its name beside it.
//
// In: an open store and Settings. Out: typed answers. It refuses settings that do not hold, and measures, groupings and
// months that it does not know. Nothing is written to the store: what is worked out stays in temporary tables of its
// connection, so that a store open for reading alone will do. One Reader at a time works on a store.
//
// Most questions give facts: one row for each member of a measure's population, with what it counts for, or why it cannot
// be judged. Sums adds facts up by month and group; that is the only way in which numbers leave for the measures.
//
//	intervals            how long each interval took, under way included
//	arrival_conditions   temperature and glucose on arrival
//	arrival_ventilation  pCO2 and pH on arrival of ventilated patients
//	airway               tube confirmed, first attempt, structured hand-over
//	harm                 adverse events by sort
//	extubations          unplanned extubations, by transport and by hour with a tube
//	outcomes             deaths under way and within seven days
//	alarm_rates          alarms, high-priority alarms, repeats, time with an alarm
//	alarm_floods         transports with an alarm flood
//	support_changes      conversions and escalations
//	gas_plans            gas used against gas planned
//	gas_per_hour         oxygen used per hour on carried gas
//	oxygen_reserve       carried oxygen left at hand-over against the last demand
//	battery_use          minutes on battery, batteries overdrawn
//	leak_checks          leak check passed before the patient leg
//	device_failures      failures and hours in service of registered devices
//	demands              requests declined or delayed for want of equipment
//	record_links         device rows linked to a transport
//
// Others answer by themselves:
//
//	period, groups       months that have a transport; groups that appear
//	activity             transports by month, vehicle, urgency and disposition
//	alarm_conditions     onsets by condition and priority
//	conversion_pairs     from which class of support to which
//	gas_bridge           plan, use and what leads from one to the other, by transport
//	event_gaps           transports and hours between events
//	event_since          transports and hours since the last event
//	cases, members       transports to read: of a month, of one measure
//	notes                what the team changed or agreed
//	quality_*            flags, stamps, device rows and events that a reader should know of
//
// Package views holds the building blocks; a block is made when a text first names it. SQL texts carry no settings:
// a setting is the macro setting_KEY(), units are in_UNIT(value), cylinder sizes and the zone's clock changes are tables.
package queries
