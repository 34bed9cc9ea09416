package pipeline

import (
	"context"
	"os"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/store"
)

// SetLeastBatch sets how many bytes files must have together to be tried as a batch, and gives the way back.
func SetLeastBatch(n int64) (back func()) {
	before := leastBatch
	leastBatch = n
	return func() { leastBatch = before }
}

// Batched says how many of the files in paths are read in a batch.
func Batched(ctx context.Context, st *store.Store, paths []string, o Options) (int, error) {
	found, err := intake.Find(paths, o.Layout)
	if err != nil {
		return 0, err
	}
	scratch, err := scratchFolder(st.Path())
	if err != nil {
		return 0, err
	}
	defer os.RemoveAll(scratch)
	l := &loading{engine: st.Engine(ctx), options: o, covered: map[string]bool{}}
	all, err := l.stageAll(found.Candidates, scratch, &Outcome{})
	n := 0
	for _, s := range all {
		if s.batch != nil {
			n++
		}
	}
	return n, err
}

// SetSameAtOnce sets how many records are looked up among the stored samples at a time, and gives the way back.
func SetSameAtOnce(n int64) (back func()) {
	before := sameAtOnce
	sameAtOnce = n
	return func() { sameAtOnce = before }
}

// SetMatchedAtOnce sets how many rows of a log are compared with stored ones at a time, and gives the way back.
func SetMatchedAtOnce(n int64) (back func()) {
	before := matchedAtOnce
	matchedAtOnce = n
	return func() { matchedAtOnce = before }
}
