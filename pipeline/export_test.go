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

// Ways loads paths and says how many files of readings went straight into the store, in a batch, and as text.
func Ways(ctx context.Context, st *store.Store, paths []string, o Options) (n [3]int, err error) {
	all, err := inspected(ctx, st, paths, o, func(l *loading, all []*staged) error { return l.stageAndKeep(ctx, st, all, &Outcome{}) })
	for _, s := range all {
		switch {
		case s.direct != nil:
			n[straight]++
		case s.batch != nil:
			n[inBatch]++
		case s.Table.Name == "readings":
			n[asText]++
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

// SetMostTogether sets how many bytes files may have to be staged together, and gives the way back.
func SetMostTogether(n int64) (back func()) {
	before := mostTogether
	mostTogether = n
	return func() { mostTogether = before }
}

// SetMostNumbered sets how many bytes files may have to be copied with numbers at once, and gives the way back.
func SetMostNumbered(n int64) (back func()) {
	before := mostNumbered
	mostNumbered = n
	return func() { mostNumbered = before }
}

// Together stages paths and says of how many files each lot is, those alone left out.
func Together(ctx context.Context, st *store.Store, paths []string, o Options) (sizes []int, err error) {
	all, err := inspected(ctx, st, paths, o, (*loading).stageAll)
	for _, s := range all {
		if s.lot != nil && s == s.lot[0] {
			sizes = append(sizes, len(s.lot))
		}
	}
	return sizes, err
}

// inspected inspects paths and does the rest with them.
func inspected(ctx context.Context, st *store.Store, paths []string, o Options, do func(*loading, []*staged) error) ([]*staged, error) {
	found, err := intake.Find(paths, o.Layout)
	if err != nil {
		return nil, err
	}
	scratch, err := scratchFolder(st.Path())
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(scratch)
	l := newLoading(st.Engine(ctx), scratch, o)
	all, err := l.inspectAll(found.Candidates, &Outcome{})
	if err != nil {
		return nil, err
	}
	return all, do(l, all)
}
