package store

import (
	"fmt"
	"runtime"
	"strings"
)

// What a log is asked most often, how many readings stand where and from when to when, would go through every stored row. So of the
// samples kept.sampled_quarters has a row for each file, trip, device, transport named and quarter of an hour. Whatever
// adds samples, takes them away or gives them another trip does the same here; the view kept.reading_quarters shows both base
// tables so.
const (
	sampledQuarters = "sampled_quarters"
	quarterOf       = "file_id, trip, device_id, transport_id, quarter"
)

// QuarterSQL is the quarter of an hour in UTC in which a moment lies, told by its beginning: half the cost of time_bucket. Months begin on
// a quarter in every zone in use. The engine's whole division cuts towards zero, so moments are counted from some 2850 years before 1970.
func QuarterSQL(moment string) string {
	const quarter, before = 900_000_000, 100_000_000 * 900_000_000
	return fmt.Sprintf("make_timestamp((epoch_us(%s) + %d) // %d * %[3]d - %[2]d)", moment, before, quarter)
}

// createQuarters makes the table of the samples' quarters and the view.
func createQuarters() []string {
	return []string{
		fmt.Sprintf(`create table kept.%s (file_id integer not null, trip varchar, device_id varchar, transport_id varchar, quarter timestamp,
			records bigint not null, readings bigint not null, first_at timestamp, last_at timestamp)`, sampledQuarters),
		fmt.Sprintf("create view kept.reading_quarters as select * from kept.%s union all %s", sampledQuarters, quartersSQL("1", singleReadings, "true")),
	}
}

// quartersSQL counts the rows of a base table, of which a condition holds, by quarters; held is how many readings one has.
func quartersSQL(held, base, condition string) string {
	return fmt.Sprintf(`select file_id, trip, device_id, transport_id, %s as quarter, count(*) as records, sum(%s)::bigint as readings,
		min(recorded_at) as first_at, max(recorded_at) as last_at from kept.%s where %s group by all`, QuarterSQL("recorded_at"), held, base, condition)
}

// quartersOfSQL counts the samples of a run of files that a transaction has just stored. One thread goes through rows of an open
// transaction, so there is a part for each processor, with files of its own.
func quartersOfSQL(first, last int64) string {
	count := min(int64(runtime.GOMAXPROCS(0)), last-first+1)
	parts := make([]string, count)
	for i := range count {
		from, next := first+i*(last-first+1)/count, first+(i+1)*(last-first+1)/count
		parts[i] = quartersSQL("held", sampledReadings, ofFiles(from, next-1))
	}
	return strings.Join(parts, " union all ")
}

// QuartersSQL are the statements that tell the quarters of the samples of files, SQL for their ids, anew.
func QuartersSQL(files string) []string {
	these := fmt.Sprintf("file_id in (%s)", files)
	return []string{
		fmt.Sprintf("delete from kept.%s where %s", sampledQuarters, these),
		fmt.Sprintf("insert into kept.%s %s", sampledQuarters, quartersSQL("held", sampledReadings, these)),
	}
}

// HasQuarters says that the rows of a base table have their quarters told.
func HasQuarters(base string) bool { return base == sampledReadings }

// FilesInSQL makes the temporary table named of the files with samples that name no transport in a piece of time of their device, which
// a table lists as device_id, from_at and to_at.
func FilesInSQL(table, pieces string) string {
	return fmt.Sprintf(`create or replace temp table %s as select distinct file_id from kept.%s q
		join %s p on q.device_id = p.device_id and q.first_at < p.to_at and q.last_at >= p.from_at where q.transport_id is null`, table, sampledQuarters, pieces)
}
