package queries

import (
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strings"

	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

// View is a table that a question of somebody's own may name, as its documentation shows it.
type View struct {
	Name    string
	Meaning string // what one row is
	Columns []ViewColumn
}

// ViewColumn is one column of a View: its type in the engine, its UCUM unit (empty where it has none) and what it means.
type ViewColumn struct{ Name, Type, Unit, Meaning string }

// view is a documented view as it is made: each column from an SQL text over what stands in `from`.
type view struct {
	name, meaning, from string
	columns             []viewColumn
}

type viewColumn struct{ name, as, unit, meaning string }

// sql is the statement that makes the view. The words in it name the blocks that must be there first.
func (v view) sql() string {
	columns := make([]string, len(v.columns))
	for i, c := range v.columns {
		columns[i] = c.as + " as " + store.Quote(c.name)
	}
	return fmt.Sprintf("create or replace temp view %s as select %s from %s", v.name, strings.Join(columns, ", "), v.from)
}

// documentedViews lists the records' views, then those worked out.
func documentedViews() []view {
	var all []view
	for _, t := range records.Tables() {
		all = append(all, recordView(t))
	}
	return slices.Concat(all, transportViews(), supportViews(), supplyViews(), ledgerViews())
}

// personal are the columns that no view has: what they hold never leaves the store.
var personal = []string{"transports.patient_key", "events.narrative"}

// recordView makes the view of one table of records from the contract: rows that no correction replaced, moments in UTC and,
// beside each, as the team's clocks showed it.
func recordView(t records.Table) view {
	v := view{name: t.Name, meaning: t.Meaning, from: "kept." + t.Name}
	if t.Identifier != "" {
		v.from += " where not superseded"
	}
	for _, c := range t.Columns {
		if slices.Contains(personal, t.Name+"."+c.Name) {
			continue
		}
		v.columns = append(v.columns, viewColumn{c.Name, store.Quote(c.Name), c.Unit, columnMeaning(c)})
		if c.Kind == records.Time {
			v.columns = append(v.columns, viewColumn{c.Name + "_local", "local_time(" + store.Quote(c.Name) + ")", "", "the same as the team's clocks showed it"})
		}
	}
	if t.Log {
		v.columns = append(v.columns, viewColumn{"linked_to", "trip", "", "transport that the row belongs to: the one it names, else the one that carried its device at that time; empty: none"})
	}
	return v.with([]viewColumn{
		{"flags", "flags", "", "clock_repeated: a time lies in the hour that the autumn change repeats"},
		{"file_id", "file_id", "", "file that the row came from, see files"},
		{"record_no", "record_no", "", "record number in that file; the header is 1"},
	})
}

func (v view) with(more []viewColumn) view {
	v.columns = append(v.columns, more...)
	return v
}

// columnMeaning says what a column of the contract holds: its words, codes and range.
func columnMeaning(c records.Column) string {
	var parts []string
	if c.Meaning != "" {
		parts = append(parts, strings.TrimSuffix(c.Meaning, "."))
	}
	switch {
	case c.Kind == records.Time:
		parts = append(parts, "UTC")
	case len(c.Codes) > 0:
		parts = append(parts, "one of "+strings.Join(c.Codes, ", "))
	case c.Range != nil:
		parts = append(parts, fmt.Sprintf("%v to %v", c.Range.Min, c.Range.Max))
	}
	return strings.Join(parts, "; ")
}

// DocumentedNames lists the names of the views that a question of somebody's own may name.
func DocumentedNames() []string {
	var names []string
	for _, v := range documentedViews() {
		names = append(names, v.name)
	}
	return names
}

// Views lists the documented views with their columns, types, units and meanings. The names given choose some; none: all. It
// refuses a name that is no view. The types are the engine's own, so the views are made.
func (r *Reader) Views(ctx context.Context, names ...string) ([]View, error) {
	if len(names) == 0 {
		names = DocumentedNames()
	}
	if err := r.makeViews(ctx, names); err != nil {
		return nil, err
	}
	var all []View
	for _, v := range documentedViews() {
		if !slices.Contains(names, v.name) {
			continue
		}
		types, err := collect(ctx, r, "select column_type from (describe "+v.name+")", func(rows *sql.Rows) (text string, err error) {
			err = rows.Scan(&text)
			return text, err
		})
		if err != nil {
			return nil, err
		}
		shown := View{Name: v.name, Meaning: v.meaning}
		for i, c := range v.columns {
			shown.Columns = append(shown.Columns, ViewColumn{c.name, strings.ToLower(types[i]), c.unit, c.meaning})
		}
		all = append(all, shown)
	}
	return all, nil
}

// makeViews makes the views named, and the blocks and macros that they and questions may use.
func (r *Reader) makeViews(ctx context.Context, names []string) error {
	for _, name := range names {
		if !slices.Contains(DocumentedNames(), name) {
			return fmt.Errorf("view %q: expected one of %s", name, strings.Join(DocumentedNames(), ", "))
		}
	}
	if err := r.build(ctx, "support_class, support_rank, minutes_between", ""); err != nil {
		return err
	}
	statements := []string{localTimeMacro(r.settings.TimeZone)}
	for _, v := range documentedViews() {
		if slices.Contains(names, v.name) {
			statements = append(statements, v.sql())
		}
	}
	for _, text := range statements {
		if err := r.build(ctx, text, ""); err != nil {
			return err
		}
		if _, err := r.db.ExecContext(ctx, text); err != nil {
			return fmt.Errorf("queries: documented views could not be made: %w", err)
		}
	}
	return nil
}
