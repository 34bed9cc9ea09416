package pipeline

import (
	"fmt"
	"slices"
	"strings"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/normalise"
	"tripwake/pipeline/store"
)

// lot is consecutive files of one source that are typed, kept and accounted for together, often a single one: a small file costs what
// its statements cost, however few rows it has. What holds for all of them stands with the first; a row is known by r, its place among all.
type lot struct {
	*staged
	files []*staged

	file, recordNo string        // SQL over r: the number of a row's file, and that of its record there
	sum            store.FileRow // what became of the rows of all files
	relation       string        // table or view: what `typed` is
	untouched      bool          // no stored row can equal one of theirs
	sampled        bool          // they are stored as samples
	same           int64         // readings that were set aside: see setSameAside
}

// newLot is a lot of files, and what they offer.
func newLot(files []*staged) *lot {
	s := &lot{staged: files[0], files: files}
	for _, file := range files {
		s.sum.Read += file.offered.Read
		s.sum.Refused += file.offered.Refused
	}
	return s
}

// mostTogether is how many bytes files may have to be staged together, and mostFiles how many they may be: a statement names each.
var mostTogether int64 = 16 << 20

const mostFiles = 256

// together gives the files at the beginning that may be staged together as text.
func (l *loading) together(all []*staged) []*staged {
	if l.forgetful {
		return nil // a row of one file can make rows of the next unwanted
	}
	n, bytes := 0, int64(0)
	for n < min(len(all), mostFiles) && all[n].joins(all[0]) && bytes+all[n].Unpacked <= mostTogether {
		bytes += all[n].Unpacked
		n++
	}
	return all[:n]
}

// joins says that a file may be staged with another: they are alike, neither has a quicker way, and the place of a row tells its record.
func (s *staged) joins(first *staged) bool {
	return !s.alone && !s.ready() && s.Whole() && s.Table.Name == first.Table.Name && alike(first, s) && s.batchable() == first.batchable()
}

// stageTogether stages files in one table and says whether they go together; if not, nothing is left of it, and those that are to blame
// go alone.
func (l *loading) stageTogether(files []*staged) (bool, error) {
	sources, rows := make([]intake.Source, len(files)), int64(0)
	for i, s := range files {
		sources[i], s.from = s.Source, rows
		rows += s.Records
	}
	first := files[0]
	for _, step := range []func() error{
		func() error { return l.stageEach(files, intake.StageEachSQL(sources, first.table, first.rejects)) },
		func() error { return l.blameTorn(files, rows) },
		func() error { return l.lookAtEach(files) },
	} {
		if err := step(); err != nil {
			return false, err
		}
		if slices.ContainsFunc(files, func(s *staged) bool { return s.alone }) {
			_, err := l.engine.Exec(first.unstageSQL()...)
			return false, err
		}
	}
	return true, l.offerEach(files)
}

// stageEach stages the files; where the engine cannot, each by itself will tell which of them is at fault.
func (l *loading) stageEach(files []*staged, text string) error {
	if _, err := l.engine.Exec(text); err != nil {
		alone(files, nil)
	}
	return nil
}

// alone has the files of those numbers go alone, of no numbers all.
func alone(files []*staged, numbers []int64) {
	for i, s := range files {
		s.alone = numbers == nil || slices.Contains(numbers, int64(i))
	}
}

// blameTorn has files go alone of which not every record is a row, so that the place of a row does not tell its record.
func (l *loading) blameTorn(files []*staged, rows int64) error {
	places := make([]string, len(files))
	for i, s := range files {
		places[i] = fmt.Sprintf("(%d, %d, %d)", i, s.from, s.Records)
	}
	torn, err := l.engine.Numbers(fmt.Sprintf(`select f.i from (values %s) f(i, first, n)
		left join (select %s as i, count(*) as n, min(rowid) as first from %s group by all) t on t.i = f.i
		where coalesce(t.n, 0) <> f.n or ((select count(*) from %[3]s) = %d and (t.first <> f.first or exists (from %s))) order by f.i`,
		strings.Join(places, ", "), intake.File, files[0].table, rows, files[0].rejects))
	if len(torn) > 0 {
		alone(files, torn)
	}
	return err
}

