package pipeline

import (
	"fmt"
	"os"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/link"
	"tripwake/pipeline/normalise"
	"tripwake/pipeline/store"
)

// way is how a file of readings may be read, the quickest first. What one way cannot do is done by the next, and all give the same
// rows.
type way int

const (
	straight way = iota // from the file into the store in one statement; nothing in it may need a second look, or be stored already
	inBatch             // typed by the engine as it reads, into a table; nothing in it may need a second look
	asText              // staged as text, which can hold anything
)

// direct is consecutive files of one source that go straight into the store.
type direct struct {
	files []*staged
	plan  normalise.Plan
}

// notDirect says that a transaction has to begin anew, since some of the files cannot go straight into the store after all.
type notDirect struct {
	direct  *direct
	overlap bool // what is stored, or another of the files, may hold rows of theirs
	why     error
}

func (n *notDirect) Error() string { return n.why.Error() }

// readyDirect gets files ready for that, and says whether it may be tried: by the records at both ends of each, they are plain
// and none of their times is stored. If not, some of the files have another way after it.
func (l *loading) readyDirect(files []*staged) (bool, error) {
	if l.forgetful {
		setWay(files, inBatch)
		return false, nil
	}
	if err := l.numberEnds(files); err != nil {
		return false, err
	}
	d := &direct{files: files}
	look, plain := l.plainEnds(d)
	if !plain {
		blame(files, func(s *staged) bool {
			_, plain := l.plainEnds(&direct{files: []*staged{s}})
			return !plain
		})
		return false, nil
	}
	d.plan = normalise.NewDirectPlan(files[0].Source, l.options.Zone, look)
	if overlap, err := l.endsOverlap(d); err != nil || overlap {
		setWay(files, inBatch)
		return false, err
	}
	for _, s := range files {
		s.direct, s.plan = d, d.plan
	}
	return true, nil
}

// plainEnds says whether the engine reads the records at the ends of the files, and nothing in them needs a second look.
func (l *loading) plainEnds(d *direct) (look normalise.Look, plain bool) {
	var clean int64
	_, err := l.engine.Exec("create or replace temp table log_ends as " + normalise.EndsSQL(d.ends()))
	if err == nil {
		err = l.engine.Ask(normalise.BatchCleanSQL(d.files[0].Source, "log_ends"), &look.FirstYear, &look.LastYear, &clean)
	}
	return look, err == nil && clean == 1
}

// endsOverlap says whether rows may be stored of the times between the ends of a file.
func (l *loading) endsOverlap(d *direct) (bool, error) {
	s := d.files[0]
	if err := l.cover(s.Table); err != nil {
		return false, err
	}
	if _, err := l.engine.Exec(store.RangesSQL(s.Table, "("+d.plan.DirectSQL(d.ends())+")", intake.File), "drop table log_ends"); err != nil {
		return false, err
	}
	return l.overlap(s)
}

// blame has files at which the question points read as text; where it points at none, all are tried in a batch.
func blame(files []*staged, points func(*staged) bool) {
	blamed := false
	for _, s := range files {
		if points(s) {
			setWay([]*staged{s}, asText)
			blamed = true
		}
	}
	if !blamed {
		setWay(files, inBatch)
	}
}

// setWay sets the way of files that cannot go straight into the store.
func setWay(files []*staged, to way) {
	for _, s := range files {
		s.way, s.ends = to, ""
	}
}

// numberEnds writes the ends of files that have none yet.
func (l *loading) numberEnds(files []*staged) error {
	var bare []*staged
	for _, s := range files {
		if s.ends == "" {
			bare = append(bare, s)
		}
	}
	sources, places := sourcesOf(bare)
	paths, err := intake.NumberEndsEach(sources, l.scratch, places)
	for i, s := range bare {
		s.ends = paths[i]
	}
	return err
}

func sourcesOf(files []*staged) (sources []intake.Source, places []int) {
	for _, s := range files {
		sources, places = append(sources, s.Source), append(places, s.place)
	}
	return sources, places
}

// ends are the sources of the files and the ends of each.
func (d *direct) ends() (sources []intake.Source, paths []string) {
	for _, s := range d.files {
		sources, paths = append(sources, s.Source), append(paths, s.ends)
	}
	return sources, paths
}

// mostNumbered is how many bytes files may have to be copied with numbers at once, unless it is one alone. Copies that stand for as long
// as a statement takes need little room, and the next ones are written where these were in memory, which takes a quarter of the time.
var mostNumbered int64 = 1 << 30

// pieces parts files so.
func pieces(files []*staged) (all [][]*staged) {
	bytes := int64(0)
	for i, s := range files {
		if bytes += s.Unpacked; i == 0 || bytes > mostNumbered {
			all, bytes = append(all, nil), s.Unpacked
		}
		all[len(all)-1] = append(all[len(all)-1], s)
	}
	return all
}

