package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"tripwake/pipeline/records"
)

// Entry is what became of the records of one file, in one table: Read = Stored + Repeated + Refused, always. CellsRefused
// and Superseded lie beside that balance: stored rows with a cell that could not be kept, and stored rows that a later
// row of the same identifier replaced. Reasons counts the refused rows, Cells the refused cells by column.
type Entry struct {
	File         string           `json:"file"`
	Table        string           `json:"table"`
	Read         int64            `json:"read"`
	Stored       int64            `json:"stored"`
	Repeated     int64            `json:"repeated"`
	Refused      int64            `json:"refused"`
	CellsRefused int64            `json:"cells_refused"`
	Superseded   int64            `json:"superseded"`
	Reasons      map[string]int64 `json:"reasons"`
	Cells        map[string]int64 `json:"cells,omitempty"`
	SHA256       string           `json:"-"`
}

// FileRow is one file of one load, as it is written into the ledger.
type FileRow struct {
	FileID, LoadID                                int64
	Path, SHA256, Encoding, Delimiter, Table      string
	SourceLine                                    int // of the layout; 0: none
	Header                                        []string
	Bytes                                         int64
	Read, Stored, Repeated, Refused, CellsRefused int64
}

// LoadRow is one load, as it is written into the ledger. Layout, its hash and its text are empty where there was none.
type LoadRow struct {
	At                               time.Time
	Program, Zone                    string
	Layout, LayoutSHA256, LayoutText string
}

// Refusal is one refused record, or one refused reading of a record that holds several, for messages and for the export that is
// mended and loaded again. Layout and LayoutText are those by which the file was read, SourceLine is that of the source in it.
type Refusal struct {
	File, Table, Column, Reason, Expected string
	Record                                int64
	Header, Cells                         []string
	Delimiter                             string
	Layout, LayoutText                    string
	SourceLine                            int
}

// BeginLoad writes a load into the ledger and gives its number and that of its first file.
func (e Engine) BeginLoad(l LoadRow) (loadID, fileID int64, err error) {
	if err := e.Ask(`select greatest((select max(load_id) from ledger.loads), (select max(load_id) from ledger.undone), 0) + 1,
		coalesce((select max(file_id) from ledger.files), 0) + 1`, &loadID, &fileID); err != nil {
		return 0, 0, err
	}
	_, err = e.exec(`insert into ledger.loads values (?, ?, ?, ?, nullif(?, ''), nullif(?, ''), nullif(?, ''))`,
		loadID, l.At.UTC(), l.Program, l.Zone, l.Layout, l.LayoutSHA256, l.LayoutText)
	return loadID, fileID, err
}

// AddFile writes one file of a load into the ledger.
func (e Engine) AddFile(f FileRow) error {
	header, err := json.Marshal(f.Header)
	if err != nil {
		return err
	}
	_, err = e.exec(`insert into ledger.files values (?, ?, ?, ?, ?, ?, ?, ?, ?, from_json(?, '["varchar"]'), ?, ?, ?, ?, ?)`,
		f.FileID, f.LoadID, f.Path, f.SHA256, f.Bytes, f.Encoding, f.Delimiter, f.Table, f.SourceLine, string(header),
		f.Read, f.Stored, f.Repeated, f.Refused, f.CellsRefused)
	return err
}

// Ledger lists what became of every file, in the order of first loading. A file is its name and its content; loads of it
// are added up. loadID chooses one load, 0 all.
func (s *Store) Ledger(ctx context.Context, loadID int64) ([]Entry, error) {
	rows, err := s.db.QueryContext(ctx, fmt.Sprintf(ledgerSQL, supersededSQL()), loadID, loadID)
	if err != nil {
		return nil, fmt.Errorf("ledger: %w", err)
	}
	defer rows.Close()
	var all []Entry
	for rows.Next() {
		var e Entry
		var reasons, cells string
		if err := rows.Scan(&e.File, &e.Table, &e.SHA256, &e.Read, &e.Stored, &e.Repeated, &e.Refused, &e.CellsRefused,
			&e.Superseded, &reasons, &cells); err != nil {
			return nil, fmt.Errorf("ledger: %w", err)
		}
		if err := e.counts(reasons, cells); err != nil {
			return nil, fmt.Errorf("ledger: %w", err)
		}
		all = append(all, e)
	}
	return all, rows.Err()
}

func (e *Entry) counts(reasons, cells string) error {
	if err := json.Unmarshal([]byte(reasons), &e.Reasons); err != nil {
		return err
	}
	if err := json.Unmarshal([]byte(cells), &e.Cells); err != nil {
		return err
	}
	if e.Reasons == nil {
		e.Reasons = map[string]int64{}
	}
	return nil
}

