// Package link says which transport a device row belongs to when the row does not say so itself.
//
// In: the transports and the devices they carried. Out: SQL for the trip windows, for the spans (device, from, to,
// transport) that cut each device's time into pieces with one owner, and for a row's transport from those spans. It
// refuses nothing: a row without an owner stays unlinked.
//
// Ownership depends on device and time alone, so it is worked out once per device instead of once per row.
package link

import (
	_ "embed"
	"fmt"
	"time"
)

// Widening is how far a trip window is widened on both sides for rows that no window holds as it is.
const Widening = 30 * time.Minute

// longestWindow bounds windows used for linking: one that is longer comes from a mistyped date and would own a device's
// rows for years.
const longestWindow = 31 * 24 * time.Hour

//go:embed windows.sql
var windowsSQL string

//go:embed spans.sql
var spansSQL string

// WindowsSQL selects one row per current transport: transport_id, window_from, window_to, wide_from, wide_to (NULL where
// the transport has no stamp at all).
func WindowsSQL() string { return fmt.Sprintf(windowsSQL, minutes(Widening)) }

// SpansSQL selects device_id, from_at, to_at (exclusive), transport_id: the owner of each piece of each device's time.
func SpansSQL() string {
	return fmt.Sprintf(spansSQL, WindowsSQL(), minutes(longestWindow), minutes(Widening))
}

// HoursSQL spreads spans over the hours they touch, for joins on equal device and hour: device_id, hour, from_at, to_at,
// transport_id.
func HoursSQL(spans string) string {
	return fmt.Sprintf(`select device_id, unnest(range(epoch_us(from_at) // 3600000000, (epoch_us(to_at) - 1) // 3600000000 + 1)) as hour,
		from_at, to_at, transport_id from %s`, spans)
}

// OwnerJoin joins rows (alias r, with the moment's column named) to hours (alias h): a row that names a transport, or no
// device, has no partner.
func OwnerJoin(hours, when string) string {
	return fmt.Sprintf(`left join %s h on case when r.transport_id is null then r.device_id end = h.device_id
		and epoch_us(r.%[2]s) // 3600000000 = h.hour and r.%[2]s >= h.from_at and r.%[2]s < h.to_at`, hours, when)
}

func minutes(d time.Duration) int { return int(d.Minutes()) }

// FileHoursSQL makes the temporary view `file_hours`: the hours of spans that rows of one file can lie in, whose first and last
// moment are given, so that what a file costs does not grow with the years that are stored. Where they are empty it has all hours.
func FileHoursSQL(first, last string) string {
	within := ""
	if first != "" && last != "" {
		within = fmt.Sprintf(" where to_at > timestamp '%s' and from_at <= timestamp '%s'", first, last)
	}
	return "create or replace temp view file_hours as from span_hours" + within
}

// RespanSQL settles anew the owner of each piece of each device's time: the temporary tables `spans`, `span_hours` (of it `file_hours`),
// `changed_spans` (pieces that came, went or changed owner), `changed_hours` (their hours) and `touched_hours` (those of `span_hours` that
// they touch), then link.spans, of which only what has changed is written: a month's pieces and not those of ten years.
func RespanSQL() []string {
	return []string{
		"create or replace temp table spans as " + SpansSQL(),
		"create or replace temp table span_hours as " + HoursSQL("spans"),
		FileHoursSQL("", ""),
		"create or replace temp table gone_spans as select * from link.spans except select * from spans",
		"create or replace temp table new_spans as select * from spans except select * from link.spans",
		"create or replace temp table changed_spans as select * from gone_spans union all select * from new_spans",
		"create or replace temp table changed_hours as " + HoursSQL("changed_spans"),
		`create or replace temp table touched_hours as
			select * from span_hours s semi join changed_hours c on s.device_id = c.device_id and s.hour = c.hour`,
		"delete from link.spans s using gone_spans g where s.device_id = g.device_id and s.from_at = g.from_at",
		"insert into link.spans select * from new_spans",
	}
}

// RelinkSQL links the stored rows of one log anew, those whose device and time lie in a changed piece.
func RelinkSQL(table, when string) string {
	return fmt.Sprintf(`update kept.%[1]s set trip = owned.transport_id from (
			select r.row_id, any_value(h.transport_id) as transport_id
			from (select rowid as row_id, * from kept.%[1]s where transport_id is null) r
			join changed_hours c on r.device_id = c.device_id and epoch_us(r.%[2]s) // 3600000000 = c.hour
				and r.%[2]s >= c.from_at and r.%[2]s < c.to_at
			%[3]s group by r.row_id) owned
		where kept.%[1]s.rowid = owned.row_id and kept.%[1]s.trip is distinct from owned.transport_id`,
		table, when, OwnerJoin("touched_hours", when))
}
