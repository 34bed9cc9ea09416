package queries

import (
	"context"
	_ "embed"
	"fmt"
	"strings"
)

//go:embed research.sql
var researchSQL string

// ColumnKind says what the cells of a research column are.
type ColumnKind string

// The kinds of research column, with the engine's and Go's type of a cell.
const (
	NumberColumn ColumnKind = "number" // double, float64
	CountColumn  ColumnKind = "count"  // bigint, int64; 0 where there is none
	FlagColumn   ColumnKind = "flag"   // boolean, bool
	CodeColumn   ColumnKind = "code"   // varchar, one of ResearchColumn.Codes
	TextColumn   ColumnKind = "text"   // varchar
)

// Privacy says what a column could give away of a patient.
type Privacy string

// The privacy classes. Identifiers never leave the store: names, keys, sites, devices and every date but the year.
// Quasi-identifiers are what others may know of a patient; an extract holds them in bands only. Sensitive columns are what
// nobody should learn of a known patient.
const (
	Identifier      Privacy = "direct identifier"
	QuasiIdentifier Privacy = "quasi-identifier"
	Sensitive       Privacy = "sensitive"
	Plain           Privacy = "plain"
)

// ResearchColumn describes one column of the research data set.
//
// Unit is UCUM, empty where there is none. Codes lists every value that a cell of kind code can have. Source is a column
// of the record contract ("transports.sex"), a measure ("measure care_time") or words of the definitions. An empty cell is
// one that is not recorded, or for a measure one that is outside its population or could not be judged.
type ResearchColumn struct {
	Name    string
	Kind    ColumnKind
	Unit    string
	Meaning string
	Codes   []string
	Source  string
	Privacy Privacy

	expr    string // SQL over the aliases of research.sql
	measure string // the measure whose facts it is taken from
	side    string // x or t of those facts
}

// ResearchColumns lists the columns of the research data set, in order.
func ResearchColumns() []ResearchColumn {
	var all []ResearchColumn
	for _, part := range [][]ResearchColumn{
		identityColumns(), patientColumns(), intervalColumns(), arrivalColumns(), riskColumns(), supportColumns(),
		alarmColumns(), gasColumns(), powerColumns(), eventColumns(), outcomeColumns(),
	} {
		all = append(all, part...)
	}
	return all
}

// Research makes the research data set, a temporary table of one row for each current transport and one column for each
// of ResearchColumns, and gives its name. Rows of every disposition are in it. It is made once for a reader.
//
// Each derived quantity is taken from the facts and building blocks of the other questions, so that a cohort, a
// comparison and an extract say what the measures say.
func (r *Reader) Research(ctx context.Context) (table string, err error) {
	if r.built["research"] {
		return "research", nil
	}
	columns := ResearchColumns()
	if err := r.establishFor(ctx, columns); err != nil {
		return "", err
	}
	text := fmt.Sprintf(researchSQL, factSums(columns), selectList(columns))
	if err := r.build(ctx, text, ""); err != nil {
		return "", err
	}
	if _, err := r.db.ExecContext(ctx, text); err != nil {
		return "", fmt.Errorf("queries: the research data set could not be made: %w", err)
	}
	r.built["research"] = true
	return "research", nil
}

// establishFor puts the facts of the measures that the columns are taken from into the table facts.
func (r *Reader) establishFor(ctx context.Context, columns []ResearchColumn) error {
	months, err := r.Months(ctx, "", "")
	if err != nil {
		return err
	}
	for _, c := range columns {
		if c.measure == "" {
			continue
		}
		q, ok := questionOf(c.measure)
		if !ok {
			return fmt.Errorf("queries: research column %s: no question answers measure %s", c.Name, c.measure)
		}
		if err := r.establish(ctx, q, months); err != nil {
			return err
		}
	}
	return nil
}

// factSums lists, for each column that a measure gives, the sum of its facts over a transport.
func factSums(columns []ResearchColumn) string {
	var parts []string
	for _, c := range columns {
		if c.measure != "" {
			parts = append(parts, fmt.Sprintf("sum(if(measure = %s, %s, null)) as %s", literal(c.measure), c.side, c.Name))
		}
	}
	return strings.Join(parts, ",\n    ")
}

func selectList(columns []ResearchColumn) string {
	parts := make([]string, len(columns))
	for i, c := range columns {
		parts[i] = fmt.Sprintf("  %s as %s", c.typed(), c.Name)
	}
	return strings.Join(parts, ",\n")
}

// typed is the column's expression in the type of its kind.
func (c ResearchColumn) typed() string {
	expr := c.expr
	if c.measure != "" {
		expr = "f." + c.Name
	}
	switch c.Kind {
	case NumberColumn:
		return "(" + expr + ")::double"
	case CountColumn:
		return "(" + expr + ")::bigint"
	case FlagColumn:
		return "(" + expr + ")::boolean"
	default:
		return expr
	}
}
