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
//	alarm_groups         onsets per monitored hour by leg, device, vehicle, condition, priority
//	alarm_answers        time to silence, longest unanswered, limits crossed and how far
//	alarm_crowds         alarm floods with start and length
//	alarm_defaults       usual alarm limits by month, device and condition
//	alarm_transports     transports with most onsets
//	limit_replay         onsets that other alarm limits, and delays, would have given
//	support_classes      episodes, hours, short stretches and mode changes by class
//	support_course       who came from non-invasive to invasive support, when and where
//	support_ends         first and last class; changes by leg
//	support_measured     measured pressures and rates against the set ones
//	support_ranges       time below and above a range: tidal volume per kg, SpO2
//	support_exposure     inspired oxygen and nitric oxide set
//	conversion_pairs     from which class of support to which
//	gas_bridge           plan, use and what leads from one to the other, by transport
//	gas_groups           the same added up by month, ventilator and cylinder
//	gas_reserves         minutes of gas left on arrival, by transport
//	gas_margins          gas used for each planned minute, by vehicle and support
//	gas_doubts           cylinder rows to doubt
//	battery_groups       battery use by month and ventilator
//	battery_shares       part of the rated endurance used, by transport
//	battery_slopes       how fast charge fell on battery, by ventilator and month
//	battery_loads        what each transport asked of its battery, for replays
//	device_requests      who wanted a device of a kind, from when to when, and who was turned away
//	device_presence      how many devices of a kind were there, over time
//	device_downtime      time in service and out of it, failures and repairs of each device
//	gas_loads            what each transport took from its carried cylinders, for replays
//	supply_failures      equipment, power and gas that failed under way
//	event_gaps           transports and hours between events
//	event_since          transports and hours since the last event
//	case_timelines       what happened on single transports, minute by minute
//	cases, members       transports to read: of a month, of one measure
//	risks                risk index on arrival of the team and at the receiving hospital, and deaths
//	notes                what the team changed or agreed
//	quality_*            flags, stamps, device rows and events that a reader should know of
//
// Ask puts a statement that somebody wrote, over the documented views alone; Views describes them.
//
// Research gives a relation instead of an answer: the temporary table `research`, one row for each current transport of any
// disposition, one column for each of ResearchColumns (kind, unit, meaning, codes, source, privacy class). Cohorts,
// comparisons and extracts are asked of it, so that they say what the measures say. It holds identifiers; what leaves the
// store is decided by each column's privacy class. A Study (rules, groups, outcomes) is read from the settings, checked against
// these columns, and answered by StudyData, the columns that it names without any key.
//
// An extract is prepared by Release (pseudonyms, bands, classes of at least K transports) and read by Batches; Identifiers lists
// what must not be in it.
//
// Package views holds the building blocks; a block is made when a text first names it. SQL texts carry no settings:
// a setting is the macro setting_KEY(), units are in_UNIT(value), cylinder sizes and the zone's clock changes are tables.
package queries
