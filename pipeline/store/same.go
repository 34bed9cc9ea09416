package store

import (
	"fmt"
	"strings"
)

// A record of an export with a column for each quantity is mostly read again as a whole: an export of a year holds the months before.
// What is equal to one stored sample, and to nothing else, is a row of ledger.repeated_samples instead of a row of ledger.repeats for
// each of its readings, and needs no comparison reading by reading. The two say the same (see RepeatsOfReadingsSQL).

// EmptySameSQL makes the temporary table that SameSQL fills.
const EmptySameSQL = "create or replace temp table same (r bigint not null, first_file integer not null, first_record bigint not null, flags varchar)"

// moment tells the moments of the devices apart, as a number; two that have the same number are taken for one.
const moment = "hash(transport_id, device_id, recorded_at)"

// TwiceSQL makes the temporary table `twice` of the moments that stand in several rows of `samples`.
const TwiceSQL = "create or replace temp table twice as select " + moment + " as moment from samples group by all having count(*) > 1"

// SameSQL adds to the table `same` each row of `samples` whose readings are those of one stored sample, and no others, with that sample:
// no other row of either side stands at its moment, so that reading by reading nothing else could be said of it. A row with a
// reading that is refused is none. first and last are the least and the greatest moment of `samples`, as SQL.
func SameSQL(names []string, first, last string) string {
	var values, columns, one, equal []string
	refused := "false"
	for _, n := range names {
		q := Quote(n)
		values, columns = append(values, fmt.Sprintf("w_%s as %s", n, q)), append(columns, q)
		one = append(one, fmt.Sprintf("any_value(%[1]s) as %[1]s", q))
		equal = append(equal, fmt.Sprintf("m.%[1]s is not distinct from k.%[1]s", q))
		refused += fmt.Sprintf(" or coalesce(isnan(w_%s), false)", n)
	}
	within := fmt.Sprintf("where recorded_at between %s and %s", first, last)
	return fmt.Sprintf(`insert into same
		with mine as (
			select r, %[1]s, flags, %[2]s, %[3]s as held from (select r, %[1]s, flags, %[4]s from samples where not (%[5]s))
			where held > 0 and %[6]s not in (select moment from twice)
		), stored as (
			select %[1]s, any_value(file_id) as file_id, any_value(record_no) as record_no, any_value(held) as held, %[7]s from (
				select %[1]s, file_id, record_no, held, %[2]s from kept.%[8]s %[10]s
				union all select %[1]s, file_id, record_no, 0, %[9]s from kept.%[11]s %[10]s)
			group by %[1]s having count(*) = 1
		)
		select m.r, k.file_id, k.record_no, m.flags
		from mine m join stored k on k.transport_id is not distinct from m.transport_id and k.device_id is not distinct from m.device_id
			and k.recorded_at = m.recorded_at
		where m.held = k.held and %[12]s`,
		shared, strings.Join(columns, ", "), filled(names), strings.Join(values, ", "), refused, moment, strings.Join(one, ", "), sampledReadings,
		strings.Repeat("null, ", len(names)-1)+"null", within, singleReadings, strings.Join(equal, " and "))
}

// RepeatedSamplesSQL remembers the rows of `same` in the ledger. recordNo gives a staged row's record number from r.
func RepeatedSamplesSQL(fileID int64, recordNo string) string {
	return fmt.Sprintf("insert into ledger.repeated_samples select %d, %s, first_file, first_record, flags from same order by r", fileID, recordNo)
}

// RepeatsOfReadingsSQL selects what ledger.repeats would say of the repeated samples, reading by reading. readings lists file_id,
// record_no and within of every reading of the samples that they repeat.
func RepeatsOfReadingsSQL(readings string) string {
	return fmt.Sprintf(`select r.file_id, r.record_no, %s as first_row, r.flags from ledger.repeated_samples r
		join (%s) k on k.file_id = r.first_file and k.record_no = r.first_record`, placeSQL("k.file_id", "k.record_no", "k.within"), readings)
}

// StoredReadingsSQL lists file_id, record_no and within of all stored readings.
func StoredReadingsSQL() string {
	return fmt.Sprintf("select file_id, record_no, list_position([%s], quantity) as within from kept.%s", quantities(), readings)
}

// SpreadSQL are the statements that write reading by reading what was remembered of repeated samples, where these repeat one of the
// records that a query lists by file_id and record_no; readings as for RepeatsOfReadingsSQL.
func SpreadSQL(records, readings string) []string {
	these := fmt.Sprintf("(first_file, first_record) in (%s)", records)
	return []string{
		fmt.Sprintf("insert into ledger.repeats select * from (%s) where (first_row >> %d, first_row %% %d >> %d) in (%s)",
			RepeatsOfReadingsSQL(readings), placeBits, int64(1)<<placeBits, withinBits, records),
		"delete from ledger.repeated_samples where " + these,
	}
}
