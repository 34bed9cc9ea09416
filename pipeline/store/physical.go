package store

import (
	"fmt"
	"strings"

	"tripwake/pipeline/records"
)

// Readings are kept in two base tables, and only this file knows: kept.single_readings has a row for each reading, and
// kept.sampled_readings a row for each moment of a device with a column for each quantity, as devices export them. A sampled row
// takes a tenth of the time to store and to read. The view kept.readings shows both as one reading a row; a question about one
// quantity reads that column alone. The view kept.reading_moments shows each row once, with how many readings it holds; a sample
// keeps that number, since counting the filled columns of every row took half of the time of a question about moments.
//
// Rows are stored as samples only where no stored row can equal one of theirs; all others are single.
const (
	readings         = "readings"
	singleReadings   = "single_readings"
	sampledReadings  = "sampled_readings"
	shared           = "transport_id, device_id, recorded_at"
	origin           = "trip, flags, file_id, record_no"
	sharedTypes      = "transport_id varchar, device_id varchar, recorded_at timestamp"
	originTypes      = "trip varchar, flags varchar, file_id integer not null, record_no bigint not null"
	readingsTemplate = "select %s, %s as quantity, %s as value, null as unit, %s from kept." + sampledReadings + " where %s is not null"
)

// BaseTables lists the base tables in the schema kept that hold a table's rows.
func BaseTables(t records.Table) []string {
	if t.Name == readings {
		return []string{singleReadings, sampledReadings}
	}
	return []string{t.Name}
}

// DeleteSQL are the statements that delete rows of a table of which a condition on file_id, transport_id and, of a log, trip holds.
func DeleteSQL(t records.Table, condition string) []string {
	tables := BaseTables(t)
	if t.Name == readings {
		tables = append(tables, sampledQuarters)
	}
	all := make([]string, len(tables))
	for i, table := range tables {
		all[i] = fmt.Sprintf("delete from kept.%s where %s", table, condition)
	}
	return all
}

// single is the base table that takes rows one by one.
func single(t records.Table) string { return BaseTables(t)[0] }

// WithinSQL tells the rows of one record apart, as a number: of readings by their quantity, a column of that name. Other records
// have one row.
func WithinSQL(t records.Table, quantity string) string {
	if t.Name != readings {
		return "0"
	}
	return fmt.Sprintf("list_position([%s], %s)", quantities(), quantity)
}

// createSamples makes the table of samples and the views over both tables.
func createSamples() []string {
	var columns []string
	parts := []string{fmt.Sprintf("select %s, quantity, value, unit, %s from kept.%s", shared, origin, singleReadings)}
	for _, q := range records.Quantities() {
		name := Quote(q.Name)
		columns = append(columns, name+" double")
		parts = append(parts, fmt.Sprintf(readingsTemplate, shared, Literal(q.Name), name, origin, name))
	}
	return []string{
		fmt.Sprintf("create table kept.%s (%s, %s, held utinyint not null, %s)", sampledReadings, sharedTypes, strings.Join(columns, ", "), originTypes),
		fmt.Sprintf("create view kept.%s as %s", readings, strings.Join(parts, " union all ")),
		fmt.Sprintf(`create view kept.reading_moments as select %[1]s, %[2]s, 1::bigint as held from kept.%[3]s
			union all select %[1]s, %[2]s, held::bigint from kept.%[4]s`, shared, origin, singleReadings, sampledReadings),
	}
}

// KeepSamplesSQL are the statements that move the rows of `samples` that hold a reading into the table of samples, and tell their quarters.
// They have the columns that readings of a row share, flags and owner, and for each quantity named a column w_QUANTITY, 'nan' where its cell cannot
// be kept. fileID and recordNo are SQL over r; all that is stored of the files from the first to the last comes from here.
func KeepSamplesSQL(fileID, recordNo string, quantities []string, firstFile, lastFile int64) []string {
	names, values := make([]string, len(quantities)), make([]string, len(quantities))
	for i, q := range quantities {
		names[i], values[i] = Quote(q), fmt.Sprintf("case when not isnan(w_%[1]s) then w_%[1]s end as %[2]s", q, Quote(q))
	}
	columns := strings.Join(names, ", ")
	return []string{
		fmt.Sprintf(`insert into kept.%s (%s, %s, held, %s) select %s, %s, %s as held, coalesce(transport_id, owner), flags, %s, %s from (
			select r, %s, flags, owner, %s from samples where recorded_at is not null) where held > 0`,
			sampledReadings, shared, columns, origin, shared, columns, filled(quantities), fileID, recordNo, shared, strings.Join(values, ", ")),
		fmt.Sprintf("insert into kept.%s %s", sampledQuarters, quartersOfSQL(firstFile, lastFile)),
	}
}

