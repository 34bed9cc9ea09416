package extract

import (
	"context"
	"errors"
	"os"
	"sync"

	"tripwake/queries"
)

// sink is one file that is being written, batch by batch.
type sink interface {
	write(queries.Batch) error
	close() error
}

// The endings of a table's three files.
var endings = []string{".parquet", ".arrow", ".csv"}

// writeTable writes a table into its three files at once and counts what the codebook tells. A batch is written while the next is
// read.
func (in Input) writeTable(ctx context.Context, dir string, t queries.ReleasedTable) (b book, err error) {
	files := make([]*os.File, len(endings))
	for i, ending := range endings {
		if files[i], err = create(dir, t.Name+ending); err != nil {
			return b, err
		}
		defer func() { err = errors.Join(err, files[i].Close()) }()
	}
	sinks, err := in.sinks(files, t)
	if err != nil {
		return b, err
	}
	b = newBook(t)
	var writing sync.WaitGroup
	var failed error
	err = in.Reader.Batches(ctx, t, batchRows, func(batch queries.Batch) error {
		if in.alter != nil {
			in.alter(t.Name, batch)
		}
		writing.Wait()
		writing.Go(func() {
			b.count(batch)
			failed = errors.Join(failed, each(sinks, func(s sink) error { return s.write(batch) }))
		})
		return nil
	})
	writing.Wait()
	return b, errors.Join(err, failed, each(sinks, sink.close))
}

func (in Input) sinks(files []*os.File, t queries.ReleasedTable) ([]sink, error) {
	p, err := newParquet(files[0], in, t)
	if err != nil {
		return nil, err
	}
	a, err := newArrow(files[1], in, t)
	if err != nil {
		return nil, err
	}
	c, err := newCSV(files[2], t)
	return []sink{p, a, c}, err
}

// each does something with every sink, side by side: a batch is read by all and changed by none.
func each(sinks []sink, do func(sink) error) error {
	parts := make([]func() error, len(sinks))
	for i, s := range sinks {
		parts[i] = func() error { return do(s) }
	}
	return together(parts)
}
