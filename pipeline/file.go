package pipeline

import (
	"encoding/json"
	"fmt"
	"strings"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/link"
	"tripwake/pipeline/normalise"
	"tripwake/pipeline/store"
)

// staged is one source whose text is in the engine, with what is needed to type, keep and account for its rows.
type staged struct {
	intake.Source
	table, rejects string // temporary tables: the text of the records, and those that do not fit the header
	look           normalise.Look
	plan           normalise.Plan
	gaps           []shift

	fileID    int64
	recordNo  string // SQL: the record number of staged row r
	relation  string // table or view: what `typed` is
	untouched bool   // no stored row can equal one of this file's
	last      bool   // no file of the same table follows
	row       store.FileRow
}

// stage reads one file's text and holds the number of records that the engine delivered against the number that is there.
func (l *loading) stage(c intake.Candidate, scratch string, number int) (*staged, error) {
	source, err := intake.Inspect(c, scratch, number)
	if err != nil {
		return nil, err
	}
	s := &staged{Source: source, table: fmt.Sprintf("staged_%d", number), rejects: fmt.Sprintf("rejects_%d", number)}
	if _, err := l.engine.Exec(s.StageSQL(s.table, s.rejects)); err != nil {
		return nil, fmt.Errorf("%s: %w", s.Name, err)
	}
	if err := l.count(s); err != nil {
		return nil, fmt.Errorf("%s: %w", s.Name, err)
	}
	if err := l.look(s); err != nil {
		return nil, fmt.Errorf("%s: %w", s.Name, err)
	}
	s.plan = normalise.NewPlan(source, l.options.Zone, s.look)
	return s, nil
}

func (l *loading) count(s *staged) error {
	rejected, err := l.engine.Numbers(fmt.Sprintf("select distinct line from %s order by line", s.rejects))
	if err != nil {
		return err
	}
	var rows int64
	if err := l.engine.Ask("select count(*) from "+s.table, &rows); err != nil {
		return err
	}
	if rows+int64(len(rejected)) != s.Records {
		return fmt.Errorf("holds %d records but %d could be read; look for a quote that is opened and never closed", s.Records, rows+int64(len(rejected)))
	}
	s.gaps = shifts(append(rejected, s.Blank...))
	s.row.Read, s.row.Refused = s.Records, int64(len(rejected))
	return nil
}

func (l *loading) look(s *staged) error {
	var commas, points int64
	err := l.engine.Ask(normalise.LookSQL(s.Source, s.table), &s.look.FirstYear, &s.look.LastYear, &commas, &points)
	s.look.DecimalComma = commas > 0 && points == 0
	return err
}

// keepFile types, keeps and accounts for the rows of one staged source.
func (l *loading) keepFile(s *staged) error {
	if _, err := l.engine.Exec(fmt.Sprintf("create or replace temp view staged as select rowid as r, * from %s", s.table)); err != nil {
		return err
	}
	if len(s.gaps) > mostBranches {
		if _, err := l.engine.Exec(recordNumbersSQL(s.gaps)); err != nil {
			return err
		}
	}
	s.recordNo = recordNumberSQL(s.gaps)
	for _, step := range []func(*staged) error{l.typed, l.leaveOut, l.mask, l.keep, l.refuse, l.blankRefused, l.account} {
		if err := step(s); err != nil {
			return err
		}
	}
	return nil
}

// typed makes the typed rows. Where nothing else looks at them twice they are a view, worked out as they are stored:
// rows of a long device log are then written once.
func (l *loading) typed(s *staged) error {
	if _, err := l.engine.Exec(l.rowUnits(s), s.plan.TypedSQL("view")); err != nil {
		return err
	}
	touched, err := l.touched(s)
	if err != nil {
		return err
	}
	s.relation, s.untouched = "view", !touched && s.Table.Identifier == ""
	if s.untouched && len(s.plan.Checked()) == 0 {
		return nil
	}
	s.relation = "table"
	_, err = l.engine.Exec("drop view typed", s.plan.TypedSQL("table"))
	return err
}

// rowUnits is the statement that makes the conversions by row, empty where those of the file before serve.
func (l *loading) rowUnits(s *staged) string {
	text := s.plan.RowUnitsSQL()
	if text == l.unitsMade {
		return ""
	}
	if text != "" {
		l.unitsMade = text
	}
	return text
}

