// Package invent makes up the records of a neonatal and paediatric transport team that does not exist, for the demo and for
// load tests. People do not occur in it; sites, towns, bases and devices have names of no known place.
//
// In: a folder and Options (how many requests, how often a sample, which seed, zone and months). Out: CSV files as a team's
// systems export them, one or more per table, named so that they need no layout: sheets by base, logs by device, the logs of
// readings by quarter. Their headers are canonical, some with a unit; delimiters, encodings, line ends, time formats and row
// units differ from file to file. The same seed gives the same bytes, and asking for more transports only appends: every
// transport has generators of its own, and after some 60 requests a month another region with kits of its own begins.
// It refuses options out of range and a folder that holds anything it did not write itself.
//
// # What the records tell
//
// Months count from 1 (January 2025 by default). Story lists the same for programs.
//
//   - Umberlock has one kit; a call while it is out often waits for one from elsewhere: delayed_no_equipment by team. Monitors
//     are six, one more than kits, and never wanting: what the purchase report weighs.
//   - One site (Pellastre District) is slow to leave, and slower from month 10: stabilization_time by referring_site.
//   - V3's regulator leaks from month 6 until its service in month 12: oxygen_ratio by device.
//   - From month 8 newborns arrive warmer: hypothermia_on_arrival.
//   - At the start of month 10 a default alarm limit is lowered: alarms_per_hour, and the replay of that limit.
//   - V5's vehicle gives it no power from month 10, while its battery fades: battery_overdrawn by device.
//   - In month 12 a base has no ventilator: declined_no_equipment, delayed_no_equipment.
//   - In months 13 and 14 tubes come out: unplanned_extubation.
//   - In month 18 another default alarm limit is raised, and nobody notes it: alarms_per_hour more than doubles.
//
// # What is awkward in them
//
// About half the devices' logs bear no transport id, and one monitor's clock runs nine minutes ahead. Bench tests belong to
// no transport. Stamps are missing or swapped; rows are exported twice, or in two overlapping exports (the files named
// again); some transports are corrected later; some rows name a transport that nobody knows. About one row in 300 has a cell
// that cannot be read, is out of range, or is an unknown code or unit. One transport runs through the hour that autumn
// repeats; each spring two stamps, of a transport and of a settings row, lie in the hour that the clocks skip.
//
// Physiology and settings are plausible in size and nothing more: they are no guidance for any patient.
package invent
