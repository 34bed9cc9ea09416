package pipeline

import (
	"errors"
	"fmt"
	"slices"

	"tripwake/pipeline/intake"
	"tripwake/pipeline/normalise"
	"tripwake/pipeline/store"
)

// batch is consecutive files of one source that the engine typed while it read them, in one table: see normalise.Batchable.
type batch struct {
	table string
	files []*staged
}

// leastBatch is how many bytes files must have together to be tried as a batch: below that it saves nothing.
var leastBatch int64 = 1 << 20

// probed is how many records are tried first: most files that are no batch show it there.
const probed = 2048

// batchOf gives the files at the beginning that may be read as one batch, none where that is not worth it.
func batchOf(all []*staged) []*staged {
	n, bytes := 0, int64(0)
	for n < len(all) && all[n].batchable() && alike(all[0], all[n]) {
		bytes += all[n].Bytes
		n++
	}
	if bytes < leastBatch {
		return nil
	}
	return all[:n]
}

// batchable says that a file may be read in a quicker way than as text.
func (s *staged) batchable() bool { return s.way != asText && normalise.Batchable(s.Source) }

// alike says that two files have one layout, header and delimiter, and are to be read in one way.
func alike(a, b *staged) bool {
	return a.way == b.way && a.Layout == b.Layout && a.Delimiter == b.Delimiter && slices.Equal(a.Header, b.Header)
}

// stageBatch reads files as a batch and says whether they are one; if not, nothing is left of it, and the same files read as text
// tell what is the matter.
func (l *loading) stageBatch(files []*staged) (bool, error) {
	b := &batch{files[0].table + "_batch", files}
	sources := make([]intake.Source, len(files))
	var records int64
	for i, s := range files {
		sources[i], s.from = s.Source, records
		records += s.Records
	}
	var look normalise.Look
	ready, err := b.reads(l, fmt.Sprintf("%s limit %d", normalise.BatchSQL(sources[:1]), probed), min(probed, files[0].Records), &look)
	if ready && err == nil {
		ready, err = b.reads(l, normalise.BatchSQL(sources), records, &look)
	}
	if ready && err == nil {
		ready, err = b.plan(l, look)
	}
	if ready || err != nil {
		return ready, err
	}
	setWay(files, asText)
	_, err = l.engine.Exec("drop table if exists " + b.table)
	return false, err
}

// reads makes the batch's table and says whether it holds the records, all of them as plain as they must be.
func (b *batch) reads(l *loading, selected string, records int64, look *normalise.Look) (bool, error) {
	var rows, clean int64
	if _, err := l.engine.Exec(fmt.Sprintf("create or replace temp table %s as %s", b.table, selected)); err != nil {
		return false, nil // something in the files does not fit
	}
	if err := l.engine.Ask("select count(*) from "+b.table, &rows); err != nil || rows != records {
		return false, err
	}
	err := l.engine.Ask(normalise.BatchCleanSQL(b.files[0].Source, b.table), &look.FirstYear, &look.LastYear, &clean)
	return clean == 1, err
}

// plan plans the reading of the batch's files and counts what each offers, unless a time in it was never shown by the clock.
func (b *batch) plan(l *loading, look normalise.Look) (bool, error) {
	look.Typed = true
	plan := normalise.NewPlan(b.files[0].Source, l.options.Zone, look)
	if missing := plan.BatchMissingSQL(b.table); missing != "" {
		var n int64
		if err := l.engine.Ask(missing, &n); err != nil || n > 0 {
			return false, err
		}
	}
	filled, err := l.engine.Numbers(plan.BatchFilledSQL(b.table, places(b.files)))
	if err != nil {
		return false, err
	}
	for i, s := range b.files {
		s.batch, s.look, s.plan, s.offered.Read = b, look, plan, filled[i]
	}
	return true, nil
}

// rowsSQL makes the view `staged` of the rows of one of the batch's files, from one up to another.
func (b *batch) rowsSQL(s *staged, first, end int64) string {
	return fmt.Sprintf("create or replace temp view staged as from %s own", cut(b.table, s.from, first, end))
}

// keepBatch stores the rows of all files of a batch at once, where no stored row can equal one of theirs and nothing is to be left
// out; else they must be kept one by one.
func (l *loading) keepBatch(b *batch) (bool, error) {
	if l.forgetful {
		return false, nil
	}
	s := b.files[0]
	if _, err := l.engine.Exec("create or replace temp view staged as from "+rowsOf(b.table), s.plan.TypedSQL("view", owners(s.Table))); err != nil {
		return false, err
	}
	if err := l.cover(s.Table); err != nil {
		return false, err
	}
	if err := l.ranges(s, places(b.files)); err != nil {
		return false, err
	}
	overlap, err := l.overlap(s)
	if err == nil && !overlap {
		last := s.fileID + int64(len(b.files)-1)
		_, err = l.engine.Exec(append(store.KeepSamplesSQL(fileNumbers(b.files), recordNumbers(b.files), s.plan.Quantities(), s.fileID, last), store.CoveredSQL(s.Table))...)
	}
	if err != nil {
		return false, err
	}
	if _, err := l.engine.Exec("drop view typed", "drop view samples", "drop view moments", "drop view staged"); err != nil || overlap {
		return false, err
	}
	for _, s := range b.files {
		s.row.Stored = s.row.Read
		if err := l.enter(s); err != nil {
			return false, err
		}
	}
	_, err = l.engine.Exec("drop table " + b.table)
	return true, err
}

// overlap says whether a stored row, or one of another of the files whose `ranges` are told, could equal one of a file's.
func (l *loading) overlap(s *staged) (bool, error) {
	var stored, among int64
	err := errors.Join(l.engine.Ask(store.TouchedSQL(s.Table), &stored), l.engine.Ask(store.AmongSQL, &among))
	return stored+among > 0, err
}
