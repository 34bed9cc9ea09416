package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"slices"
	"strings"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// viewColumnLine is one line of `query --views`.
type viewColumnLine struct {
	View    string `json:"view"`
	Column  string `json:"column"`
	Type    string `json:"type"`
	Unit    string `json:"unit"`
	Meaning string `json:"meaning"`
}

// printViews prints the documentation of the views named, or of all.
func (a *app) printViews(ctx context.Context, format string, names []string) error {
	for _, name := range names {
		if !slices.Contains(queries.DocumentedNames(), name) {
			return usage(fmt.Errorf("view %q: expected one of %s", name, strings.Join(queries.DocumentedNames(), ", ")))
		}
	}
	return a.withSealedReader(ctx, func(r *queries.Reader) error {
		views, err := r.Views(ctx, names...)
		if err != nil {
			return err
		}
		switch format {
		case "json":
			return a.viewsJSON(views)
		case "csv":
			return a.viewsCSV(views)
		}
		return a.viewsTable(views)
	})
}

func viewLines(views []queries.View) (lines []viewColumnLine) {
	for _, v := range views {
		for _, c := range v.Columns {
			lines = append(lines, viewColumnLine{v.Name, c.Name, c.Type, c.Unit, c.Meaning})
		}
	}
	return lines
}

func (a *app) viewsJSON(views []queries.View) error {
	e := json.NewEncoder(a.out)
	e.SetEscapeHTML(false)
	for _, line := range viewLines(views) {
		if err := e.Encode(line); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) viewsCSV(views []queries.View) error {
	rows := [][]string{{"view", "column", "type", "unit", "meaning"}}
	for _, l := range viewLines(views) {
		rows = append(rows, []string{l.View, l.Column, l.Type, measures.Defuse(l.Unit), l.Meaning})
	}
	return csv.NewWriter(a.out).WriteAll(rows)
}

func (a *app) viewsTable(views []queries.View) error {
	for i, v := range views {
		if i > 0 {
			fmt.Fprintln(a.out)
		}
		fmt.Fprintf(a.out, "%s: %s\n", v.Name, v.Meaning)
		t := newTextTable(a.out, "  column", "type", "unit", "meaning")
		for _, c := range v.Columns {
			t.row("  "+c.Name, c.Type, c.Unit, c.Meaning)
		}
		if err := t.end(); err != nil {
			return err
		}
	}
	return nil
}

func (a *app) printFunctions(format string) error {
	if format == "csv" {
		if _, err := fmt.Fprintln(a.out, "function"); err != nil {
			return err
		}
	}
	for _, name := range queries.AllowedFunctions() {
		if format == "json" {
			text, _ := json.Marshal(map[string]string{"function": name}) // cannot fail: texts alone
			name = string(text)
		}
		if _, err := fmt.Fprintln(a.out, name); err != nil {
			return err
		}
	}
	return nil
}
