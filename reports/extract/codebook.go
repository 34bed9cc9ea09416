package extract

import (
	_ "embed"
	"encoding/csv"
	"errors"
	"fmt"
	"html/template"
	"slices"
	"strconv"
	"strings"

	"tripwake/queries"
	"tripwake/queries/measures"
	"tripwake/queries/stats"
)

//go:embed codebook.html
var codebookHTML string

var codebookTemplate = template.Must(template.New("codebook").Parse(codebookHTML))

// book counts the cells of a table as they are written: by code or flag where a column has such, else filled and empty.
type book struct {
	table  queries.ReleasedTable
	rows   int
	counts []map[string]int
}

// The counted values of cells that have no code.
const (
	cellFilled = "filled"
	cellEmpty  = "empty"
)

func newBook(t queries.ReleasedTable) book {
	b := book{table: t, counts: make([]map[string]int, len(t.Columns))}
	for i := range b.counts {
		b.counts[i] = map[string]int{}
	}
	return b
}

func (b *book) count(batch queries.Batch) {
	b.rows += batch.Rows
	for i, c := range b.table.Columns {
		v, counts, filled := batch.Columns[i], b.counts[i], 0
		for row, valid := range v.Valid {
			switch {
			case !valid:
				continue
			case c.Kind == queries.CodeColumn:
				counts[v.Texts[row]]++
			case c.Kind == queries.FlagColumn:
				counts[strconv.FormatBool(v.Flags[row])]++
			}
			filled++
		}
		counts[cellEmpty] += batch.Rows - filled
		if c.Kind != queries.CodeColumn && c.Kind != queries.FlagColumn {
			counts[cellFilled] += filled
		}
	}
}

// values lists what a column's cells are counted by, empty cells last.
func values(c queries.ResearchColumn) []string {
	switch c.Kind {
	case queries.CodeColumn:
		return append(slices.Clone(c.Codes), cellEmpty)
	case queries.FlagColumn:
		return []string{"true", "false", cellEmpty}
	default:
		return []string{cellFilled, cellEmpty}
	}
}

// frequencies writes the counts of a column, those from 1 to under k withheld, and with them others from which they would
// follow, since the number of rows is told.
func frequencies(c queries.ResearchColumn, counts map[string]int, k int) ([]string, error) {
	names := values(c)
	table := make([][]int, len(names))
	for i, name := range names {
		table[i] = []int{counts[name]}
	}
	hidden, err := stats.Withhold(table, k-1)
	if err != nil {
		return nil, err
	}
	texts := make([]string, len(names))
	for i, name := range names {
		texts[i] = fmt.Sprintf("%s: %d", name, table[i][0])
		if hidden.All || hidden.Cells[i][0] || hidden.Rows[i] {
			texts[i] = name + ": withheld"
		}
	}
	return texts, nil
}

var codebookHeader = []string{"table", "column", "kind", "unit", "meaning", "codes", "source", "privacy", "counts"}

// line is one column of one table in the codebook.
type line struct {
	Table, Column, Kind, Unit, Meaning, Source, Privacy string
	Codes, Counts                                       []string
}

func (l line) cells() []string {
	cells := []string{l.Table, l.Column, l.Kind, l.Unit, l.Meaning, strings.Join(l.Codes, "|"), l.Source, l.Privacy, strings.Join(l.Counts, "; ")}
	for i, cell := range cells {
		cells[i] = measures.Defuse(cell)
	}
	return cells
}

// section is one table of the codebook.
type section struct {
	Name, Meaning string
	Rows          int
	Lines         []line
}

func sections(books []book, k int) ([]section, error) {
	all := make([]section, len(books))
	for i, b := range books {
		all[i] = section{Name: b.table.Name, Meaning: b.table.Meaning, Rows: b.rows}
		for j, c := range b.table.Columns {
			counts, err := frequencies(c, b.counts[j], k)
			if err != nil {
				return nil, err
			}
			all[i].Lines = append(all[i].Lines, line{Table: b.table.Name, Column: c.Name, Kind: string(c.Kind), Unit: c.Unit, Meaning: c.Meaning,
				Source: c.Source, Privacy: string(c.Privacy), Codes: c.Codes, Counts: counts})
		}
	}
	return all, nil
}

// writeCodebook writes codebook.csv and codebook.html from one description, that of the files' own headers.
func writeCodebook(dir string, in Input, books []book, classes queries.Classes) error {
	all, err := sections(books, in.Disclosure.K)
	if err != nil {
		return err
	}
	if err := writeCodebookCSV(dir, all); err != nil {
		return err
	}
	file, err := create(dir, "codebook.html")
	if err != nil {
		return err
	}
	err = codebookTemplate.Execute(file, map[string]any{"Version": in.Version, "Model": Model, "Sections": all, "Classes": classes,
		"Quasi": strings.Join(classes.QuasiIdentifiers, ", ")})
	return errors.Join(err, file.Close())
}

func writeCodebookCSV(dir string, all []section) error {
	file, err := create(dir, "codebook.csv")
	if err != nil {
		return err
	}
	rows := [][]string{codebookHeader}
	for _, s := range all {
		for _, l := range s.Lines {
			rows = append(rows, l.cells())
		}
	}
	return errors.Join(csv.NewWriter(file).WriteAll(rows), file.Close())
}
