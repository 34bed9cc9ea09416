package pipeline

import "tripwake/pipeline/store"

// sameAtOnce is how many records are looked up among the stored samples at a time.
var sameAtOnce int64 = 250_000

// setSameAside takes the records of a batch's file out of `staged` that repeat one stored sample as a whole, and narrows `ranges` to
// the rest: an export that overlaps an earlier one then costs little more than its new rows. They wait in the table `same`.
func (l *loading) setSameAside(s *lot) error {
	if _, err := l.engine.Exec(store.EmptySameSQL, store.TwiceSQL); err != nil {
		return err
	}
	for first := int64(0); first < s.Records; first += sameAtOnce {
		if err := l.findSame(s, first, min(first+sameAtOnce, s.Records)); err != nil {
			return err
		}
	}
	others := s.batch.rowsSQL(s.staged, 0, s.Records) + " where not exists (select 1 from same where same.r = own.r)"
	if _, err := l.engine.Exec(others, "drop table twice"); err != nil {
		return err
	}
	var left int64
	if err := l.engine.Ask(s.plan.BatchOfferedSQL(), &left); err != nil {
		return err
	}
	s.same = s.sum.Read - left
	return l.ranges(s.staged, "0")
}

// findSame looks the records from one up to another up.
func (l *loading) findSame(s *lot, first, end int64) error {
	var from, to string
	if _, err := l.engine.Exec(s.batch.rowsSQL(s.staged, first, end)); err != nil {
		return err
	}
	if err := l.engine.Ask("select coalesce(min(recorded_at)::varchar, ''), coalesce(max(recorded_at)::varchar, '') from samples", &from, &to); err != nil || from == "" {
		return err
	}
	moment := func(text string) string { return "timestamp " + store.Literal(text) }
	_, err := l.engine.Exec(store.SameSQL(s.plan.Quantities(), moment(from), moment(to)))
	return err
}

// keepSame enters what was set aside into the ledger.
func (l *loading) keepSame(s *lot) error {
	if s.same == 0 {
		return nil
	}
	_, err := l.engine.Exec(store.RepeatedSamplesSQL(s.fileID, s.recordNo))
	return err
}
