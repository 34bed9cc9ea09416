package queries

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"tripwake/pipeline/store"
	"tripwake/queries/allowed"
)

// Answer is what a question of somebody's own gave. Its rows lie in a temporary table of the engine, which spills to disk, until
// they are read in turn; the next question replaces them.
type Answer struct {
	Columns []AnswerColumn
	Rows    int64
	reader  *Reader
}

// AnswerColumn is one column of an Answer. Number says that its cells are numbers.
type AnswerColumn struct {
	Name, Type string
	Number     bool
}

// Cell is one cell of an answer: its text, not Valid where it is empty.
type Cell = sql.NullString

// ExampleQuestion is a statement that can be asked of every store.
const ExampleQuestion = "select count(*) from transports"

// A text is bounded before the engine parses it: the parse that is judged holds the body of every WITH several times, and so
// grows with the power of their depth.
const (
	longestStatement = 100_000
	mostWith         = 7
)

var with = regexp.MustCompile(`(?i)\bwith\b`)

// bounded refuses a text that is too long or too deep to be parsed in reasonable time.
func bounded(text string) error {
	if len(text) > longestStatement {
		return Refused{fmt.Errorf("expected a statement of at most %d characters, got %d", longestStatement, len(text))}
	}
	if n := len(with.FindAllString(text, -1)); n > mostWith {
		return Refused{fmt.Errorf("expected at most %d WITH in a statement, got %d; one WITH can name many parts, with commas between", mostWith, n)}
	}
	return nil
}

// Ask puts a question of somebody's own, one SELECT over the documented views, and gives the answer to be read. The store should
// be open with store.Options.Sealed. It refuses what package allowed refuses, in one line.
func (r *Reader) Ask(ctx context.Context, text string) (*Answer, error) {
	if err := bounded(text); err != nil {
		return nil, err
	}
	var parse string
	if err := r.db.QueryRowContext(ctx, "select json_serialize_sql(?::varchar)::varchar", text).Scan(&parse); err != nil {
		return nil, r.plain(ctx, err)
	}
	names, err := allowed.Check([]byte(parse), DocumentedNames())
	if err != nil {
		return nil, Refused{err}
	}
	if err := r.agree(ctx, text, names); err != nil {
		return nil, err
	}
	if err := r.makeViews(ctx, names); err != nil {
		return nil, r.plain(ctx, err)
	}
	if _, err := r.db.ExecContext(ctx, answerSQL(text)); err != nil {
		return nil, r.plain(ctx, err)
	}
	return r.answer(ctx)
}

// agree asks the engine by another way which tables the text names: a table that the check of the parse has missed ends here.
func (r *Reader) agree(ctx context.Context, text string, checked []string) error {
	named, err := r.store.TableNames(ctx, text)
	if err != nil {
		return r.plain(ctx, err)
	}
	for _, name := range named {
		name, _, _ = strings.Cut(name, " ") // the engine writes alias and sample behind the name; a name that holds a blank is in quotes
		if !slices.Contains(checked, strings.ToLower(name)) {
			return Refused{fmt.Errorf("table %q: expected a documented view", name)}
		}
	}
	return nil
}

// AllowedFunctions lists the functions that a question of somebody's own may call.
func AllowedFunctions() []string { return allowed.Functions() }

// Refused is a statement that may not be put to the store.
type Refused struct{ Reason error }

func (r Refused) Error() string { return r.Reason.Error() }

// answerSQL keeps the answer in a temporary table. DESCRIBE and SUMMARIZE must stand between brackets there; a text that was
// parsed as one statement cannot break out of them.
func answerSQL(text string) string {
	const create = "create or replace temp table answer as "
	word, _, _ := strings.Cut(strings.TrimSpace(strings.ToLower(text)), " ")
	if word == "describe" || word == "summarize" || word == "desc" {
		return create + "from (" + strings.TrimRight(text, "; \t\r\n") + "\n)"
	}
	return create + text
}

func (r *Reader) answer(ctx context.Context) (*Answer, error) {
	a := &Answer{reader: r}
	if err := r.db.QueryRowContext(ctx, "select count(*) from answer").Scan(&a.Rows); err != nil {
		return nil, r.plain(ctx, err)
	}
	rows, err := r.db.QueryContext(ctx, "select * from answer limit 0")
	if err != nil {
		return nil, r.plain(ctx, err)
	}
	defer rows.Close()
	types, err := rows.ColumnTypes()
	if err != nil {
		return nil, r.plain(ctx, err)
	}
	for _, t := range types {
		a.Columns = append(a.Columns, AnswerColumn{t.Name(), t.DatabaseTypeName(), isNumber(t.DatabaseTypeName())})
	}
	return a, rows.Err()
}

func isNumber(kind string) bool {
	for _, start := range []string{"TINYINT", "SMALLINT", "INTEGER", "BIGINT", "HUGEINT", "UTINYINT", "USMALLINT", "UINTEGER", "UBIGINT", "UHUGEINT", "FLOAT", "DOUBLE", "DECIMAL"} {
		if strings.HasPrefix(kind, start) {
			return true
		}
	}
	return false
}

// rowsAtOnce is how many rows of an answer Go holds at a time.
const rowsAtOnce = 20_000

// Each gives every row in the order of the answer, up to most (0: all): each cell as text, null where it is empty.
func (a *Answer) Each(ctx context.Context, most int64, row func(cells []Cell) error) error {
	return a.each(ctx, most, "%s::varchar", row)
}

// EachJSON gives every row as Each does, each cell as a JSON value.
func (a *Answer) EachJSON(ctx context.Context, row func(cells []Cell) error) error {
	return a.each(ctx, 0, "to_json(%s)::varchar", row)
}

func (a *Answer) each(ctx context.Context, most int64, form string, row func([]Cell) error) error {
	if most == 0 || most > a.Rows {
		most = a.Rows
	}
	columns := make([]string, len(a.Columns))
	for i, c := range a.Columns {
		columns[i] = fmt.Sprintf(form, store.Quote(c.Name))
	}
	text := fmt.Sprintf("select %s from answer where rowid >= ? and rowid < ? order by rowid", strings.Join(columns, ", "))
	for from := int64(0); from < most; from += rowsAtOnce {
		if err := a.some(ctx, text, from, min(from+rowsAtOnce, most), row); err != nil {
			return a.reader.plain(ctx, err)
		}
	}
	return nil
}

func (a *Answer) some(ctx context.Context, text string, from, to int64, row func([]Cell) error) error {
	rows, err := a.reader.db.QueryContext(ctx, text, from, to)
	if err != nil {
		return err
	}
	defer rows.Close()
	cells := make([]Cell, len(a.Columns))
	into := make([]any, len(cells))
	for i := range cells {
		into[i] = &cells[i]
	}
	for rows.Next() {
		if err := rows.Scan(into...); err != nil {
			return err
		}
		if err := row(cells); err != nil {
			return err
		}
	}
	return rows.Err()
}

// plain makes one line of an engine's error: without the place in a text that the user did not write, and without the names of
// the store's file and tables.
func (r *Reader) plain(ctx context.Context, err error) error {
	if ctx.Err() != nil {
		return ctx.Err()
	}
	text, _, _ := strings.Cut(err.Error(), "\n\nLINE ")
	text, _, _ = strings.Cut(text, "\nPossible solutions:")
	hide := strings.NewReplacer(r.store.Path()+".scratch", "the scratch folder", r.store.Path(), "the store", "kept.", "", "tripwake.", "", "ledger.", "")
	return errors.New(strings.Join(strings.Fields(hide.Replace(text)), " "))
}