const ledgerSQL = `with chosen as (
		select * from ledger.files where load_id = ? or ? = 0
	), reasons as (
		select path, sha256, table_name, map(list(reason order by reason), list(n order by reason)) as counts
		from (select path, sha256, table_name, reason, count(*) as n from ledger.refused_rows join chosen using (file_id) group by all)
		group by all
	), cells as (
		select path, sha256, table_name, map(list(column_name order by column_name), list(n order by column_name)) as counts
		from (select path, sha256, table_name, column_name, count(*) as n from ledger.refused_cells join chosen using (file_id) group by all)
		group by all
	), superseded as (
		%s
	)
	select path, table_name, sha256, sum(rows_read)::bigint, sum(stored)::bigint, sum(repeated)::bigint, sum(refused)::bigint,
		sum(cells_refused)::bigint, coalesce(sum(superseded.n), 0)::bigint,
		coalesce(any_value(reasons.counts)::json::varchar, '{}'), coalesce(any_value(cells.counts)::json::varchar, '{}')
	from chosen left join reasons using (path, sha256, table_name) left join cells using (path, sha256, table_name)
	left join superseded using (file_id)
	group by path, table_name, sha256 order by min(file_id)`

func supersededSQL() string {
	var parts []string
	for _, t := range records.Tables() {
		if t.Identifier != "" {
			parts = append(parts, fmt.Sprintf("select file_id, count(*) as n from kept.%s where superseded group by all", t.Name))
		}
	}
	return strings.Join(parts, " union all ")
}

// Refusals lists refused records, and refused readings of records that hold several, in the order of loading; loadID chooses one load, 0 all. A record that was refused at
// several loads of one file is listed once. limit bounds the list for each file, 0 is no bound.
func (s *Store) Refusals(ctx context.Context, loadID, limit int64) ([]Refusal, error) {
	rows, err := s.db.QueryContext(ctx, refusalsSQL, loadID, loadID, limit, limit)
	if err != nil {
		return nil, fmt.Errorf("ledger: %w", err)
	}
	defer rows.Close()
	var all []Refusal
	for rows.Next() {
		var r Refusal
		var header, cells string
		if err := rows.Scan(&r.File, &r.Table, &r.SourceLine, &r.Record, &r.Column, &r.Reason, &r.Expected, &r.Delimiter, &header, &cells,
			&r.Layout, &r.LayoutText); err != nil {
			return nil, fmt.Errorf("ledger: %w", err)
		}
		if err := json.Unmarshal([]byte(header), &r.Header); err != nil {
			return nil, fmt.Errorf("ledger: %w", err)
		}
		if err := json.Unmarshal([]byte(cells), &r.Cells); err != nil {
			return nil, fmt.Errorf("ledger: %w", err)
		}
		all = append(all, r)
	}
	return all, rows.Err()
}

const refusalsSQL = `with chosen as (
		select * from ledger.files where load_id = ? or ? = 0
	)
	select path, table_name, source_line, record_no, coalesce(column_name, ''), reason, expected, delimiter, to_json(header)::varchar,
		to_json(cells)::varchar, coalesce(layout, ''), coalesce(layout_text, '')
	from ledger.refused_rows join chosen using (file_id) join ledger.loads using (load_id)
	qualify min(file_id) over (partition by path, sha256, table_name, source_line, record_no) = file_id
		and (? = 0 or row_number() over (partition by file_id order by record_no) <= ?)
	order by file_id, record_no`

// LayoutRef names a layout by which exports were loaded, with the hash of its bytes.
type LayoutRef struct{ Name, SHA256 string }

// Layouts lists the layouts by which exports were loaded, each once, in the order of first loading.
func (s *Store) Layouts(ctx context.Context) ([]LayoutRef, error) {
	rows, err := s.db.QueryContext(ctx, `select layout, layout_sha256 from ledger.loads where layout is not null group by all order by min(load_id)`)
	if err != nil {
		return nil, fmt.Errorf("ledger: %w", err)
	}
	defer rows.Close()
	var all []LayoutRef
	for rows.Next() {
		var l LayoutRef
		if err := rows.Scan(&l.Name, &l.SHA256); err != nil {
			return nil, fmt.Errorf("ledger: %w", err)
		}
		all = append(all, l)
	}
	return all, rows.Err()
}

// LastLoad is when the last load began, in UTC; the zero time where there was none.
func (s *Store) LastLoad(ctx context.Context) (time.Time, error) {
	var at sql.NullTime
	if err := s.db.QueryRowContext(ctx, `select max(loaded_at) from ledger.loads`).Scan(&at); err != nil {
		return time.Time{}, fmt.Errorf("ledger: %w", err)
	}
	return at.Time, nil
}
