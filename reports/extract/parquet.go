package extract

import (
	"bytes"
	"encoding/base64"
	"io"

	"github.com/apache/arrow/go/v15/arrow"
	"github.com/apache/arrow/go/v15/arrow/ipc"
	"github.com/apache/arrow/go/v15/parquet"
	"github.com/apache/arrow/go/v15/parquet/compress"
	"github.com/apache/arrow/go/v15/parquet/file"
	"github.com/apache/arrow/go/v15/parquet/metadata"
	"github.com/apache/arrow/go/v15/parquet/schema"

	"tripwake/queries"
)

// parquetSink writes one row group for each batch. It uses the plain file layer: the Arrow layer above it draws in a
// network stack that a program without a network does not need.
type parquetSink struct{ w *file.Writer }

func newParquet(w io.Writer, in Input, t queries.ReleasedTable) (sink, error) {
	root, err := parquetSchema(t)
	if err != nil {
		return nil, err
	}
	described, err := parquetMetadata(in, t)
	if err != nil {
		return nil, err
	}
	props := parquet.NewWriterProperties(parquet.WithCreatedBy(program), parquet.WithCompression(compress.Codecs.Snappy),
		parquet.WithVersion(parquet.V2_4), parquet.WithMaxRowGroupLength(batchRows))
	return parquetSink{file.NewParquetWriter(keepOpen{w}, root, file.WithWriterProps(props), file.WithWriteMetadata(described))}, nil
}

// keepOpen hides the Close of a file, which the one who opened it calls.
type keepOpen struct{ io.Writer }

func parquetSchema(t queries.ReleasedTable) (*schema.GroupNode, error) {
	fields := make(schema.FieldList, len(t.Columns))
	for i, c := range t.Columns {
		switch c.Kind {
		case queries.NumberColumn:
			fields[i] = schema.NewFloat64Node(c.Name, parquet.Repetitions.Optional, -1)
		case queries.CountColumn:
			fields[i] = schema.NewInt64Node(c.Name, parquet.Repetitions.Optional, -1)
		case queries.FlagColumn:
			fields[i] = schema.NewBooleanNode(c.Name, parquet.Repetitions.Optional, -1)
		default:
			node, err := schema.NewPrimitiveNodeLogical(c.Name, parquet.Repetitions.Optional, schema.StringLogicalType{}, parquet.Types.ByteArray, -1, -1)
			if err != nil {
				return nil, err
			}
			fields[i] = node
		}
	}
	return schema.NewGroupNode("schema", parquet.Repetitions.Required, fields, -1)
}

// packedSchema is the key under which readers of Arrow look for the schema, in base64.
const packedSchema = "ARROW:schema"

// parquetMetadata holds the description twice: as the Arrow schema that Arrow's own readers look for, and as JSON.
func parquetMetadata(in Input, t queries.ReleasedTable) (metadata.KeyValueMetadata, error) {
	described := metadata.NewKeyValueMetadata()
	keys, values := in.about(t)
	columns, err := columnsText(t)
	if err != nil {
		return nil, err
	}
	text, err := serialized(arrowSchema(in, t))
	if err != nil {
		return nil, err
	}
	keys, values = append(keys, "columns", packedSchema), append(values, columns, text)
	for i, key := range keys {
		if err := described.Append(key, values[i]); err != nil {
			return nil, err
		}
	}
	return described, nil
}

func serialized(s *arrow.Schema) (string, error) {
	var b bytes.Buffer
	if err := ipc.NewWriter(&b, ipc.WithSchema(s)).Close(); err != nil {
		return "", err
	}
	return base64.StdEncoding.EncodeToString(b.Bytes()), nil
}

func (p parquetSink) write(b queries.Batch) error {
	group := p.w.AppendRowGroup()
	for i := range b.Columns {
		column, err := group.NextColumn()
		if err != nil {
			return err
		}
		if err := writeChunk(column, b.Columns[i]); err != nil {
			return err
		}
		if err := column.Close(); err != nil {
			return err
		}
	}
	return group.Close()
}

func (p parquetSink) close() error { return p.w.Close() }

// writeChunk writes one column of a batch; empty cells are told by the levels alone.
func writeChunk(column file.ColumnChunkWriter, v queries.Values) (err error) {
	levels := make([]int16, len(v.Valid))
	for i, filled := range v.Valid {
		if filled {
			levels[i] = 1
		}
	}
	switch w := column.(type) {
	case *file.Float64ColumnChunkWriter:
		_, err = w.WriteBatch(filled(v.Numbers, v.Valid), levels, nil)
	case *file.Int64ColumnChunkWriter:
		_, err = w.WriteBatch(filled(v.Counts, v.Valid), levels, nil)
	case *file.BooleanColumnChunkWriter:
		_, err = w.WriteBatch(filled(v.Flags, v.Valid), levels, nil)
	case *file.ByteArrayColumnChunkWriter:
		texts := filled(v.Texts, v.Valid)
		cells := make([]parquet.ByteArray, len(texts))
		for i, text := range texts {
			cells[i] = parquet.ByteArray(text)
		}
		_, err = w.WriteBatch(cells, levels, nil)
	}
	return err
}

// filled leaves the empty cells out.
func filled[T any](values []T, valid []bool) []T {
	kept := make([]T, 0, len(values))
	for i, v := range values {
		if valid[i] {
			kept = append(kept, v)
		}
	}
	return kept
}
