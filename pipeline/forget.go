package pipeline

import (
	"context"
	"errors"
	"fmt"
	"regexp"
	"strings"
	"time"

	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

// Forgetting names a transport, or a patient with every transport of theirs. Key is the secret outside the store under
// which what was forgotten is known again, hashed, when an export is loaded again.
type Forgetting struct {
	Transport, Patient string
	Key                []byte
	Now                time.Time
}

// Forgot counts what was erased: transports, stored rows by table, and refused records and cells that named them.
type Forgot struct {
	Transports int64
	Rows       map[string]int64
	Refused    int64
}

// Forget erases every row of a transport, or of all transports of a patient: superseded rows, device rows that were linked
// to it by device and time, and the text of refused rows that name it. It is one transaction.
//
// The ledger stays in balance and says what a fresh load would say: the rows are refused as forgotten. Kept are keyed hashes
// of the names, and the times between which each of its devices' rows were its own, so that later loads refuse what comes
// again. The bytes are gone from the file once store.Rewrite has run. Reports and extracts made earlier are beyond it.
func Forget(ctx context.Context, st *store.Store, f Forgetting) (Forgot, error) {
	if (f.Transport == "") == (f.Patient == "") {
		return Forgot{}, errors.New("forget: name either a transport or a patient")
	}
	done := Forgot{Rows: map[string]int64{}}
	err := st.Update(ctx, func(tx store.Engine) error {
		if err := tx.MakeForgotten(); err != nil {
			return err
		}
		if err := tx.UseForgetKey(f.Key); err != nil {
			return err
		}
		for _, step := range []func(store.Engine, *Forgot) error{f.choose, f.remember, f.erase, f.repeated, f.blank, f.account} {
			if err := step(tx, &done); err != nil {
				return fmt.Errorf("forget: %w", err)
			}
		}
		return nil
	})
	return done, err
}

// choose finds the transports: the temporary table `leaving`.
func (f Forgetting) choose(tx store.Engine, done *Forgot) error {
	from := "select " + store.Literal(f.Transport)
	if f.Patient != "" {
		from = "select distinct transport_id from kept.transports where patient_key = " + store.Literal(f.Patient)
	}
	if _, err := tx.Exec("create or replace temp table leaving (transport_id varchar)", "insert into leaving "+from,
		"create or replace temp table erased (file_id integer, record_no bigint, within integer)"); err != nil {
		return err
	}
	return tx.Ask("select count(distinct transport_id) from kept.transports where transport_id in (from leaving)", &done.Transports)
}

// remember keeps the hashes, and the times of the devices' rows that name no transport.
func (f Forgetting) remember(tx store.Engine, _ *Forgot) error {
	at := fmt.Sprintf("timestamp '%s'", f.Now.UTC().Format("2006-01-02 15:04:05"))
	texts := []string{
		fmt.Sprintf("insert into ledger.forgotten select forgotten_digest('check'), 'check', %s, true where not exists (from ledger.forgotten where kind = 'check')", at),
		// Of what was forgotten already the bytes are looked for anew.
		"delete from ledger.forgotten where digest in (select forgotten_digest('transport ' || transport_id) from leaving)",
		fmt.Sprintf("insert into ledger.forgotten select forgotten_digest('transport ' || transport_id), 'transport', %s, false from leaving", at),
		`insert into ledger.forgotten_spans select distinct forgotten_digest('device ' || device_id), from_at, to_at from link.spans
			where transport_id in (from leaving)`,
		"delete from link.spans where transport_id in (from leaving)",
	}
	if f.Patient != "" {
		digest := "forgotten_digest('patient ' || " + store.Literal(f.Patient) + ")"
		texts = append(texts, "delete from ledger.forgotten where digest = "+digest,
			fmt.Sprintf("insert into ledger.forgotten select %s, 'patient', %s, false", digest, at))
	}
	words, err := f.words(tx)
	if err != nil {
		return err
	}
	for _, word := range words {
		texts = append(texts, fmt.Sprintf("insert into ledger.forgotten select forgotten_digest('word ' || lower(%s)), 'word', %s, true", store.Literal(word), at))
	}
	_, err = tx.Exec(texts...)
	return err
}

// erase deletes the rows and notes where they came from.
func (f Forgetting) erase(tx store.Engine, done *Forgot) error {
	for _, t := range records.Tables() {
		if _, ok := t.Column("transport_id"); !ok {
			continue
		}
		theirs := "transport_id in (from leaving)"
		if t.Log {
			theirs += " or trip in (from leaving)"
		}
		n, err := tx.Exec(fmt.Sprintf("insert into erased select file_id, record_no, %s from kept.%s where %s", store.WithinSQL(t, "quantity"), t.Name, theirs))
		if err != nil {
			return err
		}
		if _, err := tx.Exec(store.DeleteSQL(t, theirs)...); err != nil {
			return err
		}
		if n > 0 {
			done.Rows[t.Name] = n
		}
	}
	return nil
}

// repeated has the rows that repeat an erased one refused with it, as a fresh load would: undoing the load that stored it must not
// leave rows that repeat nothing.
func (f Forgetting) repeated(tx store.Engine, _ *Forgot) error {
	if _, err := tx.Exec(store.SpreadSQL("select file_id, record_no from erased", "from erased")...); err != nil {
		return err
	}
	_, err := tx.Exec("create or replace temp table echoes as "+store.EchoesSQL("erased"),
		"delete from ledger.repeats where rowid in (select row_id from echoes)",
		`update ledger.files set stored = stored + n, repeated = repeated - n
			from (select file_id as id, count(*) as n from echoes group by all) e where file_id = e.id`,
		"insert into erased select file_id, record_no, within from echoes", "drop table echoes")
	return err
}

// blank takes the names out of texts: refused records and cells go, narratives and notes of others that name them are masked
// as a whole, file names in that word.
func (f Forgetting) blank(tx store.Engine, done *Forgot) error {
	pattern, err := f.pattern(tx)
	if err != nil {
		return err
	}
	named := func(text string) string { return fmt.Sprintf("regexp_matches(%s, %s)", text, pattern) }
	if err := nameCells(tx); err != nil {
		return err
	}
	if done.Refused, err = tx.Exec(fmt.Sprintf(`update ledger.refused_rows r set column_name = null, reason = '%s', expected = %s, cells = []::varchar[]
		from name_cells f where f.file_id = r.file_id and len(cells) > 0 and (%s or %s or %s)`,
		store.Forgotten, store.Literal(store.ForgottenExpected), named("array_to_string(cells, chr(31))"),
		namedInCells("f.transport", "from leaving"), namedInCells("f.patient", "nullif("+store.Literal(f.Patient)+", '')"))); err != nil {
		return err
	}
	if _, err := tx.Exec("create or replace temp table erased_cells as select file_id, record_no, column_name from ledger.refused_cells where "+
		"(file_id, record_no) in (select file_id, record_no from erased) or "+named("cell"),
		"delete from ledger.refused_cells where (file_id, record_no, column_name) in (select file_id, record_no, column_name from erased_cells)"); err != nil {
		return err
	}
	for _, text := range freeTexts {
		if _, err := tx.Exec(fmt.Sprintf(`update kept.%s set "%s" = %s where %s`, text.table, text.column, store.Literal(maskedText), named(`"`+text.column+`"`))); err != nil {
			return err
		}
	}
	_, err = tx.Exec(fmt.Sprintf(`update ledger.files set path = regexp_replace(path, %s, '\1forgotten\3', 'g') where %s`, pattern, named("path")))
	return err
}

// words lists the names that are looked for inside texts. A name of under four bytes, or a number of under six digits, stands in
// texts by chance: it is looked for in the columns of names alone.
func (f Forgetting) words(tx store.Engine) ([]string, error) {
	var joined string
	if err := tx.Ask("select coalesce(string_agg(distinct transport_id, chr(31)), '') from leaving", &joined); err != nil {
		return nil, err
	}
	var words []string
	for _, name := range append(strings.Split(joined, "\x1f"), f.Patient) {
		if digits := strings.Trim(name, "0123456789") == ""; len(name) >= 6 || (len(name) >= 4 && !digits) {
			words = append(words, name)
		}
	}
	return words, nil
}

// pattern finds any of the names as a word, in any letter case, as an SQL literal; without a name it finds nothing.
func (f Forgetting) pattern(tx store.Engine) (string, error) {
	words, err := f.words(tx)
	if err != nil || len(words) == 0 {
		return store.Literal("[^[:ascii:][:^ascii:]]"), err
	}
	for i, word := range words {
		words[i] = regexp.QuoteMeta(word)
	}
	return store.Literal("(?i)(^|[^[:alnum:]])(" + strings.Join(words, "|") + ")($|[^[:alnum:]])"), nil
}

// account keeps the ledger in balance: what was stored is refused now, without its text.
func (f Forgetting) account(tx store.Engine, _ *Forgot) error {
	_, err := tx.Exec(
		fmt.Sprintf("insert into ledger.refused_rows select file_id, record_no, null, '%s', %s, []::varchar[] from erased order by file_id, record_no",
			store.Forgotten, store.Literal(store.ForgottenExpected)),
		`update ledger.files set stored = stored - n, refused = refused + n
			from (select file_id as id, count(*) as n from erased group by all) e where file_id = e.id`,
		`update ledger.files set cells_refused = cells_refused - n
			from (select file_id as id, count(*) as n from erased_cells group by all) e where file_id = e.id`,
		"drop table leaving", "drop table erased", "drop table erased_cells", "drop table name_cells")
	return err
}
