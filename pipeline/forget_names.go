package pipeline

import (
	"fmt"
	"strings"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/layout"
	"tripwake/pipeline/records"
	"tripwake/pipeline/store"
)

// nameCells makes the temporary table `name_cells`: for each file with refused records, in which cells transports and patients
// are named, by the header as it came and the layout that the file was read by.
func nameCells(tx store.Engine) error {
	if _, err := tx.Exec("create or replace temp table name_cells (file_id integer, transport integer[], patient integer[])"); err != nil {
		return err
	}
	files, err := tx.RefusedFiles()
	if err != nil {
		return err
	}
	sources := map[string]*layout.Source{}
	for _, f := range files {
		table, _ := records.Find(f.Table)
		l, err := sourceOf(f, sources)
		if err != nil {
			return err
		}
		at := func(column string) string {
			return strings.ReplaceAll(fmt.Sprint(intake.Places(f.Header, table, l, column)), " ", ", ")
		}
		if _, err := tx.Exec(fmt.Sprintf("insert into name_cells values (%d, %s, %s)", f.FileID, at("transport_id"), at("patient_key"))); err != nil {
			return err
		}
	}
	return nil
}

// sourceOf gives the source of a layout that a file was read by, nil where it bore canonical names. known holds those found.
func sourceOf(f store.RefusedFile, known map[string]*layout.Source) (*layout.Source, error) {
	if f.SourceLine == 0 {
		return nil, nil
	}
	key := fmt.Sprintf("%d\x00%s", f.SourceLine, f.LayoutText)
	if known[key] == nil {
		l, err := layout.Parse(f.Layout, []byte(f.LayoutText))
		if err != nil {
			return nil, fmt.Errorf("the layout of load %d cannot be read again: %w", f.Load, err)
		}
		for i, s := range l.Sources {
			if s.Line == f.SourceLine {
				known[key] = &l.Sources[i]
			}
		}
	}
	return known[key], nil
}

// namedInCells is true for a refused record whose cells at the places are, joined as a load joins them, one of the names.
func namedInCells(places, names string) string {
	return fmt.Sprintf("(len(%[1]s) > 0 and trim(array_to_string(list_select(cells, %[1]s), ' ')) in (%[2]s))", places, names)
}