// selected gives a piece of the files to use as the rows that SQL selects from numbered copies, which stand until it returns.
func (d *direct) selected(l *loading, files []*staged, use func(rows string) error) error {
	sources, places := sourcesOf(files)
	paths, err := intake.NumberEach(sources, l.scratch, places)
	if err == nil {
		err = use(d.plan.DirectSQL(sources, paths))
	}
	for _, path := range paths {
		os.Remove(path) // what stays goes with the scratch folder
	}
	return err
}

// keepDirect brings the files into the store, piece by piece, and looks at what has come: all records of each, none in doubt, and none
// at a time of which rows are stored.
func (l *loading) keepDirect(d *direct) error {
	s := d.files[0]
	from, to := d.plan.Years()
	if _, err := l.engine.Exec(link.FileHoursSQL(from.Format("2006-01-02"), to.Format("2006-01-02"))); err != nil {
		return err
	}
	for _, files := range pieces(d.files) {
		if err := l.take(d, files); err != nil {
			return err
		}
	}
	if err := l.taken(d); err != nil {
		return err
	}
	if overlap, err := l.overlap(s); err != nil || overlap {
		return orErr(err, &notDirect{d, true, fmt.Errorf("rows of these times are stored already")})
	}
	_, err := l.engine.Exec(store.CoveredSQL(s.Table), "drop table taken")
	return err
}

// take stores the rows of a piece of the files in one statement.
func (l *loading) take(d *direct, files []*staged) error {
	s := files[0]
	return d.selected(l, files, func(rows string) error {
		owned := fmt.Sprintf("select r.*, h.transport_id as owner from (%s) r %s", rows, owners(s.Table))
		if _, err := l.engine.ExecAsWritten(store.TakeSamplesSQL(owned, intake.Row, intake.File, d.plan.DoubtSQL(), d.plan.Quantities(), s.fileID)); err != nil {
			return &notDirect{d, false, err}
		}
		return nil
	})
}

// orErr is err, or the other where that is nil.
func orErr(err, other error) error {
	if err != nil {
		return err
	}
	return other
}

// taken holds what was stored of each file against its records, and enters it.
func (l *loading) taken(d *direct) error {
	first := d.files[0].fileID
	last := first + int64(len(d.files)-1)
	var doubtful int64
	if err := l.engine.Ask(store.InDoubtSQL(first, last), &doubtful); err != nil || doubtful > 0 {
		return orErr(err, &notDirect{d, false, fmt.Errorf("%d records need a second look", doubtful)})
	}
	if _, err := l.engine.Exec(store.TakenSQL(first, last)...); err != nil {
		return err
	}
	records, err := l.engine.Numbers(store.TakenOfSQL("records", len(d.files)))
	if err != nil {
		return err
	}
	readings, err := l.engine.Numbers(store.TakenOfSQL("readings", len(d.files)))
	if err != nil {
		return err
	}
	for i, s := range d.files {
		read, err := l.read(s, records[i])
		if err != nil {
			return err
		}
		if read != s.Records {
			return &notDirect{d, false, fmt.Errorf("%s: %d of %d records read", s.Name, read, s.Records)}
		}
		s.row.Read, s.row.Stored = readings[i], readings[i]
		if err := l.enter(s); err != nil {
			return err
		}
	}
	return nil
}

// read counts the records of a file that the engine reads. It is told how many of them have a quantity filled: mostly all.
func (l *loading) read(s *staged, filled int64) (int64, error) {
	if filled >= s.Records {
		return filled, nil
	}
	err := l.engine.Ask(fmt.Sprintf("select count(*) from (%s)", normalise.BatchSQL([]intake.Source{s.Source})), &filled)
	return filled, err
}

// startAnew finds the next way for files that could not go straight into the store; those that are plain still may.
func (l *loading) startAnew(n *notDirect) error {
	files := n.direct.files
	for _, s := range files {
		s.direct, s.plan = nil, normalise.Plan{}
	}
	if n.overlap {
		setWay(files, inBatch)
	} else {
		blame(files, func(s *staged) bool { return !l.plain(s, n.direct) })
	}
	return l.engine.EndAsWritten()
}

// plain says that the engine reads all records of a file as they are, and none is in doubt.
func (l *loading) plain(s *staged, d *direct) bool {
	var doubtful, filled int64
	if err := d.selected(l, []*staged{s}, func(rows string) error {
		return l.engine.Ask(fmt.Sprintf("select count(*) filter (where %s), count(*) from (%s)", d.plan.DoubtSQL(), rows), &doubtful, &filled)
	}); err != nil || doubtful > 0 {
		return false
	}
	read, err := l.read(s, filled)
	return err == nil && read == s.Records
}
