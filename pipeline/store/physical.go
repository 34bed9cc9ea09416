package store

import (
	"fmt"
	"strings"

	"tripwake/pipeline/records"
)

// Readings are kept in two base tables, and only this file knows: kept.single_readings has a row for each reading, and
// kept.sampled_readings a row for each moment of a device with a column for each quantity, as devices export them. A sampled row
// takes a tenth of the time to store and to read. The view kept.readings shows both as one reading a row; a question about one
// quantity reads that column alone. The view kept.reading_moments shows each row once, with how many readings it holds.
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
	var columns, counted []string
	parts := []string{fmt.Sprintf("select %s, quantity, value, unit, %s from kept.%s", shared, origin, singleReadings)}
	for _, q := range records.Quantities() {
		name := Quote(q.Name)
		columns, counted = append(columns, name+" double"), append(counted, fmt.Sprintf("(%s is not null)::tinyint", name))
		parts = append(parts, fmt.Sprintf(readingsTemplate, shared, Literal(q.Name), name, origin, name))
	}
	return []string{
		fmt.Sprintf("create table kept.%s (%s, %s, %s)", sampledReadings, sharedTypes, strings.Join(columns, ", "), originTypes),
		fmt.Sprintf("create view kept.%s as %s", readings, strings.Join(parts, " union all ")),
		fmt.Sprintf(`create view kept.reading_moments as select %[1]s, %[2]s, 1::bigint as held from kept.%[3]s
			union all select %[1]s, %[2]s, (%[4]s)::bigint from kept.%[5]s`, shared, origin, singleReadings, strings.Join(counted, " + "), sampledReadings),
	}
}

// KeepSamplesSQL moves the rows of `samples` that hold a reading into the table of samples: they have the columns that readings of a
// row share, flags and owner, and for each quantity named a column w_QUANTITY, 'nan' where its cell cannot be kept. fileID and recordNo are
// SQL over r.
func KeepSamplesSQL(fileID, recordNo string, quantities []string) string {
	names, values := make([]string, len(quantities)), make([]string, len(quantities))
	for i, q := range quantities {
		names[i], values[i] = Quote(q), fmt.Sprintf("case when not isnan(w_%[1]s) then w_%[1]s end as %[2]s", q, Quote(q))
	}
	columns := strings.Join(names, ", ")
	return fmt.Sprintf(`insert into kept.%s (%s, %s, %s) select %s, %s, coalesce(transport_id, owner), flags, %s, %s from (
		select r, %s, flags, owner, %s from samples where recorded_at is not null) where coalesce(%s) is not null`,
		sampledReadings, shared, columns, origin, shared, columns, fileID, recordNo, shared, strings.Join(values, ", "), columns)
}

// SampledSQL counts the readings that a file's stored samples hold.
func SampledSQL(fileID int64, quantities []string) string {
	terms := make([]string, len(quantities))
	for i, q := range quantities {
		terms[i] = fmt.Sprintf("count(%s)", Quote(q))
	}
	return fmt.Sprintf("select %s from kept.%s where file_id = %d", strings.Join(terms, " + "), sampledReadings, fileID)
}
