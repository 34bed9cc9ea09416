package pipeline

import (
	"errors"
	"fmt"
	"strings"

	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

// heedForgotten gets ready to tell rows of forgotten transports, where there are such.
func (l *loading) heedForgotten() error {
	has, err := l.engine.HasForgotten()
	if err != nil || !has {
		return err
	}
	if l.options.Key == nil {
		return errors.New("something was forgotten in this store; the load needs the key file to leave it out")
	}
	key, err := l.options.Key()
	if err != nil {
		return err
	}
	l.forgetful = true
	return l.engine.UseForgetKey(key)
}

// leaveOut refuses the typed rows of forgotten transports, without their text.
func (l *loading) leaveOut(s *lot) error {
	if _, names := s.Table.Column("transport_id"); !l.forgetful || !names {
		return nil
	}
	if err := l.settle(s); err != nil {
		return err
	}
	if _, err := l.engine.Exec("create or replace temp table unwanted as " + unwantedSQL(s.Table)); err != nil {
		return err
	}
	if _, err := l.engine.Exec(fmt.Sprintf("insert into ledger.refused_rows select %s, %s, null, '%s', %s, []::varchar[] from typed where r in (from unwanted) order by r",
		s.file, s.recordNo, store.Forgotten, store.Literal(store.ForgottenExpected))); err != nil {
		return err
	}
	if err := l.spread(s); err != nil {
		return err
	}
	n, err := l.engine.Exec("delete from typed where r in (from unwanted)")
	s.sum.Refused += n
	return err
}

// spread has the new transports of a forgotten patient forgotten too, so that rows which name the transport alone do not stay.
func (l *loading) spread(s *lot) error {
	if _, ok := s.Table.Column("patient_key"); !ok {
		return nil
	}
	_, err := l.engine.Exec(fmt.Sprintf(`insert into ledger.forgotten
		select distinct forgotten_digest('transport ' || transport_id) as found, 'transport', timestamp '%s', true
		from typed where r in (from unwanted) and transport_id is not null and found not in (select digest from ledger.forgotten)`,
		l.options.Now.UTC().Format("2006-01-02 15:04:05")))
	return err
}

// settle makes the typed rows a table, since they are gone through several times.
func (l *loading) settle(s *lot) error {
	if s.relation == "table" {
		return nil
	}
	s.relation = "table"
	_, err := l.engine.Exec("drop view typed", s.plan.TypedSQL("table", owners(s.Table)))
	return err
}

// freeTexts are the columns in which people write what they like; maskedText stands for a text that names what was forgotten.
var freeTexts = []struct{ table, column string }{{"events", "narrative"}, {"notes", "text"}, {"notes", "owner"}}

const maskedText = "[text that names a forgotten transport or patient]"

// mask does to the free texts of a load what Forget did to stored ones, so that a file that is loaded again is repeated.
// Words are cut at blanks and marks; a name with a blank in it is not found here.
func (l *loading) mask(s *lot) error {
	for _, text := range freeTexts {
		if !l.forgetful || text.table != s.Table.Name {
			continue
		}
		if err := l.settle(s); err != nil {
			return err
		}
		if _, err := l.engine.Exec(fmt.Sprintf(`update typed set "%[1]s" = %[2]s where r in (
			select r from (select r, lower(trim(unnest(regexp_split_to_array("%[1]s", '[^[:alnum:]_./-]+')), './-_')) as word from typed)
			where forgotten_digest('word ' || word) in (select digest from ledger.forgotten))`, text.column, store.Literal(maskedText))); err != nil {
			return err
		}
	}
	return nil
}

// unwantedSQL selects r of the typed rows that name a forgotten transport or patient, or lie in the time of one. Hashes are
// made of distinct names, not row by row.
func unwantedSQL(t records.Table) string {
	parts := []string{named("transport_id", "transport ")}
	if _, ok := t.Column("patient_key"); ok {
		parts = append(parts, named("patient_key", "patient "))
	}
	if t.Log {
		parts = append(parts, fmt.Sprintf(`select r from typed join (
			select device_id, from_at, to_at from (select distinct device_id from typed where device_id is not null)
			join ledger.forgotten_spans on digest = forgotten_digest('device ' || device_id)) h using (device_id)
			where transport_id is null and %[1]s >= from_at and %[1]s < to_at`, t.When))
	}
	return strings.Join(parts, " union ")
}

func named(column, kind string) string {
	return fmt.Sprintf(`select r from typed where %[1]s in (select %[1]s from (select distinct %[1]s from typed where %[1]s is not null)
		where forgotten_digest('%[2]s' || %[1]s) in (select digest from ledger.forgotten))`, column, kind)
}

// blankRefused takes the text of refused rows that name a forgotten transport or patient: in a column of names, or as a word
// that is looked for in any cell; a record that does not fit its header is one text, which is cut at its delimiters first.
func (l *loading) blankRefused(s *lot) error {
	if !l.forgetful || s.sum.Refused == 0 {
		return nil
	}
	known := "false"
	for _, name := range [][2]string{{"transport_id", "transport"}, {"patient_key", "patient"}} {
		if staged, _, ok := s.Column(name[0]); ok {
			known += fmt.Sprintf(" or (place = %s and forgotten_digest('%s ' || cell) in (select digest from ledger.forgotten))", strings.TrimPrefix(staged, "c"), name[1])
		}
	}
	_, err := l.engine.Exec(fmt.Sprintf(`update ledger.refused_rows set column_name = null, reason = '%[2]s', expected = %[3]s, cells = []::varchar[]
		where file_id = %[1]d and record_no in (
			select record_no from (select record_no, trim(unnest(cells)) as cell, generate_subscripts(cells, 1) - 1 as place
				from ledger.refused_rows where file_id = %[1]d and len(cells) > 0) where %[5]s
			union
			select record_no from (select record_no, lower(trim(unnest(list_concat(cells, string_split(cells[1], %[4]s))), ' "')) as cell
				from ledger.refused_rows where file_id = %[1]d and len(cells) > 0)
			where forgotten_digest('word ' || cell) in (select digest from ledger.forgotten))`,
		s.fileID, store.Forgotten, store.Literal(store.ForgottenExpected), store.Literal(string(s.Delimiter)), known))
	return err
}
