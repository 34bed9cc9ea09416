package store

import (
	"fmt"
	"time"

	"tripwake/pipeline/records"
)

// Undone says what undoing a load took away: its files, the rows that it had stored, and how many of them other loads
// repeat, whose rows they are now.
type Undone struct {
	Load          int64
	LoadedAt      time.Time
	Files         int64
	Stored, Kept  int64
	RefusedOfLoad int64
}

// Undo takes a load back: the store's rows and ledger are then those of a store into which it was never loaded, but for the
// entry that says so. Links are not made anew. It refuses a load that is not there.
func (e Engine) Undo(loadID int64, at time.Time, program string) (Undone, error) {
	u := Undone{Load: loadID}
	if _, err := e.Exec(fmt.Sprintf("create or replace temp table undone_files as select * from ledger.files where load_id = %d", loadID)); err != nil {
		return u, err
	}
	if err := e.undoable(&u); err != nil {
		return u, err
	}
	if _, err := e.Exec("delete from ledger.repeats where file_id in (select file_id from undone_files)",
		"delete from ledger.repeated_samples where file_id in (select file_id from undone_files)"); err != nil {
		return u, err
	}
	for _, t := range records.Tables() {
		kept, err := e.undoTable(t)
		if err != nil {
			return u, err
		}
		u.Kept += kept
	}
	if _, err := e.exec(`insert into ledger.undone select load_id, loaded_at, program, time_zone,
		(select count(*) from undone_files), (select coalesce(sum(rows_read), 0) from undone_files),
		(select coalesce(sum(stored), 0) from undone_files), ?, ? from ledger.loads where load_id = ?`, at.UTC(), program, loadID); err != nil {
		return u, err
	}
	_, err := e.Exec(
		"delete from ledger.refused_rows where file_id in (select file_id from undone_files)",
		"delete from ledger.refused_cells where file_id in (select file_id from undone_files)",
		"delete from ledger.files where file_id in (select file_id from undone_files)",
		fmt.Sprintf("delete from ledger.loads where load_id = %d", loadID))
	return u, err
}

// undoable refuses a load that is not there and counts what will go.
func (e Engine) undoable(u *Undone) error {
	var there, undone int64
	if err := e.Ask(fmt.Sprintf(`select (select count(*) from ledger.loads where load_id = %[1]d),
		(select count(*) from ledger.undone where load_id = %[1]d)`, u.Load), &there, &undone); err != nil {
		return err
	}
	switch {
	case undone > 0:
		return fmt.Errorf("load %d: was undone before; `tripwake ledger --loads` lists all", u.Load)
	case there == 0:
		return fmt.Errorf("load %d: no such load; `tripwake ledger --loads` lists all", u.Load)
	}
	return e.Ask(fmt.Sprintf(`select (select loaded_at from ledger.loads where load_id = %d), count(*),
		coalesce(sum(stored), 0)::bigint, coalesce(sum(refused), 0)::bigint from undone_files`, u.Load), &u.LoadedAt, &u.Files, &u.Stored, &u.RefusedOfLoad)
}

// undoTable takes the load's rows of one table away and gives how many of them live on as rows of other loads.
func (e Engine) undoTable(t records.Table) (kept int64, err error) {
	var stored, repeats int64
	if err := e.Ask(fmt.Sprintf(`select (select coalesce(sum(stored), 0)::bigint from undone_files where table_name = %[1]s),
		(select count(*) from (select file_id from ledger.repeats union all select file_id from ledger.repeated_samples)
			join ledger.files using (file_id) where table_name = %[1]s)`, Literal(t.Name)), &stored, &repeats); err != nil || stored == 0 {
		return 0, err
	}
	if repeats > 0 {
		if kept, err = e.passOn(t); err != nil {
			return 0, err
		}
	}
	if _, err := e.Exec(DeleteSQL(t, "file_id in (select file_id from undone_files)")...); err != nil {
		return 0, err
	}
	_, err = e.Exec(againSupersededSQL(t))
	return kept, err
}

