package main

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"strings"
	"text/tabwriter"

	"github.com/spf13/cobra"

	"tripwake/pipeline/draft"
	"tripwake/queries/measures"
)

func (a *app) draftLayout() *cobra.Command {
	var out, format string
	var scores bool
	cmd := &cobra.Command{
		Use:   "draft PATH…",
		Short: "Look at exports and write a first layout for them, with its doubts marked",
		Long: "Looks at the first records of the exports named, and of those in the folders named, and writes a layout for\n" +
			"load --layout: which table, which column, unit, codes and time format, each with a score. What is not certain is\n" +
			"marked as a doubt; where the evidence is split, the line says decide, and a load refuses it until a person has.\n" +
			"Comments show short codes of the exports, never identifiers, names or narratives.",
		Args: needArguments("PATH: name the exports or the folder that holds them"),
		RunE: func(_ *cobra.Command, paths []string) error {
			if err := checkFormat(format); err != nil {
				return err
			}
			d, err := draft.Of(paths)
			if err != nil && !errors.Is(err, draft.ErrNone) {
				return err
			}
			if scores {
				return errors.Join(err, a.printScores(format, d.Scores))
			}
			if failed := a.writeDraft(out, d); failed != nil {
				return failed
			}
			return err
		},
	}
	cmd.Flags().StringVar(&out, "out", "", "file for the layout, which must not exist; without it standard output")
	cmd.Flags().BoolVar(&scores, "scores", false, "print the scores of headers and columns instead of the layout")
	addFormat(cmd, &format)
	return cmd
}

// writeDraft writes the layout and tells what must be decided.
func (a *app) writeDraft(out string, d draft.Draft) error {
	if out == "" {
		if _, err := fmt.Fprint(a.out, d.Text); err != nil {
			return err
		}
	} else if err := writeNew(out, d.Text); err != nil {
		return err
	}
	for _, decision := range d.Decisions {
		a.say("line %d, %s, must be decided before a load: %s", decision.Line, decision.Key, decision.Doubt)
	}
	if doubts := strings.Count(d.Text, "# doubt:"); doubts > 0 {
		a.say("%d doubts are marked in the layout; read them before you load", doubts)
	}
	return nil
}

// writeNew writes a file that does not exist yet: a layout that somebody has mended is not written over.
func writeNew(path, text string) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
	if errors.Is(err, fs.ErrExist) {
		return fmt.Errorf("--out %s: the file exists; name another, or remove it", path)
	}
	if err != nil {
		return fmt.Errorf("--out: %w", err)
	}
	_, err = f.WriteString(text)
	return errors.Join(err, f.Close())
}

var scoreColumns = []string{"files", "table", "header", "column", "name", "fit", "telling", "score", "taken"}

func scoreCells(s draft.Score) []string {
	taken := ""
	if s.Taken {
		taken = "yes"
	}
	cells := []string{s.Files, s.Table, s.Header, s.Column}
	for _, v := range []float64{s.Name, s.Fit, s.Telling, s.Total} {
		cells = append(cells, fmt.Sprintf("%.2f", v))
	}
	return append(cells, taken)
}

func (a *app) printScores(format string, scores []draft.Score) error {
	switch format {
	case "json":
		e := json.NewEncoder(a.out)
		for _, s := range scores {
			if err := e.Encode(s); err != nil {
				return err
			}
		}
		return nil
	case "csv":
		rows := [][]string{scoreColumns}
		for _, s := range scores {
			cells := scoreCells(s)
			cells[0], cells[2] = measures.Defuse(cells[0]), measures.Defuse(cells[2])
			rows = append(rows, cells)
		}
		return csv.NewWriter(a.out).WriteAll(rows)
	}
	w := tabwriter.NewWriter(a.out, 0, 4, 2, ' ', 0)
	fmt.Fprintln(w, strings.Join(scoreColumns, "\t"))
	for _, s := range scores {
		fmt.Fprintln(w, strings.Join(scoreCells(s), "\t"))
	}
	return w.Flush()
}