// inDoubt stands in the place of how many readings a sample holds while nobody has looked at what is in doubt.
const inDoubt = 255

// TakeSamplesSQL is the statement that stores rows as samples as they are read: r, file (its place, from 0, among files whose ids follow that
// of the first), the columns that readings of a row share, flags, owner, and for each quantity named a column w_QUANTITY. It marks those
// in which doubt, SQL over them, is true; InDoubtSQL counts them.
func TakeSamplesSQL(rows, r, file, doubt string, quantities []string, firstFile int64) string {
	names, values, terms := make([]string, len(quantities)), make([]string, len(quantities)), make([]string, len(quantities))
	for i, q := range quantities {
		names[i], values[i], terms[i] = Quote(q), "w_"+q, fmt.Sprintf("(w_%s is not null)::utinyint", q)
	}
	return fmt.Sprintf(`insert into kept.%[1]s (%[2]s, %[3]s, held, %[4]s) select %[2]s, %[5]s, case when %[6]s then %[7]d else %[8]s end,
		coalesce(transport_id, owner), flags, %[9]d + %[10]s, %[11]s from (%[12]s)`,
		sampledReadings, shared, strings.Join(names, ", "), origin, strings.Join(values, ", "), doubt, inDoubt, strings.Join(terms, " + "),
		firstFile, file, r, rows)
}

// TakenSQL tells the quarters of the samples of a run of files, and makes the temporary tables `taken` and `ranges` of them: for each
// file, from 0, and device how many records and readings there are, whether one is in doubt, and from when to when they are.
func TakenSQL(firstFile, lastFile int64) []string {
	return []string{
		"create or replace temp table taken_quarters as " + quartersOfSQL(firstFile, lastFile),
		fmt.Sprintf("insert into kept.%s from taken_quarters", sampledQuarters),
		fmt.Sprintf(`create or replace temp table taken as select (file_id - %d)::bigint as file, device_id, min(first_at) as first_at, max(last_at) as last_at,
			sum(records) as records, sum(readings) as readings from taken_quarters group by file_id, device_id`, firstFile),
		"create or replace temp table ranges as select file, device_id, first_at, last_at from taken",
		"drop table taken_quarters",
	}
}

// InDoubtSQL counts the samples of a run of files that are in doubt.
func InDoubtSQL(firstFile, lastFile int64) string {
	return fmt.Sprintf("select count(*) from kept.%s where %s and held = %d", sampledReadings, ofFiles(firstFile, lastFile), inDoubt)
}

// ofFiles is true for the rows of a run of files.
func ofFiles(first, last int64) string { return fmt.Sprintf("file_id between %d and %d", first, last) }

// TakenOfSQL sums a column of `taken` for each of so many files, 0 where nothing of it is there.
func TakenOfSQL(column string, files int) string {
	return fmt.Sprintf("select coalesce(sum(%s), 0)::bigint from range(%d) f(n) left join taken on file = n group by n order by n", column, files)
}

// filled is SQL for how many of the columns named hold a reading.
func filled(quantities []string) string {
	terms := make([]string, len(quantities))
	for i, q := range quantities {
		terms[i] = fmt.Sprintf("(%s is not null)::utinyint", Quote(q))
	}
	return strings.Join(terms, " + ")
}

// SampledSQL selects file_id and, as n, how many readings the stored samples of the files from first to last hold.
func SampledSQL(first, last int64) string {
	return fmt.Sprintf("select file_id, readings as n from kept.%s where %s", sampledQuarters, ofFiles(first, last))
}

// ReadingRowsSQL is a query over all readings with a column for each quantity: a stored sample is one row, a single reading a row in
// which all other quantities are empty.
func ReadingRowsSQL() string {
	var columns, single []string
	for _, q := range records.Quantities() {
		name := Quote(q.Name)
		columns = append(columns, name)
		single = append(single, fmt.Sprintf("case when quantity = %s then value end as %s", Literal(q.Name), name))
	}
	return fmt.Sprintf("select %[1]s, %[2]s, %[3]s from kept.%[4]s union all select %[1]s, %[5]s, %[3]s from kept.%[6]s",
		shared, strings.Join(columns, ", "), origin, sampledReadings, strings.Join(single, ", "), singleReadings)
}

// ReadingCountsSQL is a query that counts each trip's rows: single readings by quantity, and samples, of which no quantity can have more,
// under an empty one. Readings without an owner are not in it.
func ReadingCountsSQL() string {
	return fmt.Sprintf(`select trip, quantity, count(*) as row_count from kept.%s where trip is not null group by trip, quantity
		union all select trip, null, sum(records)::bigint from kept.%s where trip is not null group by trip`, singleReadings, sampledQuarters)
}
