package extract

import (
	"bytes"
	"encoding/base64"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"slices"
	"strconv"
	"strings"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/ipc"
	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/file"
	"github.com/apache/arrow/go/v15/parquet/metadata"

	"tripwake/queries"
)

func columnNames(t queries.ReleasedTable) []string {
	names := make([]string, len(t.Columns))
	for i, c := range t.Columns {
		names[i] = c.Name
	}
	return names
}

func sameColumns(got []string, t queries.ReleasedTable) error {
	if want := columnNames(t); !slices.Equal(got, want) {
		return fmt.Errorf("has columns %v, expected %v", got, want)
	}
	return nil
}

// readArrow looks at every cell and every description of an Arrow file.
func readArrow(path string, t queries.ReleasedTable, s *search) (err error) {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	r, err := ipc.NewFileReader(f)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	if err := errors.Join(readSchema(r.Schema(), t, s), readHead(path, t, s)); err != nil {
		return err
	}
	for i := range r.NumRecords() {
		record, err := r.Record(i)
		if err != nil {
			return err
		}
		for j, c := range t.Columns {
			if err := readArray(record.Column(j), c, s); err != nil {
				return err
			}
		}
	}
	return nil
}

// readHead looks at the description at the head of an Arrow file, which readers of files, who take that at its end, pass over.
func readHead(path string, t queries.ReleasedTable, s *search) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	if _, err := f.Seek(int64(len("ARROW1\x00\x00")), io.SeekStart); err != nil {
		return err
	}
	r, err := ipc.NewReader(f)
	if err != nil {
		return err
	}
	defer r.Release()
	return readSchema(r.Schema(), t, s)
}

func readSchema(schema *arrow.Schema, t queries.ReleasedTable, s *search) error {
	var names []string
	described := strings.Join(schema.Metadata().Values(), "\n")
	for i, f := range schema.Fields() {
		names = append(names, f.Name)
		if i < len(t.Columns) && !arrow.TypeEqual(f.Type, typeOf(t.Columns[i].Kind)) {
			return fmt.Errorf("column %s is of type %s, expected %s", f.Name, f.Type, typeOf(t.Columns[i].Kind))
		}
		described += "\n" + strings.Join(f.Metadata.Values(), "\n")
	}
	return errors.Join(sameColumns(names, t), s.document(described))
}

func readArray(column arrow.Array, c queries.ResearchColumn, s *search) error {
	for i := range column.Len() {
		if column.IsNull(i) {
			continue
		}
		var err error
		switch a := column.(type) {
		case *array.String:
			err = s.cell(c, a.Value(i))
		case *array.Float64:
			err = s.number(c, a.Value(i))
		case *array.Int64:
			err = s.number(c, float64(a.Value(i)))
		}
		if err != nil {
			return err
		}
	}
	return nil
}

// readParquet looks at every cell and every description of a Parquet file.
func readParquet(path string, t queries.ReleasedTable, s *search) (err error) {
	r, err := file.OpenParquetFile(path, false)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, r.Close()) }()
	meta := r.MetaData()
	var names []string
	for i := range meta.Schema.NumColumns() {
		names = append(names, meta.Schema.Column(i).Name())
	}
	if err := errors.Join(sameColumns(names, t), readDescription(meta, t, s)); err != nil {
		return err
	}
	for g := range r.NumRowGroups() {
		group := r.RowGroup(g)
		for i, c := range t.Columns {
			column, err := group.Column(i)
			if err != nil {
				return err
			}
			if err := readChunk(column, group.NumRows(), c, s); err != nil {
				return err
			}
		}
	}
	return nil
}

// readDescription looks at the file's own words; the Arrow schema among them is unpacked first, since chance makes words in
// its packed form.
func readDescription(meta *metadata.FileMetaData, t queries.ReleasedTable, s *search) error {
	described := meta.GetCreatedBy()
	for _, pair := range meta.KeyValueMetadata() {
		if pair.Key == packedSchema {
			if err := readPacked(pair.GetValue(), t, s); err != nil {
				return err
			}
			continue
		}
		described += "\n" + pair.Key + "\n" + pair.GetValue()
	}
	return s.document(described)
}

func readPacked(text string, t queries.ReleasedTable, s *search) error {
	packed, err := base64.StdEncoding.DecodeString(text)
	if err != nil {
		return err
	}
	r, err := ipc.NewReader(bytes.NewReader(packed))
	if err != nil {
		return err
	}
	defer r.Release()
	return readSchema(r.Schema(), t, s)
}

func readChunk(column file.ColumnChunkReader, rows int64, c queries.ResearchColumn, s *search) error {
	switch r := column.(type) {
	case *file.ByteArrayColumnChunkReader:
		return readPages(rows, r.ReadBatch, func(v parquet.ByteArray) error { return s.cell(c, string(v)) })
	case *file.Float64ColumnChunkReader:
		return readPages(rows, r.ReadBatch, func(v float64) error { return s.number(c, v) })
	case *file.Int64ColumnChunkReader:
		return readPages(rows, r.ReadBatch, func(v int64) error { return s.number(c, float64(v)) })
	case *file.BooleanColumnChunkReader:
		return readPages(rows, r.ReadBatch, func(bool) error { return nil })
	default:
		return fmt.Errorf("column %s is of a type that no extract has", c.Name)
	}
}

// readPages reads a column chunk to its end; a batch ends with a page, so it takes several.
func readPages[T any](rows int64, read func(int64, []T, []int16, []int16) (int64, int, error), look func(T) error) error {
	values, levels := make([]T, rows), make([]int16, rows)
	for done := int64(0); done < rows; {
		n, filled, err := read(rows-done, values, levels, nil)
		if err != nil {
			return err
		}
		if n == 0 {
			return fmt.Errorf("holds %d rows in a row group of %d", done, rows)
		}
		for _, v := range values[:filled] {
			if err := look(v); err != nil {
				return err
			}
		}
		done += n
	}
	return nil
}

// readCSV looks at every cell of a CSV file.
func readCSV(path string, t queries.ReleasedTable, s *search) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.ReuseRecord = true
	header, err := r.Read()
	if err != nil {
		return err
	}
	if err := sameColumns(header, t); err != nil {
		return err
	}
	for {
		cells, err := r.Read()
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return err
		}
		for i, c := range t.Columns {
			if err := readCell(cells[i], c, s); err != nil {
				return err
			}
		}
	}
}

func readCell(text string, c queries.ResearchColumn, s *search) error {
	switch {
	case text == "":
		return nil
	case c.Kind == queries.CodeColumn || c.Kind == queries.TextColumn:
		return s.cell(c, strings.TrimPrefix(text, "'"))
	case c.Kind == queries.FlagColumn && (text == "true" || text == "false"):
		return nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return errors.Join(fmt.Errorf("column %s: a cell is no number", c.Name), s.document(text))
	}
	return s.number(c, v)
}
