package queries

import (
	"context"
	"database/sql"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"tripwake/pipeline/link"
	"tripwake/pipeline/store"
	"tripwake/queries/views"
)

var word = regexp.MustCompile(`[a-z_][a-z0-9_]*`)

// block gives the statement that makes a block. The trip windows are those of package link, so that what decides a row's
// transport and what the questions call its window cannot part; how readings are kept only package store knows.
func block(name string) (string, bool) {
	switch name {
	case "windows":
		return "create or replace temp table windows as\n" + link.WindowsSQL(), true
	case "reading_rows":
		return "create or replace temp view reading_rows as\n" + store.ReadingRowsSQL(), true
	case "quarter_of":
		return "create or replace temp macro quarter_of(moment) as\n" + store.QuarterSQL("moment"), true
	case "reading_counts":
		return "create or replace temp table reading_counts as\n" + store.ReadingCountsSQL(), true
	}
	return views.Text(name)
}

// statement is an SQL text without its comment lines, so that a word in a header builds nothing.
func statement(text string) string {
	var kept []string
	for line := range strings.Lines(text) {
		if !strings.HasPrefix(strings.TrimSpace(line), "--") {
			kept = append(kept, line)
		}
	}
	return strings.Join(kept, "")
}

// needs lists the blocks whose names occur as words in the text, itself left out, in order of the text.
func needs(text, itself string) []string {
	var found []string
	for _, w := range word.FindAllString(statement(text), -1) {
		if w == itself || slices.Contains(found, w) {
			continue
		}
		if _, ok := block(w); ok {
			found = append(found, w)
		}
	}
	return found
}

// build makes the blocks that the text needs, and those that they need, each once for this reader.
func (r *Reader) build(ctx context.Context, text, itself string, path ...string) error {
	for _, name := range needs(text, itself) {
		if r.built[name] {
			continue
		}
		if slices.Contains(path, name) {
			return fmt.Errorf("queries: block %s needs itself by way of %s; break the circle", name, strings.Join(path, ", "))
		}
		text, _ := block(name)
		if err := r.build(ctx, text, name, append(path, name)...); err != nil {
			return err
		}
		if _, err := r.db.ExecContext(ctx, text); err != nil {
			return fmt.Errorf("queries: block %s could not be made: %w", name, err)
		}
		r.built[name] = true
	}
	return nil
}

// collect runs one question and scans each row of its answer.
func collect[T any](ctx context.Context, r *Reader, text string, scan func(*sql.Rows) (T, error), args ...any) ([]T, error) {
	if err := r.build(ctx, text, ""); err != nil {
		return nil, err
	}
	rows, err := r.db.QueryContext(ctx, text, args...)
	if err != nil {
		return nil, fmt.Errorf("queries: question failed: %w", err)
	}
	defer rows.Close()
	var all []T
	for rows.Next() {
		one, err := scan(rows)
		if err != nil {
			return nil, fmt.Errorf("queries: answer could not be read: %w", err)
		}
		all = append(all, one)
	}
	if err := rows.Err(); err != nil {
		return nil, fmt.Errorf("queries: question failed: %w", err)
	}
	return all, nil
}