// touched says whether a stored row could equal one of this file's. For logs that is told from the times that each
// file's rows cover, device by device, so that only overlapping exports are compared row by row.
func (l *loading) touched(s *staged) (bool, error) {
	var n int64
	if !s.Table.Log {
		err := l.engine.Ask("select count(*) from kept."+s.Table.Name, &n)
		return n > 0, err
	}
	if !l.covered[s.Table.Name] {
		l.covered[s.Table.Name] = true
		if _, err := l.engine.Exec(store.CoverSQL(s.Table)); err != nil {
			return false, err
		}
	}
	if err := l.engine.Ask("select count(*) from covered_"+s.Table.Name, &n); err != nil {
		return false, err
	}
	if n == 0 && s.last {
		return false, nil
	}
	if _, err := l.engine.Exec(store.RangesSQL(s.Table)); err != nil {
		return false, err
	}
	if err := l.engine.Ask(store.TouchedSQL(s.Table), &n); err != nil {
		return false, err
	}
	_, err := l.engine.Exec(store.CoveredSQL(s.Table))
	return n > 0, err
}

// keep stores the rows that are not refused and not stored already.
func (l *loading) keep(s *staged) error {
	join := ""
	if s.Table.Log {
		join = link.OwnerJoin("span_hours", s.Table.When)
	}
	var err error
	s.row.Stored, err = l.engine.Exec(store.FreshSQL(s.Table, s.plan.RefusedSQL(), s.untouched), store.KeepSQL(s.Table, s.fileID, s.recordNo, join))
	if err != nil {
		return err
	}
	_, err = l.engine.Exec(store.SupersedeSQL(s.Table))
	return err
}

// refuse keeps the text of every refused record and cell, with the reason.
func (l *loading) refuse(s *staged) error {
	if _, err := l.engine.Exec(fmt.Sprintf(`insert into ledger.refused_rows select %d, line, null, %s, %s, [any_value(csv_line)]
		from %s group by line order by line`, s.fileID, store.Literal(normalise.FieldCount),
		store.Literal(fmt.Sprintf("%d cells, as in the header, with each quote closed", len(s.Header))), s.rejects)); err != nil {
		return err
	}
	if s.row.Stored+s.row.Refused < s.row.Read {
		refused, err := l.engine.Exec(s.plan.SuspectRowsSQL(), fmt.Sprintf(`insert into ledger.refused_rows
			select %d, %s, column_name, reason, expected, cells
			from (%s) join (select r, [%s] as cells from suspects) using (r) order by r`,
			s.fileID, s.recordNo, s.plan.RefusedRowsSQL(), stagedColumns(len(s.Header))))
		if err != nil {
			return err
		}
		s.row.Refused += refused
	}
	return l.refuseCells(s)
}

func (l *loading) refuseCells(s *staged) error {
	columns := s.plan.Checked()
	if len(columns) == 0 {
		return nil
	}
	counts := make([]int64, len(columns))
	into := make([]any, len(columns))
	for i := range counts {
		into[i] = &counts[i]
	}
	if err := l.engine.Ask(s.plan.SuspectsSQL(), into...); err != nil {
		return err
	}
	for i, n := range counts {
		if n == 0 {
			continue
		}
		s.row.CellsRefused += n
		if _, err := l.engine.Exec(s.plan.SuspectCellsSQL(columns[i]), fmt.Sprintf(`insert into ledger.refused_cells
			select %d, %s, column_name, reason, cell from (%s) order by r`, s.fileID, s.recordNo, s.plan.RefusedCellsSQL(columns[i]))); err != nil {
			return err
		}
	}
	return nil
}

// account writes the file into the ledger and lets its temporary tables go.
func (l *loading) account(s *staged) error {
	s.row.Repeated = s.row.Read - s.row.Refused - s.row.Stored
	if _, err := l.engine.Exec("drop view fresh", "drop "+s.relation+" typed", "drop table if exists suspects", "drop view staged",
		"drop table "+s.table, "drop table "+s.rejects, "drop table "+s.rejects+"_scan"); err != nil {
		return err
	}
	texts := make([]string, len(s.Header))
	for i, h := range s.Header {
		texts[i] = h.Text
	}
	s.row.FileID, s.row.LoadID, s.row.Path, s.row.SHA256 = s.fileID, l.loadID, s.Name, s.SHA256
	s.row.Bytes, s.row.Encoding, s.row.Delimiter = s.Bytes, s.Encoding, string(s.Delimiter)
	s.row.Table, s.row.Header = s.Table.Name, texts
	return l.engine.AddFile(s.row)
}

func (s *staged) remarks() []string {
	var lines []string
	if unread := s.Unread(); len(unread) > 0 {
		text, _ := json.Marshal(unread)
		lines = append(lines, fmt.Sprintf("%s: columns %s are none of table %s; their cells were not read", s.Name, text, s.Table.Name))
	}
	if s.look.DecimalComma {
		lines = append(lines, fmt.Sprintf("%s: the comma was read as the decimal sign", s.Name))
	}
	return lines
}

func stagedColumns(n int) string {
	names := make([]string, n)
	for i := range names {
		names[i] = fmt.Sprintf("c%d", i)
	}
	return strings.Join(names, ", ")
}
