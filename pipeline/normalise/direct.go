package normalise

import (
	"fmt"
	"strings"
	"time"

	"tripwake/pipeline/intake"
)

// The records of a batch can go from their files into the store in one statement, with nothing between: what BatchCleanSQL asks of a
// staged table is then said of each row as it passes, as doubt. One row in doubt, and the files are looked at again one by one.

// NewDirectPlan plans that from a look at some of the records. The others' times may lie in the years beside.
func NewDirectPlan(s intake.Source, zone *time.Location, look Look) Plan {
	look.Typed, look.FirstYear, look.LastYear = true, look.FirstYear-1, look.LastYear+1
	return NewPlan(s, zone, look)
}

// Years are the first moment and the one after the last that a direct plan takes without doubt, in UTC.
func (p Plan) Years() (from, to time.Time) {
	const day = 24 * time.Hour // more than any zone is off
	return time.Date(p.first, 1, 1, 0, 0, 0, 0, time.UTC).Add(day), time.Date(p.last+1, 1, 1, 0, 0, 0, 0, time.UTC).Add(-day)
}

// EndsSQL selects the records of numbered files as BatchSQL does, with intake.Row and intake.File.
func EndsSQL(files []intake.Source, paths []string) string {
	s := files[0]
	return typedSQL(s, intake.NumberedSQL(files, paths, numberCells(s), s.Layout.Missing), intake.Row, intake.File)
}

// DirectSQL selects the rows of numbered files in which some cell of a quantity is filled: intake.Row, intake.File, the columns that a
// row's readings share, flags, and a value w_ for each quantity, NULL where its cell is empty.
func (p Plan) DirectSQL(files []intake.Source, paths []string) string {
	filled := make([]string, len(p.wide))
	for i, c := range p.wide {
		filled[i] = "d_" + c.Name
	}
	rows := fmt.Sprintf("(%s) where coalesce(%s) is not null", EndsSQL(files, paths), strings.Join(filled, ", "))
	return p.wideValuesSQL(p.inUTC(p.batchStep(rows, intake.File)), intake.File)
}

// DoubtSQL is true for a row of DirectSQL that has no time or one outside of Years, or a value that is not in its range. How far a value is
// from the middle of its range is one comparison instead of two, which take a twelfth of the load; it is right to 1e-12, and ranges hold
// for values rounded to 1e-9 (see inRangeSQL). What is no number is greater than every number.
func (p Plan) DoubtSQL() string {
	from, to := p.Years()
	var terms []string
	for _, c := range p.times() {
		terms = append(terms, fmt.Sprintf("%[1]s is null or %[1]s < %[2]s or %[1]s >= %[3]s", quoted(c.Name), timestampSQL(from), timestampSQL(to)))
	}
	for _, c := range p.wide {
		terms = append(terms, fmt.Sprintf("abs(%s - (%v)) > %v", wideName(c), (c.Range.Min+c.Range.Max)/2, (c.Range.Max-c.Range.Min)/2))
	}
	return strings.Join(terms, " or ")
}
