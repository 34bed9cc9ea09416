package store

import (
	"fmt"
	"strings"

	"tripwake/pipeline/records"
)

// placeBits is how many bits of a place hold the record number and what stands below it; the file's number stands above them.
// withinBits hold which of the readings of its record a row is.
const placeBits, withinBits = 40, 5

// placeSQL is where a row stands among all that were read, as one number: files in the order of loading, then records, then the
// rows of one record (see WithinSQL).
func placeSQL(file, record, within string) string {
	return fmt.Sprintf("((%s::bigint << %d) + (%s << %d) + %s)", file, placeBits, record, withinBits, within)
}

// MatchedSQL are the statements that make the temporary table `matched`: the typed rows that are not refused and are stored already, with the
// staged row of this file that is the first of its content, and the place of the first stored row of its content (empty
// where that is in this file).
//
// The n-th equal row of this file matches the n-th equal row stored before, so that two equal rows of one file are two;
// where the row has an identifier, equal rows are one. Of a log only the stored rows are looked at that lie in the `ranges` of this
// file. They are taken in so many parts by their time, which equal rows share, so that what is held at once grows neither with the
// store nor with the file.
func MatchedSQL(t records.Table, refused string, parts int64) []string {
	var all []string
	into := "create or replace temp table matched as"
	for part := range max(1, parts) {
		typed, stored := "not "+refused, withinRanges(t)
		if parts > 1 {
			typed, stored = typed+" and "+timePart("", t, part, parts), stored+" where "+timePart("s.", t, part, parts)
		}
		all, into = append(all, matchedSQL(t, into, typed, stored)), "insert into matched"
	}
	return all
}

// timePart keeps the rows of a log whose moment falls into one part of several.
func timePart(alias string, t records.Table, part, parts int64) string {
	return fmt.Sprintf("hash(%s%s) %% %d = %d", alias, t.When, parts, part)
}

func matchedSQL(t records.Table, into, typed, stored string) string {
	columns := quotedColumns(t, "")
	return fmt.Sprintf(`%[9]s
		select n.r, n.first_r, k.first_row, n.flags, %[7]s as within from (
			select *, row_number() over in_file as nth, first_value(r) over in_file as first_r
			from typed where %[2]s window in_file as (partition by %[1]s order by r)) n
		left join (select %[1]s, count(*) as times, min(%[6]s) as first_row from kept.%[3]s s%[8]s group by all) k on %[4]s
		where case when %[5]s then k.times is not null or nth > 1 else nth <= k.times end`,
		columns, typed, t.Name, sameContent(t, "n", "k"), identified(t, "n"), placeSQL("file_id", "record_no", WithinSQL(t, "quantity")), WithinSQL(t, "n.quantity"), stored, into)
}

// OverlapSQL counts the stored rows of a log that lie in `ranges`: those that MatchedSQL looks at.
func OverlapSQL(t records.Table) string {
	return fmt.Sprintf("select count(*) from kept.%s s%s", t.Name, withinRanges(t))
}

// withinRanges keeps the stored rows s that can equal one of `typed`: of a log those that lie in a piece of `ranges`, of others those of
// the same transport or device, so that a small file costs little however much is stored.
func withinRanges(t records.Table) string {
	if !t.Log {
		key := Quote(t.Columns[0].Name)
		return fmt.Sprintf(" semi join (select distinct %[1]s from typed) g on s.%[1]s is not distinct from g.%[1]s", key)
	}
	return fmt.Sprintf(" semi join ranges g on s.device_id is not distinct from g.device_id and s.%[1]s >= g.first_at and s.%[1]s <= g.last_at", t.When)
}

// FreshSQL makes the temporary view `fresh`: the typed rows that are not refused and not matched. untouched says that nothing
// stored can equal any of them, so that there is no `matched`.
func FreshSQL(t records.Table, refused string, untouched bool) string {
	fresh := "create or replace temp view fresh as select * from typed where not " + refused
	if untouched {
		return fresh
	}
	return fresh + fmt.Sprintf(" and not exists (select 1 from matched m where m.r = typed.r and m.within = %s)", WithinSQL(t, "typed.quantity"))
}

// RepeatsSQL remembers of each matched row which stored row has its content, so that it can take that row's place if the
// load that stored it is undone. In order they take a few bytes each. file and recordNo give a staged row's from r.
func RepeatsSQL(file, recordNo string) string {
	return fmt.Sprintf(`insert into ledger.repeats select file_id, record_no, coalesce(first_row, %[3]s), flags from (
		select file_id, record_no, first_row, flags, within, %[1]s as first_file, %[2]s as first_record from (
			select %[1]s as file_id, %[2]s as record_no, first_row, flags, within, first_r from matched) as m(file_id, record_no, first_row, flags, within, r))
		order by file_id, record_no`,
		file, recordNo, placeSQL("first_file", "first_record", "within"))
}

// SharedSQL counts contents of `typed` without an identifier that rows of several files have, which file tells apart as SQL over r: such
// files must be kept in turn.
func SharedSQL(t records.Table, file string) string {
	return fmt.Sprintf("select count(*) from (select %[1]s from typed where not %[3]s group by %[1]s having min(%[2]s) < max(%[2]s))",
		quotedColumns(t, ""), file, identified(t, "typed"))
}