// lookAtEach looks at the text of files, and has those go alone whose numbers are written otherwise than the first one's.
func (l *loading) lookAtEach(files []*staged) error {
	first := files[0]
	if _, err := l.engine.Exec(normalise.StagedSQL(first.Source, rowsOf(first.table))); err != nil {
		return err
	}
	if err := l.look(first); err != nil {
		return err
	}
	all := first.look
	if all.Hinted {
		for i, s := range files {
			if _, err := l.engine.Exec(normalise.StagedSQL(s.Source, cut(first.table, s.from, 0, s.Records))); err != nil {
				return err
			}
			if err := l.look(s); err != nil {
				return err
			}
			s.alone = i > 0 && !s.look.WrittenAs(first.look)
		}
	}
	for _, s := range files {
		s.look = first.look.Over(all)
	}
	return nil
}

// offerEach plans the reading of the files and counts what each offers.
func (l *loading) offerEach(files []*staged) error {
	first := files[0]
	if _, err := l.engine.Exec(normalise.StagedSQL(first.Source, rowsOf(first.table))); err != nil {
		return err
	}
	plan, last := normalise.NewPlan(first.Source, l.options.Zone, first.look), int64(len(files)-1)
	offered, err := l.engine.Numbers(store.ByFileSQL(plan.OfferedSQL(places(files)), 0, last))
	if err != nil {
		return err
	}
	rows, err := l.engine.Numbers(store.ByFileSQL(fmt.Sprintf("select %s as file_id, 1 as n from staged", places(files)), 0, last))
	if err != nil {
		return err
	}
	for i, s := range files {
		s.lot, s.plan, s.table, s.rejects = files, plan, first.table, first.rejects
		s.offered.Read, s.filtered = offered[i], s.Records-rows[i]
	}
	return nil
}

// rowsOf is the relation of all rows of a table, with their places r.
func rowsOf(table string) string { return fmt.Sprintf("(select rowid as r, * from %s)", table) }

// cut is the relation of the rows of a table from one up to another after the row named, from which r counts.
func cut(table string, from, first, end int64) string {
	return fmt.Sprintf("(select rowid - %d as r, * from %s where rowid >= %d and rowid < %d)", from, table, from+first, from+end)
}

// byFile is SQL over r, the row of files that were staged together, that gives something of its file. Few comparisons lead to it.
func byFile(files []*staged, give func(file int) string) string {
	var of func(first, end int) string
	of = func(first, end int) string {
		if end-first == 1 {
			return give(first)
		}
		middle := (first + end) / 2
		return fmt.Sprintf("case when r < %d then %s else %s end", files[middle].from, of(first, middle), of(middle, end))
	}
	return of(0, len(files))
}

// places are those of the files among them as SQL over r.
func places(files []*staged) string {
	return byFile(files, func(i int) string { return fmt.Sprint(i) })
}

// fileNumbers are the numbers of the files as SQL over r, and recordNumbers those of their records.
func fileNumbers(files []*staged) string {
	return byFile(files, func(i int) string { return fmt.Sprint(files[i].fileID) })
}

func recordNumbers(files []*staged) string {
	return "r + 2 - " + byFile(files, func(i int) string { return fmt.Sprint(files[i].from) })
}

// parted sums the counts of a relation of file_id and n for each file of the lot; all is their sum, where it is known already.
func (s *lot) parted(l *loading, counts string, all int64) ([]int64, error) {
	switch {
	case len(s.files) == 1:
		return []int64{all}, nil
	case all == 0:
		return make([]int64, len(s.files)), nil
	}
	return l.engine.Numbers(store.ByFileSQL(counts, s.fileID, s.lastID()))
}

func (s *lot) lastID() int64 { return s.files[len(s.files)-1].fileID }

// last says that no file of the same table follows.
func (s *lot) last() bool { return s.files[len(s.files)-1].kept.last }
