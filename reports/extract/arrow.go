package extract

import (
	"io"

	"github.com/apache/arrow/go/v15/arrow/array"
	"github.com/apache/arrow/go/v15/arrow/ipc"
	"github.com/apache/arrow/go/v15/arrow/memory"

	"tripwake/queries"
)

// arrowSink writes one record batch for each batch, uncompressed: not every reader knows the compressions.
type arrowSink struct {
	w       *ipc.FileWriter
	builder *array.RecordBuilder
}

func newArrow(w io.WriteSeeker, in Input, t queries.ReleasedTable) (sink, error) {
	s := arrowSchema(in, t)
	fw, err := ipc.NewFileWriter(w, ipc.WithSchema(s))
	if err != nil {
		return nil, err
	}
	return arrowSink{fw, array.NewRecordBuilder(memory.NewGoAllocator(), s)}, nil
}

func (a arrowSink) write(b queries.Batch) error {
	for i, v := range b.Columns {
		switch f := a.builder.Field(i).(type) {
		case *array.Float64Builder:
			f.AppendValues(v.Numbers, v.Valid)
		case *array.Int64Builder:
			f.AppendValues(v.Counts, v.Valid)
		case *array.BooleanBuilder:
			f.AppendValues(v.Flags, v.Valid)
		case *array.StringBuilder:
			f.AppendValues(v.Texts, v.Valid)
		}
	}
	record := a.builder.NewRecord()
	defer record.Release()
	return a.w.Write(record)
}

func (a arrowSink) close() error {
	a.builder.Release()
	return a.w.Close()
}
