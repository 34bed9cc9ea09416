package pipeline

import (
	"encoding/json"
	"fmt"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/link"
	"tripwake/pipeline/normalise"
	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

// staged is one source whose text is in the engine, or on its way there, with what is needed to type, keep and account for its rows.
type staged struct {
	intake.Source
	place          int    // among all sources of the load
	table, rejects string // temporary tables: the text of the records, and those that do not fit the header
	way            way
	look           normalise.Look
	plan           normalise.Plan
	gaps           []shift
	direct         *direct   // nil where the file does not go straight into the store
	ends           string    // file of its numbered ends, empty where none was written
	batch          *batch    // nil where the file is not typed as it is read
	lot            []*staged // the files that were staged in one table with this one, nil where none were
	alone          bool      // it cannot be staged with others
	from           int64     // its first row among theirs, or in the batch
	filtered       int64     // records that the layout leaves out
	offered        store.FileRow
	kept
}

// kept is what became of one source in a transaction, which may have to begin anew.
type kept struct {
	fileID   int64
	last     bool  // no file of the same table follows
	nextDays int64 // rows with a time that was taken for the next day
	row      store.FileRow
}

// ready says that a source is staged.
func (s *staged) ready() bool { return s.plan.Ready() }

// stage reads one file's text and holds the number of records that the engine delivered against the number that is there.
func (l *loading) stage(s *staged) error {
	if _, err := l.engine.Exec(s.StageSQL(s.table, s.rejects)); err != nil {
		return err
	}
	return l.count(s)
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
	return l.offer(s, rows, int64(len(rejected)))
}

// offer counts what the file offers to its table: its records, or, where they have a column for each quantity, the filled cells
// of those; records that the layout filters out are none. A record that does not fit the header is one, whatever it holds.
func (l *loading) offer(s *staged, rows, rejected int64) error {
	if _, err := l.engine.Exec(normalise.StagedSQL(s.Source, rowsOf(s.table))); err != nil {
		return err
	}
	offered := rows
	if s.Layout != nil && s.Layout.Where != nil {
		if err := l.engine.Ask("select count(*) from staged", &offered); err != nil {
			return err
		}
	}
	s.filtered = rows - offered
	if err := l.look(s); err != nil {
		return err
	}
	if s.plan = normalise.NewPlan(s.Source, l.options.Zone, s.look); s.plan.Wide() {
		offered = s.look.Filled
	}
	if s.plan.Wide() && !s.look.AllPlain() {
		if err := l.engine.Ask(s.plan.FilledSQL(), &offered); err != nil {
			return err
		}
	}
	s.offered.Read, s.offered.Refused = offered+rejected, rejected
	return nil
}

// keepLot types, keeps and accounts for the rows of files that go together, and says whether they do: a row without an identifier is
// compared with all that stood before its file, so files that share such rows must go in turn.
func (l *loading) keepLot(s *lot) (bool, error) {
	if err := l.numbered(s); err != nil {
		return false, err
	}
	if err := l.typed(s); err != nil {
		return false, err
	}
	if shared, err := l.shareRows(s); err != nil || shared {
		return false, err
	}
	for _, step := range []func(*lot) error{l.meet, l.leaveOut, l.mask, l.keep, l.keepSame, l.refuse, l.blankRefused, l.account} {
		if err := step(s); err != nil {
			return false, err
		}
	}
	return true, nil
}

// numbered makes the view `staged` of the rows, and tells from which record of which file each is.
func (l *loading) numbered(s *lot) error {
	view := normalise.StagedSQL(s.Source, rowsOf(s.table))
	switch {
	case s.batch != nil:
		view = s.batch.rowsSQL(s.staged, 0, s.Records)
	case s.lot != nil && len(s.files) == 1:
		view = normalise.StagedSQL(s.Source, cut(s.table, s.from, 0, s.Records))
	}
	if _, err := l.engine.Exec(view); err != nil {
		return err
	}
	if len(s.files) > 1 {
		s.file, s.recordNo = fileNumbers(s.files), recordNumbers(s.files)
		return nil
	}
	if len(s.gaps) > mostBranches {
		if _, err := l.engine.Exec(recordNumbersSQL(s.table, s.gaps)); err != nil {
			return err
		}
	}
	s.file, s.recordNo = fmt.Sprint(s.fileID), recordNumberSQL(s.gaps)
	return nil
}

// typed makes the typed rows. Where nothing else looks at them twice they are a view, worked out as they are stored:
// rows of a long device log are then written once.
func (l *loading) typed(s *lot) error {
	s.relation = "view"
	if s.Table.Identifier != "" || s.plan.Checks() || len(s.files) > 1 && !s.plan.Wide() {
		s.relation = "table"
	}
	_, err := l.engine.Exec(l.rowUnits(s), s.plan.TypedSQL(s.relation, owners(s.Table)))
	return err
}

// shareRows says whether files share rows without an identifier; if so, nothing is left of the typed rows.
func (l *loading) shareRows(s *lot) (bool, error) {
	if len(s.files) == 1 {
		return false, nil
	}
	shared := store.SharedSQL(s.Table, s.file)
	if s.plan.Wide() { // rows that are worked out as they are stored are not compared: it is enough that files meet
		shared = store.AmongSQL
		if err := l.ranges(s.staged, places(s.files)); err != nil {
			return false, err
		}
	}
	var n int64
	if err := l.engine.Ask(shared, &n); err != nil || n == 0 {
		return false, err
	}
	_, err := l.engine.Exec("drop "+s.relation+" typed", "drop view if exists samples", "drop view if exists moments", "drop view staged")
	return true, err
}

// meet says whether stored rows may equal the typed ones, which are then gone through several times.
func (l *loading) meet(s *lot) error {
	touched, err := l.touched(s)
	if err != nil {
		return err
	}
	if s.untouched = !touched && s.Table.Identifier == ""; s.untouched {
		return nil
	}
	return l.settle(s)
}

// rowUnits is the statement that makes the conversions by row, empty where those of the file before serve.
func (l *loading) rowUnits(s *lot) string {
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
func (l *loading) touched(s *lot) (bool, error) {
	var n int64
	if !s.Table.Log {
		err := l.engine.Ask("select count(*) from kept."+s.Table.Name, &n)
		return n > 0, err
	}
	if err := l.cover(s.Table); err != nil {
		return false, err
	}
	if err := l.engine.Ask("select count(*) from covered_"+s.Table.Name, &n); err != nil {
		return false, err
	}
	if n == 0 && s.last() {
		_, err := l.engine.Exec(link.FileHoursSQL("", ""))
		return false, err
	}
	if err := l.ranges(s.staged, places(s.files)); err != nil {
		return false, err
	}
	if err := l.engine.Ask(store.TouchedSQL(s.Table), &n); err != nil {
		return false, err
	}
	if n > 0 && s.batch != nil {
		if err := l.setSameAside(s); err != nil {
			return false, err
		}
		if err := l.engine.Ask(store.TouchedSQL(s.Table), &n); err != nil {
			return false, err
		}
	}
	_, err := l.engine.Exec(store.CoveredSQL(s.Table))
	return n > 0, err
}

// ranges tells which times of which device the rows of a file cover, or of each of several, and narrows `file_hours` to them.
func (l *loading) ranges(s *staged, file string) error {
	if _, err := l.engine.Exec(store.RangesSQL(s.Table, s.plan.Rows(), file)); err != nil {
		return err
	}
	var first, last string
	if err := l.engine.Ask("select coalesce(min(first_at)::varchar, ''), coalesce(max(last_at)::varchar, '') from ranges", &first, &last); err != nil {
		return err
	}
	_, err := l.engine.Exec(link.FileHoursSQL(first, last))
	return err
}

// cover tells the stored times of a log, once a load.
func (l *loading) cover(t records.Table) error {
	if l.covered[t.Name] {
		return nil
	}
	l.covered[t.Name] = true
	_, err := l.engine.Exec(store.CoverSQL(t))
	return err
}

// owners joins the rows of a log to whose they are.
func owners(t records.Table) string {
	if !t.Log {
		return ""
	}
	return link.OwnerJoin("file_hours", t.When)
}

// keep stores the rows that are not refused and not stored already.
func (l *loading) keep(s *lot) error {
	if s.untouched && s.plan.Wide() && s.relation == "view" {
		return l.keepSamples(s) // nothing was taken out of the typed rows, and none of them is stored
	}
	owner, join := "h.transport_id", owners(s.Table)
	if s.plan.Wide() {
		owner, join = "r.owner", ""
	}
	refused, repeats := s.plan.RefusedSQL(), ""
	if !s.untouched {
		parts, err := l.matchParts(s)
		if err != nil {
			return err
		}
		if _, err := l.engine.Exec(store.MatchedSQL(s.Table, refused, parts)...); err != nil {
			return err
		}
		repeats = store.RepeatsSQL(s.file, s.recordNo)
	}
	var err error
	s.sum.Stored, err = l.engine.Exec(store.FreshSQL(s.Table, refused, s.untouched), store.KeepSQL(s.Table, s.file, s.recordNo, owner, join))
	if err != nil {
		return err
	}
	_, err = l.engine.Exec(repeats, store.SupersedeSQL(s.Table))
	return err
}

// matchedAtOnce is how many rows, read and stored, are compared at a time: the engine holds some 400 bytes of each.
var matchedAtOnce int64 = 500_000

// matchParts is into how many parts the comparison of a log's rows with stored ones is cut.
func (l *loading) matchParts(s *lot) (int64, error) {
	if !s.Table.Log {
		return 1, nil
	}
	var stored int64
	err := l.engine.Ask(store.OverlapSQL(s.Table), &stored)
	return (s.sum.Read-s.same+stored)/matchedAtOnce + 1, err
}

// keepSamples stores rows with a column for each quantity as they are.
func (l *loading) keepSamples(s *lot) error {
	if _, err := l.engine.Exec(store.KeepSamplesSQL(s.file, s.recordNo, s.plan.Quantities(), s.fileID, s.lastID())...); err != nil {
		return err
	}
	stored, err := l.engine.Numbers(store.ByFileSQL(store.SampledSQL(s.fileID, s.lastID()), s.fileID, s.lastID()))
	for _, n := range stored {
		s.sum.Stored += n
	}
	s.sampled = true
	return err
}

// refuse keeps the text of every refused record and cell, with the reason.
func (l *loading) refuse(s *lot) error {
	if s.batch != nil {
		return nil // it would be none if anything in it were refused
	}
	if s.offered.Refused > 0 { // of files that were staged together, none
		if _, err := l.engine.Exec(fmt.Sprintf(`insert into ledger.refused_rows select %d, line, null, %s, %s, [any_value(csv_line)]
			from %s group by line order by line`, s.fileID, store.Literal(normalise.FieldCount),
			store.Literal(fmt.Sprintf("%d cells, as in the header, with each quote closed", len(s.Header))), s.rejects)); err != nil {
			return err
		}
	}
	if s.sum.Stored+s.sum.Refused < s.sum.Read {
		refused, err := l.refuseSuspects(s.plan.SuspectRowsSQL(), fmt.Sprintf(`insert into ledger.refused_rows
			select %s, %s, column_name, reason, expected, cells from (%s) order by r`, s.file, s.recordNo, s.plan.RefusedRowsSQL()))
		if err != nil {
			return err
		}
		s.sum.Refused += refused
	}
	if !s.plan.Checks() {
		return nil
	}
	var err error
	s.sum.CellsRefused, err = l.refuseSuspects(s.plan.SuspectCellsSQL(), fmt.Sprintf(`insert into ledger.refused_cells
		select %s, %s, column_name, reason, cell from (%s) order by place, r`, s.file, s.recordNo, s.plan.RefusedCellsSQL()))
	return err
}

// refuseSuspects makes the table of suspects and says how much was refused of them. Reasons are worked out for those alone.
func (l *loading) refuseSuspects(suspects, refuse string) (refused int64, err error) {
	var n int64
	if _, err := l.engine.Exec(suspects); err != nil {
		return 0, err
	}
	if err := l.engine.Ask("select count(*) from suspects", &n); err != nil || n == 0 {
		return 0, err
	}
	return l.engine.Exec(refuse)
}

// account tells what became of the rows of each file, lets the temporary tables and views go and writes the files into the ledger.
func (l *loading) account(s *lot) error {
	if err := l.tell(s); err != nil {
		return err
	}
	if _, err := l.engine.Exec("drop view if exists fresh", "drop "+s.relation+" typed", "drop view if exists samples", "drop view if exists moments",
		"drop table if exists suspects", "drop table if exists matched", "drop table if exists same", "drop view staged"); err != nil {
		return err
	}
	if _, err := l.engine.Exec(s.used()...); err != nil {
		return err
	}
	for _, file := range s.files {
		if err := l.enter(file); err != nil {
			return err
		}
	}
	return nil
}

// tell parts the sums of the lot by file.
func (l *loading) tell(s *lot) error {
	first, last := s.fileID, s.lastID()
	kept := store.StoredSQL(s.Table, first, last)
	if s.sampled {
		kept = store.SampledSQL(first, last)
	}
	stored, err := s.parted(l, kept, s.sum.Stored)
	if err != nil {
		return err
	}
	refused, err := s.parted(l, store.RefusedSQL(first, last), s.sum.Refused)
	if err != nil {
		return err
	}
	cells, err := s.parted(l, store.RefusedCellsSQL(first, last), s.sum.CellsRefused)
	if err != nil {
		return err
	}
	nextDays, err := l.nextDays(s)
	if err != nil {
		return err
	}
	for i, file := range s.files {
		file.row.Stored, file.row.Refused, file.row.CellsRefused, file.nextDays = stored[i], refused[i], cells[i], nextDays[i]
		file.row.Repeated = file.row.Read - refused[i] - stored[i]
	}
	return nil
}

// nextDays counts the rows of each file with a time that was taken for the next day.
func (l *loading) nextDays(s *lot) ([]int64, error) {
	text := s.plan.NextDaysSQL()
	if text == "" {
		return make([]int64, len(s.files)), nil
	}
	return l.engine.Numbers(store.ByFileSQL(fmt.Sprintf("select %s as file_id, 1 as n from (%s)", s.file, text), s.fileID, s.lastID()))
}

// used are the statements that drop what was staged; what several files were staged in goes with the last of them.
func (s *lot) used() []string {
	last := s.files[len(s.files)-1]
	switch {
	case s.batch != nil && last == s.batch.files[len(s.batch.files)-1]:
		return []string{"drop table " + s.batch.table}
	case s.batch != nil || s.lot != nil && last != s.lot[len(s.lot)-1]:
		return nil
	}
	return s.unstageSQL()
}

// unstageSQL are the statements that drop a file's text.
func (s *staged) unstageSQL() []string {
	return []string{"drop table if exists " + s.table, "drop table if exists " + s.rejects, "drop table if exists " + s.rejects + "_scan"}
}

// enter writes the file into the ledger.
func (l *loading) enter(s *staged) error {
	texts := make([]string, len(s.Header))
	for i, h := range s.Header {
		texts[i] = h.Text
	}
	s.row.FileID, s.row.LoadID, s.row.Path, s.row.SHA256 = s.fileID, l.loadID, s.Name, s.SHA256
	s.row.Bytes, s.row.Encoding, s.row.Delimiter = s.Bytes, s.Encoding, string(s.Delimiter)
	s.row.Table, s.row.Header = s.Table.Name, texts
	if s.Layout != nil {
		s.row.SourceLine = s.Layout.Line
	}
	return l.engine.AddFile(s.row)
}

func (s *staged) remarks() []string {
	var lines []string
	if unread := s.Unread(); len(unread) > 0 && s.Layout == nil {
		text, _ := json.Marshal(unread)
		lines = append(lines, fmt.Sprintf("%s: columns %s are none of table %s; their cells were not read", s.Name, text, s.Table.Name))
	}
	lines = append(lines, s.dialectRemarks()...)
	if s.look.DecimalComma {
		lines = append(lines, fmt.Sprintf("%s: the comma was read as the decimal sign", s.Name))
	}
	if s.nextDays > 0 {
		lines = append(lines, fmt.Sprintf("%s: %d rows have a time that was taken for the next day, as %s line %d asks; they are flagged %s",
			s.Name, s.nextDays, s.Layout.File, s.Layout.Line, normalise.NextDay))
	}
	if s.filtered > 0 {
		lines = append(lines, fmt.Sprintf("%s: %d records were left out, as %s line %d asks", s.Name, s.filtered, s.Layout.File, s.Layout.Where.Line))
	}
	return lines
}
