package pipeline

import (
	"context"

	"tripwake/pipeline/store"
)

// Undo takes a load back, in one transaction: what it stored, refused and repeated goes, rows that other loads repeat
// become theirs, corrections that it made are taken back, and device rows are linked anew. The store then answers as one into
// which it was never loaded. It refuses a load that is not there or was undone before.
func Undo(ctx context.Context, st *store.Store, loadID int64, o Options) (undone store.Undone, err error) {
	err = st.Update(ctx, func(tx store.Engine) error {
		if undone, err = tx.Undo(loadID, o.Now, o.Program); err != nil {
			return err
		}
		l := &loading{engine: tx, options: o}
		return l.link()
	})
	return undone, err
}
