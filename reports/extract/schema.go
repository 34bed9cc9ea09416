package extract

import (
	"encoding/json"
	"fmt"
	"strings"

	"github.com/apache/arrow/go/v15/arrow"

	"tripwake/queries"
)

// program is who wrote the files, in their headers: no version of a library and no clock, so that bytes stay the same.
const program = "tripwake"

// describing are the keys of a column's description in the files, in order.
func describing(c queries.ResearchColumn) (keys, values []string) {
	return []string{"kind", "unit", "meaning", "codes", "source", "privacy"},
		[]string{string(c.Kind), c.Unit, c.Meaning, strings.Join(c.Codes, "|"), c.Source, string(c.Privacy)}
}

// typeOf gives the Arrow type for a kind of column.
func typeOf(k queries.ColumnKind) arrow.DataType {
	switch k {
	case queries.NumberColumn:
		return arrow.PrimitiveTypes.Float64
	case queries.CountColumn:
		return arrow.PrimitiveTypes.Int64
	case queries.FlagColumn:
		return arrow.FixedWidthTypes.Boolean
	default:
		return arrow.BinaryTypes.String
	}
}

// arrowSchema describes a table; each field bears its description as metadata.
func arrowSchema(in Input, t queries.ReleasedTable) *arrow.Schema {
	fields := make([]arrow.Field, len(t.Columns))
	for i, c := range t.Columns {
		keys, values := describing(c)
		fields[i] = arrow.Field{Name: c.Name, Type: typeOf(c.Kind), Nullable: true, Metadata: arrow.NewMetadata(keys, values)}
	}
	keys, values := in.about(t)
	meta := arrow.NewMetadata(keys, values)
	return arrow.NewSchema(fields, &meta)
}

// about describes a whole table, in order.
func (in Input) about(t queries.ReleasedTable) (keys, values []string) {
	return []string{"program", "version", "table", "meaning", "definitions", "settings_sha256", "model"},
		[]string{program, in.Version, t.Name, t.Meaning, "codebook.csv of the same extract; the words are those of the program's version", in.SettingsHash, Model}
}

// columnsText is the description of a table's columns as JSON, for readers of Parquet that know no Arrow schema.
func columnsText(t queries.ReleasedTable) (string, error) {
	described := make([]map[string]string, len(t.Columns))
	for i, c := range t.Columns {
		described[i] = map[string]string{"name": c.Name}
		keys, values := describing(c)
		for j, key := range keys {
			described[i][key] = values[j]
		}
	}
	text, err := json.Marshal(described)
	if err != nil {
		return "", fmt.Errorf("columns: %w", err)
	}
	return string(text), nil
}