// passOn stores the rows that were repeated only because this load had stored their like, and gives their number.
func (e Engine) passOn(t records.Table) (int64, error) {
	if _, err := e.Exec(contentsSQL(t), alikeSQL(t)); err != nil {
		return 0, err
	}
	if t.Name == readings {
		if _, err := e.Exec(SpreadSQL(headRecordsSQL, StoredReadingsSQL())...); err != nil {
			return 0, err
		}
	}
	if _, err := e.Exec(membersSQL(t)); err != nil {
		return 0, err
	}
	kept, err := e.Exec(promoteSQL(t))
	if err != nil {
		return 0, err
	}
	_, err = e.Exec(
		`delete from ledger.repeats using (select * from members join heads using (content) where not stored and stays) m
			where repeats.file_id = m.file_id and repeats.record_no = m.record_no and repeats.first_row = m.head`,
		fmt.Sprintf(`update ledger.repeats set first_row = h.after from (
			select any_value(a.head) as before, min(%s) as after from members m join heads a using (content) where m.stays group by content) h
			where first_row = h.before and h.before <> h.after`, placeSQL("m.file_id", "m.record_no", fmt.Sprintf("(a.head & %d)", 1<<withinBits-1))),
		`update ledger.files set stored = stored + m.n, repeated = repeated - m.n from (
			select file_id, count(*) as n from members where not stored and stays group by file_id) m where files.file_id = m.file_id`)
	return kept, err
}

// contentsSQL makes the temporary table `contents`: a number for each content that a row of the undone load has.
func contentsSQL(t records.Table) string {
	return fmt.Sprintf(`create or replace temp table contents as select row_number() over () as content, * from (
		select distinct %s from kept.%s where file_id in (select file_id from undone_files))`, quotedColumns(t, ""), t.Name)
}

// alikeSQL makes the temporary table `alike`: every stored row of such a content; and `heads`: the first of each.
func alikeSQL(t records.Table) string {
	trip := "null"
	if t.Log {
		trip = "k.trip"
	}
	return fmt.Sprintf(`create or replace temp table alike as
		select c.content, k.file_id, k.record_no, %s as trip, %s as place from kept.%s k join contents c on %s;
		create or replace temp table heads as select content, min(place) as head, any_value(trip) as trip from alike group by content`,
		trip, placeSQL("k.file_id", "k.record_no", WithinSQL(t, "k.quantity")), t.Name, sameContent(t, "k", "c"))
}

// headRecordsSQL lists the records of `heads`.
var headRecordsSQL = fmt.Sprintf("select distinct head >> %d as file_id, head %% %d >> %d as record_no from heads", placeBits, int64(1)<<placeBits, withinBits)

// membersSQL makes the temporary table `members`: every row of such a content that other loads read, whether it is stored
// now, and whether it would be if the load had not been: the n-th of its file where no file before has as many; of rows with
// an identifier the first.
func membersSQL(t records.Table) string {
	return fmt.Sprintf(`create or replace temp table members as
		with others as (
			select content, file_id, record_no, true as stored, null as flags from alike
			where file_id not in (select file_id from undone_files)
			union all
			select h.content, r.file_id, r.record_no, false, r.flags from ledger.repeats r join heads h on r.first_row = h.head
		), numbered as (
			select *, row_number() over (partition by content, file_id order by record_no) as nth,
				row_number() over (partition by content order by file_id, record_no) as overall
			from others
		), before as (
			select *, max(nth) over (partition by content order by file_id groups between unbounded preceding and 1 preceding) as most
			from numbered
		)
		select b.*, case when %s then overall = 1 else nth > coalesce(most, 0) end as stays from before b join contents c using (content)`,
		identified(t, "c"))
}

// promoteSQL stores the members that are to stay and are not stored.
func promoteSQL(t records.Table) string {
	into, from := quotedColumns(t, ""), quotedColumns(t, "c.")
	if t.Log {
		into, from = into+", trip", from+", h.trip"
	}
	if t.Identifier != "" {
		into, from = into+", superseded", from+", false"
	}
	return fmt.Sprintf(`insert into kept.%s (%s, flags, file_id, record_no)
		select %s, m.flags, m.file_id, m.record_no from members m join contents c using (content) join heads h using (content)
		where not m.stored and m.stays order by m.file_id, m.record_no`, single(t), into, from)
}

// againSupersededSQL marks anew which rows of an identifier a later one replaces. Empty text for tables without one.
func againSupersededSQL(t records.Table) string {
	if t.Identifier == "" {
		return ""
	}
	place := placeSQL("file_id", "record_no", "0")
	return fmt.Sprintf(`update kept.%[1]s set superseded = n.now from (
			select rowid as row_id, %[2]s <> max(%[2]s) over (partition by %[3]s) as now from kept.%[1]s where %[3]s is not null) n
		where kept.%[1]s.rowid = n.row_id and superseded <> n.now`, t.Name, place, Quote(t.Identifier))
}
