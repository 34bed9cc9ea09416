package store

import (
	"context"
	"fmt"
	"strings"

	"tripwake/pipeline/records"
)

// TypeOf gives the engine's type for a kind of column. Moments are kept in UTC without a zone.
func TypeOf(k records.Kind) string {
	switch k {
	case records.Time:
		return "timestamp"
	case records.Date:
		return "date"
	case records.Number:
		return "double"
	case records.Flag:
		return "boolean"
	default:
		return "varchar"
	}
}

// ownTables keep what happened to every row that was read, and whose each piece of a device's time is.
//
// A file is known by its name and content; files has a row for each load of it, and for each source of a layout that reads
// it: source_line says which, 0 is none. loads keeps the layout as it was, by which refused rows can be loaded again.
// refused_rows keeps the text of each refused record; refused_cells the text of each optional cell that was stored empty;
// repeats, for each repeated row, the place (see placeSQL) of the first stored row of its content, and its own flags;
// repeated_samples, for each record that repeats one stored sample as a whole, that sample's file and record.
// What an undone load was is in undone alone.
var ownTables = []string{
	`create schema kept`,
	`create schema ledger`,
	`create schema link`,
	`create table link.spans (device_id varchar not null, from_at timestamp not null, to_at timestamp not null,
		transport_id varchar not null)`,
	`create table ledger.layout (number integer not null)`,
	`create table ledger.loads (load_id integer primary key, loaded_at timestamp not null, program varchar not null,
		time_zone varchar not null, layout varchar, layout_sha256 varchar, layout_text varchar)`,
	`create table ledger.files (file_id integer primary key, load_id integer not null, path varchar not null,
		sha256 varchar not null, bytes bigint not null, encoding varchar not null, delimiter varchar not null,
		table_name varchar not null, source_line integer not null, header varchar[] not null, rows_read bigint not null, stored bigint not null,
		repeated bigint not null, refused bigint not null, cells_refused bigint not null)`,
	`create table ledger.refused_rows (file_id integer not null, record_no bigint not null, column_name varchar,
		reason varchar not null, expected varchar not null, cells varchar[] not null)`,
	`create table ledger.refused_cells (file_id integer not null, record_no bigint not null, column_name varchar not null,
		reason varchar not null, cell varchar not null)`,
	`create table ledger.repeats (file_id integer not null, record_no bigint not null, first_row bigint not null, flags varchar)`,
	`create table ledger.repeated_samples (file_id integer not null, record_no bigint not null, first_file integer not null,
		first_record bigint not null, flags varchar)`,
	`create table ledger.undone (load_id integer not null, loaded_at timestamp not null, program varchar not null,
		time_zone varchar not null, files bigint not null, rows_read bigint not null, stored bigint not null,
		undone_at timestamp not null, undone_by varchar not null)`,
}

// createKept makes the statement for one table of records.
func createKept(t records.Table) string {
	var b strings.Builder
	fmt.Fprintf(&b, "create table kept.%s (", single(t))
	for _, c := range t.Columns {
		fmt.Fprintf(&b, "%s %s, ", Quote(c.Name), TypeOf(c.Kind))
	}
	if t.Log {
		b.WriteString("trip varchar, ")
	}
	if t.Identifier != "" {
		b.WriteString("superseded boolean not null, ")
	}
	b.WriteString("flags varchar, file_id integer not null, record_no bigint not null)")
	return b.String()
}

func (s *Store) ensureSchema(ctx context.Context) error {
	empty, err := s.empty(ctx)
	if err != nil {
		return err
	}
	if !empty {
		return s.checkLayout(ctx)
	}
	return s.Update(ctx, func(e Engine) error {
		statements := append([]string{}, ownTables...)
		for _, t := range records.Tables() {
			statements = append(statements, createKept(t))
		}
		statements = append(statements, createSamples()...)
		statements = append(statements, createQuarters()...)
		statements = append(statements, fmt.Sprintf(`insert into ledger.layout values (%d)`, layout))
		_, err := e.Exec(statements...)
		return err
	})
}

// empty says that the file is a database without any table: a first load that was killed at once leaves such a one.
func (s *Store) empty(ctx context.Context) (bool, error) {
	var tables int
	if err := s.db.QueryRowContext(ctx, `select count(*) from duckdb_tables()`).Scan(&tables); err != nil {
		return false, fmt.Errorf("store %s: %w", s.path, err)
	}
	return tables == 0, nil
}

func (s *Store) checkLayout(ctx context.Context) error {
	var number int
	err := s.db.QueryRowContext(ctx, `select number from ledger.layout`).Scan(&number)
	if empty, _ := s.empty(ctx); err != nil && empty {
		return fmt.Errorf("store %s: holds nothing yet; load exports first with `tripwake load PATH --store %s`", s.path, s.path)
	}
	if err != nil {
		return fmt.Errorf("store %s: the file is a database but no tripwake store; name another with --store", s.path)
	}
	if number != layout {
		return fmt.Errorf("store %s: has layout %d, this program reads layout %d; load the exports again into a new store", s.path, number, layout)
	}
	return nil
}

// Quote makes a name safe as an SQL identifier.
func Quote(name string) string { return `"` + strings.ReplaceAll(name, `"`, `""`) + `"` }

// Literal makes a text safe as an SQL string literal.
func Literal(text string) string { return `'` + strings.ReplaceAll(text, `'`, `''`) + `'` }
