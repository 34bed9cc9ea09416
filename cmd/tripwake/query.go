package main

import (
	"bufio"
	"cmp"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"tripwake/queries"
	"tripwake/queries/measures"
)

const queryHelp = `Answers one SELECT (or WITH … SELECT, DESCRIBE, SUMMARIZE) over the documented views and nothing else: the store is opened for
reading alone, no other file can be reached and nothing can be set.

--views lists the views with their columns, types, units and meanings; --views NAME… some of them. --functions lists the
functions that may be called. Times are in UTC; columns that end in _local show what the team's clocks showed, and
local_time(moment) does so for any moment. Patient keys and narratives are in no view.

The setting query_timeout ends a question that takes too long. --format table shows the first 200 rows, csv and json all.`

func (a *app) query() *cobra.Command {
	var format string
	var views, functions bool
	cmd := &cobra.Command{
		Use:   `query "SELECT …"`,
		Short: "Answer a question of your own, read only, over documented views",
		Long:  queryHelp,
		Args: func(_ *cobra.Command, args []string) error {
			switch {
			case views && functions:
				return usage(errors.New("--views and --functions: expected one of them"))
			case functions && len(args) > 0:
				return usage(errors.New("--functions: expected no argument beside it"))
			case !views && !functions && len(args) != 1:
				return usage(fmt.Errorf("expected one statement between quotes, such as %q; got %d arguments", queries.ExampleQuestion, len(args)))
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := checkFormat(format); err != nil {
				return err
			}
			switch {
			case functions:
				return a.printFunctions(format)
			case views:
				return a.printViews(cmd.Context(), format, args)
			}
			return a.ask(cmd.Context(), format, args[0])
		},
	}
	addFormat(cmd, &format)
	cmd.Flags().BoolVar(&views, "views", false, "list the documented views and their columns")
	cmd.Flags().BoolVar(&functions, "functions", false, "list the functions that may be called")
	return cmd
}

// ask puts one statement to the store and prints the answer.
func (a *app) ask(ctx context.Context, format, text string) error {
	bounded := ctx
	if a.settings.queryTimeout > 0 {
		var stop context.CancelFunc
		bounded, stop = context.WithTimeout(ctx, a.settings.queryTimeout)
		defer stop()
	}
	err := a.withSealedReader(bounded, func(r *queries.Reader) error {
		answer, err := r.Ask(bounded, text)
		if err != nil {
			return err
		}
		return a.printAnswer(bounded, format, answer)
	})
	var refused queries.Refused
	switch {
	case errors.As(err, &refused):
		return usage(fmt.Errorf("query: %w", err))
	case ctx.Err() == nil && bounded.Err() != nil:
		return fmt.Errorf("query: not answered within %s; ask for less, or raise the setting query_timeout (0: no end)", durationText(a.settings.queryTimeout))
	case err != nil && ctx.Err() != nil:
		return errors.New("query: interrupted")
	case err != nil:
		return fmt.Errorf("query: %w", err)
	}
	return nil
}

// withSealedReader is withReader over a store from which nothing else can be reached.
func (a *app) withSealedReader(ctx context.Context, use func(*queries.Reader) error) error {
	a.settings.engine.Sealed = true
	return a.withReader(ctx, use)
}

// shownRows is how many rows the table for people shows.
const shownRows = 200

func (a *app) printAnswer(ctx context.Context, format string, answer *queries.Answer) error {
	out := bufio.NewWriter(a.out)
	var err error
	switch format {
	case "json":
		err = answerJSON(ctx, out, answer)
	case "csv":
		err = answerCSV(ctx, out, answer)
	default:
		err = answerTable(ctx, out, answer)
	}
	if err = errors.Join(err, out.Flush()); err != nil {
		return err
	}
	if format == "table" && answer.Rows > shownRows {
		a.say("the first %d of %d rows are shown; --format csv or json prints all", shownRows, answer.Rows)
	}
	return nil
}

func answerTable(ctx context.Context, out io.Writer, answer *queries.Answer) error {
	names := make([]string, len(answer.Columns))
	for i, c := range answer.Columns {
		names[i] = c.Name
	}
	t := newTextTable(out, names...)
	err := answer.Each(ctx, shownRows, func(cells []queries.Cell) error {
		texts := make([]string, len(cells))
		for i, cell := range cells {
			texts[i] = cell.String
		}
		t.row(texts...)
		return nil
	})
	return errors.Join(err, t.end())
}

// answerCSV writes an empty cell for null; a text that a spreadsheet would run as a formula is defused.
func answerCSV(ctx context.Context, out io.Writer, answer *queries.Answer) error {
	w := csv.NewWriter(out)
	row := make([]string, len(answer.Columns))
	for i, c := range answer.Columns {
		row[i] = measures.Defuse(c.Name)
	}
	if err := w.Write(row); err != nil {
		return err
	}
	err := answer.Each(ctx, 0, func(cells []queries.Cell) error {
		for i, cell := range cells {
			if row[i] = cell.String; !answer.Columns[i].Number {
				row[i] = measures.Defuse(cell.String)
			}
		}
		return w.Write(row)
	})
	w.Flush()
	return errors.Join(err, w.Error())
}

// answerJSON writes an object a line, keys in the order of the columns. What JSON has no sign for (nan, inf) becomes text.
func answerJSON(ctx context.Context, out *bufio.Writer, answer *queries.Answer) error {
	keys := make([]string, len(answer.Columns))
	for i, c := range answer.Columns {
		key, err := json.Marshal(c.Name)
		if err != nil {
			return err
		}
		keys[i] = string(key)
	}
	return answer.EachJSON(ctx, func(cells []queries.Cell) error {
		parts := make([]string, len(cells))
		for i, cell := range cells {
			parts[i] = keys[i] + ":" + jsonValue(cell)
		}
		_, err := out.WriteString("{" + strings.Join(parts, ",") + "}\n")
		return err
	})
}

func jsonValue(cell queries.Cell) string {
	if !cell.Valid || json.Valid([]byte(cell.String)) {
		return cmp.Or(cell.String, "null")
	}
	text, _ := json.Marshal(cell.String) // a string always can be marshalled
	return string(text)
}
