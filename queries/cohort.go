package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"fmt"
	"slices"
	"strings"
)

var (
	//go:embed cohort.sql
	cohortSQL string
	//go:embed cohort_members.sql
	cohortMembersSQL string
)

// Cells are one column of the data of a study, a cell for each transport. Number holds numbers, counts and flags (0 or 1), Text
// codes and texts; where Known is false the cell is not recorded and holds nothing.
type Cells struct {
	Column ResearchColumn
	Known  []bool
	Number []float64
	Text   []string
}

// StudyData is what a study needs to know of every current transport, in an order that is always the same. It holds no key.
type StudyData struct {
	Columns  map[string]Cells
	Members  map[string][]bool // by measure: whether it judges the transport
	InPeriod []bool
	Patient  []int     // number of the patient; a transport without a key has a patient of its own
	Followed []float64 // min from the begin of support to escalation, else to its end; -1 where there was no support
}

// Len is the number of transports.
func (d StudyData) Len() int { return len(d.InPeriod) }

// StudyData reads the columns that a study names for every current transport.
func (r *Reader) StudyData(ctx context.Context, s Study) (StudyData, error) {
	if err := s.Validate(); err != nil {
		return StudyData{}, err
	}
	if _, err := r.Research(ctx); err != nil {
		return StudyData{}, err
	}
	d, patients := StudyData{Columns: map[string]Cells{}, Members: map[string][]bool{}}, map[string]int{}
	columns := s.columns()
	cells := make([]Cells, len(columns))
	for i, c := range columns {
		cells[i].Column = c
	}
	text := fmt.Sprintf(cohortSQL, cohortList(columns))
	rows, err := collect(ctx, r, text, func(rows *sql.Rows) (studyRow, error) { return scanStudyRow(rows, columns) },
		sql.Named("first", firstDay(s.From)), sql.Named("last", firstDay(s.To)))
	if err != nil {
		return d, err
	}
	for _, row := range rows {
		d.InPeriod, d.Followed = append(d.InPeriod, row.inPeriod), append(d.Followed, row.followed)
		d.Patient = append(d.Patient, numberOf(patients, row.patient, len(d.Patient)))
		for i := range cells {
			cells[i].append(row.cells[i])
		}
	}
	for _, c := range cells {
		d.Columns[c.Column.Name] = c
	}
	return d, r.addMembers(ctx, s, d)
}

// numberOf gives each patient a number; a transport without a key gets one that no other has.
func numberOf(patients map[string]int, key string, transport int) int {
	if key == "" {
		return -1 - transport
	}
	if _, ok := patients[key]; !ok {
		patients[key] = len(patients)
	}
	return patients[key]
}

// columns lists the columns that a study names, each once, and those that every study needs.
func (s Study) columns() []ResearchColumn {
	names := slices.Concat([]string{"escalations", s.Exposure.Column}, s.Outcomes, s.AdjustFor, s.Describe)
	for _, rule := range s.rules() {
		names = append(names, rule.Column)
	}
	var found []ResearchColumn
	for _, c := range ResearchColumns() {
		if slices.Contains(names, c.Name) {
			found = append(found, c)
		}
	}
	return found
}

func (s Study) rules() []Rule { return slices.Concat(s.Include, s.Exclude, s.Exposure.Groups) }

// cohortList selects the columns: numbers, counts and flags as doubles, codes and texts as they are, empty where not recorded.
func cohortList(columns []ResearchColumn) string {
	parts := make([]string, len(columns))
	for i, c := range columns {
		switch {
		case c.numeric():
			parts[i] = fmt.Sprintf("  r.%s::double", c.Name)
		case c.Kind == FlagColumn:
			parts[i] = fmt.Sprintf("  r.%s::integer::double", c.Name)
		default:
			parts[i] = fmt.Sprintf("  nullif(r.%s, %s)", c.Name, literal(NotRecorded))
		}
	}
	return strings.Join(parts, ",\n")
}

// studyRow is one transport as it is read; cells are pointers to what sql scans into.
type studyRow struct {
	patient  string
	inPeriod bool
	followed float64
	cells    []any
}

func scanStudyRow(rows *sql.Rows, columns []ResearchColumn) (studyRow, error) {
	var row studyRow
	var followed sql.NullFloat64
	into := []any{&row.patient, &row.inPeriod, &followed}
	for _, c := range columns {
		var cell any = &sql.NullString{}
		if c.numeric() || c.Kind == FlagColumn {
			cell = &sql.NullFloat64{}
		}
		row.cells, into = append(row.cells, cell), append(into, cell)
	}
	err := rows.Scan(into...)
	row.followed = -1
	if followed.Valid && followed.Float64 >= 0 {
		row.followed = followed.Float64
	}
	return row, err
}

func (c *Cells) append(cell any) {
	switch v := cell.(type) {
	case *sql.NullFloat64:
		c.Known, c.Number, c.Text = append(c.Known, v.Valid), append(c.Number, v.Float64), append(c.Text, "")
	case *sql.NullString:
		c.Known, c.Number, c.Text = append(c.Known, v.Valid), append(c.Number, 0), append(c.Text, v.String)
	}
}

func (r *Reader) addMembers(ctx context.Context, s Study, d StudyData) error {
	months, err := r.Months(ctx, "", "")
	if err != nil {
		return err
	}
	for _, rule := range s.rules() {
		if rule.Measure == "" || d.Members[rule.Measure] != nil {
			continue
		}
		q, _ := questionOf(rule.Measure)
		if err := r.establish(ctx, q, months); err != nil {
			return err
		}
		members, err := collect(ctx, r, cohortMembersSQL, func(rows *sql.Rows) (bool, error) {
			var member bool
			return member, rows.Scan(&member)
		}, sql.Named("measure", rule.Measure))
		if err != nil {
			return err
		}
		d.Members[rule.Measure] = members
	}
	return nil
}
