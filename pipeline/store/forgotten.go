package store

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/json"
	"errors"
	"fmt"
)

// Forgotten is the reason under which rows of a forgotten transport stand in the ledger. Their text is not kept.
const Forgotten = "forgotten"

// ForgottenExpected says, beside the reason, what is to be done about such a row.
const ForgottenExpected = "nothing: its transport was forgotten on request, and the row is not stored again"

// forgottenTables are made when something is first forgotten. digests are keyed hashes, told apart by kind (transport,
// patient, and check for the key itself); spans are the times in which rows of a device that name no transport were those of a
// forgotten one, the device hashed too. rewritten is false until the file holds no byte of what was forgotten.
var forgottenTables = []string{
	`create table if not exists ledger.forgotten (digest varchar not null, kind varchar not null, forgotten_at timestamp not null, rewritten boolean not null)`,
	`create table if not exists ledger.forgotten_spans (digest varchar not null, from_at timestamp not null, to_at timestamp not null)`,
}

// MakeForgotten makes the tables of what was forgotten where they are not there.
func (e Engine) MakeForgotten() error {
	_, err := e.Exec(forgottenTables...)
	return err
}

// HasForgotten says whether anything was ever forgotten in this store.
func (e Engine) HasForgotten() (bool, error) {
	var n int64
	err := e.Ask(`select count(*) from duckdb_tables() where database_name = 'tripwake' and schema_name = 'ledger' and table_name = 'forgotten'`, &n)
	return n > 0, err
}

// UseForgetKey makes the macro forgotten_digest(text), HMAC-SHA-256 under a key derived from the secret. It refuses a secret
// other than the one that earlier digests were made with: it would find none of them.
func (e Engine) UseForgetKey(secret []byte) error {
	if len(secret) == 0 {
		return errors.New("something was forgotten in this store, and without the key file that was in use then its rows cannot be told; restore the file")
	}
	mac := hmac.New(sha256.New, secret)
	mac.Write([]byte("forget"))
	key := mac.Sum(nil)
	inner, outer := make([]byte, sha256.BlockSize), make([]byte, sha256.BlockSize)
	copy(inner, key)
	copy(outer, key)
	for i := range inner {
		inner[i] ^= 0x36 // the two pads of RFC 2104
		outer[i] ^= 0x5c
	}
	if _, err := e.Exec(fmt.Sprintf(`create or replace temp macro forgotten_digest(plain) as
		sha256(unhex('%x') || unhex(sha256(unhex('%x') || encode(plain))))`, outer, inner)); err != nil {
		return errors.New("the key could not be used") // the statement holds the key: it stays out of messages
	}
	var known, same int64
	if err := e.Ask(`select count(*), count(*) filter (where digest = forgotten_digest('check')) from ledger.forgotten where kind = 'check'`, &known, &same); err != nil {
		return err
	}
	if known > 0 && same == 0 {
		return errors.New("the key file is not the one that was in use when something was forgotten; restore that file")
	}
	return nil
}

// Forgettings says how many transports and patients were forgotten, and whether bytes of them may still be in the file since
// a forgetting was interrupted.
func (s *Store) Forgettings(ctx context.Context) (transports, patients int64, pending bool, err error) {
	e := s.Engine(ctx)
	if has, err := e.HasForgotten(); err != nil || !has {
		return 0, 0, false, err
	}
	err = e.Ask(`select count(*) filter (where kind = 'transport'), count(*) filter (where kind = 'patient'),
		coalesce(bool_or(not rewritten), false) from ledger.forgotten`, &transports, &patients, &pending)
	return transports, patients, pending, err
}

// Rewritten notes that the file holds no byte of what was forgotten.
func (s *Store) Rewritten(ctx context.Context) error {
	return s.Update(ctx, func(e Engine) error {
		_, err := e.Exec("update ledger.forgotten set rewritten = true where not rewritten")
		return err
	})
}

// RefusedFile is a file with refused records, and what it was read by.
type RefusedFile struct {
	FileID, Load       int64
	Table              string
	Header             []string
	SourceLine         int
	Layout, LayoutText string
}

// RefusedFiles lists the files that have refused records whose text is kept.
func (e Engine) RefusedFiles() ([]RefusedFile, error) {
	rows, err := e.run.QueryContext(e.ctx, `select file_id, load_id, table_name, to_json(header)::varchar, source_line, coalesce(layout, ''), coalesce(layout_text, '')
		from ledger.files join ledger.loads using (load_id)
		where file_id in (select file_id from ledger.refused_rows where len(cells) > 0) order by file_id`)
	if err != nil {
		return nil, fmt.Errorf("engine: %w", err)
	}
	defer rows.Close()
	var all []RefusedFile
	for rows.Next() {
		var f RefusedFile
		var header string
		if err := rows.Scan(&f.FileID, &f.Load, &f.Table, &header, &f.SourceLine, &f.Layout, &f.LayoutText); err != nil {
			return nil, fmt.Errorf("engine: %w", err)
		}
		if err := json.Unmarshal([]byte(header), &f.Header); err != nil {
			return nil, fmt.Errorf("ledger: %w", err)
		}
		all = append(all, f)
	}
	return all, rows.Err()
}