// StoredSQL selects file_id and, as n, 1 for each of the rows that a table keeps one by one of the files from first to last.
func StoredSQL(t records.Table, first, last int64) string {
	return fileIDs("kept."+single(t), first, last)
}

// RefusedSQL does so for the rows that were refused of them.
func RefusedSQL(first, last int64) string { return fileIDs("ledger.refused_rows", first, last) }

// RefusedCellsSQL does so for the cells.
func RefusedCellsSQL(first, last int64) string { return fileIDs("ledger.refused_cells", first, last) }

func fileIDs(table string, first, last int64) string {
	return fmt.Sprintf("select file_id, 1 as n from %s where %s", table, ofFiles(first, last))
}

// ByFileSQL sums n of a relation of file_id and n for each of the files from first to last, in turn.
func ByFileSQL(counts string, first, last int64) string {
	return fmt.Sprintf(`select coalesce(n, 0)::bigint from range(%d, %d) f(file_id) left join (select file_id, sum(n) as n from (%s) group by all) using (file_id)
		order by file_id`, first, last+1, counts)
}

// EchoesSQL selects row_id, file_id, record_no and within of the repeats of stored rows, which a table lists by the last three.
func EchoesSQL(stored string) string {
	return fmt.Sprintf(`select distinct r.rowid as row_id, r.file_id, r.record_no, s.within from ledger.repeats r join %s s on r.first_row = %s`,
		stored, placeSQL("s.file_id", "s.record_no", "s.within"))
}

// identified is true for rows with a filled identifier.
func identified(t records.Table, alias string) string {
	if t.Identifier == "" {
		return "false"
	}
	return alias + "." + Quote(t.Identifier) + " is not null"
}

// sameContent is true for two rows that are equal in every column of the contract.
func sameContent(t records.Table, a, b string) string {
	terms := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		terms[i] = fmt.Sprintf("%[2]s.%[1]s is not distinct from %[3]s.%[1]s", Quote(c.Name), a, b)
	}
	return strings.Join(terms, " and ")
}

// CoverSQL makes the temporary table `covered_TABLE` of a log: which times of which device its stored rows cover, a row for
// each file and device. It is made once a load; CoveredSQL adds the rows of a file to it.
func CoverSQL(t records.Table) string {
	first, last, from := t.When, t.When, t.Name
	if t.Name == readings {
		first, last, from = "first_at", "last_at", "reading_quarters"
	}
	return fmt.Sprintf(`create or replace temp table covered_%s as select device_id, min(%s) as first_at, max(%s) as last_at from kept.%s
		group by device_id, file_id`, t.Name, first, last, from)
}

// RangesSQL makes the temporary table `ranges`: which times of which device the typed rows of a log cover, which stand in the
// relation named, file by file; file numbers the files as SQL over the rows.
func RangesSQL(t records.Table, typed, file string) string {
	return fmt.Sprintf(`create or replace temp table ranges as
		select %[3]s as file, device_id, min(%[1]s) as first_at, max(%[1]s) as last_at from %[2]s where %[1]s is not null group by all`, t.When, typed, file)
}

// AmongSQL counts where the ranges of two files meet.
const AmongSQL = `select count(*) from ranges a join ranges b on a.device_id is not distinct from b.device_id and a.file < b.file
	where a.first_at <= b.last_at and b.first_at <= a.last_at`

// TouchedSQL counts where the ranges meet times that stored rows cover: only there can a row be stored already.
func TouchedSQL(t records.Table) string {
	return fmt.Sprintf(`select count(*) from covered_%s c join ranges r on c.device_id is not distinct from r.device_id
		where c.first_at <= r.last_at and r.first_at <= c.last_at`, t.Name)
}

// CoveredSQL adds the ranges to the times that stored rows cover.
func CoveredSQL(t records.Table) string {
	return fmt.Sprintf("insert into covered_%s select * exclude (file) from ranges", t.Name)
}

// KeepSQL moves `fresh` into the table's kept rows. file and recordNo give a staged row's from r; owner is
// that of a log's row, of which join may bring the alias it needs.
func KeepSQL(t records.Table, file, recordNo, owner, join string) string {
	into, from := quotedColumns(t, ""), quotedColumns(t, "r.")
	if t.Log {
		into, from = into+", trip", from+fmt.Sprintf(", coalesce(r.transport_id, %s)", owner)
	}
	if t.Identifier != "" {
		into, from = into+", superseded", from+", false"
	}
	return fmt.Sprintf("insert into kept.%s (%s, flags, file_id, record_no) select %s, r.flags, %s, %s from fresh r %s",
		single(t), into, from, file, recordNo, join)
}

// SupersedeSQL marks every row of an identifier of `typed` but the last as superseded. Empty text for tables without an identifier.
func SupersedeSQL(t records.Table) string {
	if t.Identifier == "" {
		return ""
	}
	id := Quote(t.Identifier)
	return fmt.Sprintf(`update kept.%[1]s set superseded = true where not superseded and %[2]s in (select %[2]s from typed) and exists (
		select 1 from kept.%[1]s later where later.%[2]s = %[1]s.%[2]s and (later.file_id, later.record_no) > (%[1]s.file_id, %[1]s.record_no))`,
		t.Name, id)
}

func quotedColumns(t records.Table, alias string) string {
	names := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		names[i] = alias + Quote(c.Name)
	}
	return strings.Join(names, ", ")
}
