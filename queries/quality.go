package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

var (
	//go:embed quality_flags.sql
	qualityFlagsSQL string
	//go:embed quality_stamps.sql
	qualityStampsSQL string
	//go:embed quality_logs.sql
	qualityLogsSQL string
	//go:embed quality_events.sql
	qualityEventsSQL string
)

// FlagCount is how many stored rows of a table carry a flag.
type FlagCount struct {
	Table, Flag string
	Rows        int64
}

// StampCount is how many completed transports lack a stamp, or have it before one that comes earlier in a trip.
type StampCount struct {
	Stamp                           string
	Transports, Missing, OutOfOrder int
}

// LogCount is what became of one device's rows in one log: rows linked to no transport, naming one that is not known, and
// linked to one but outside its widened window. Device is "not recorded" where the rows name none.
type LogCount struct {
	Table, Device                           string
	Rows, Unlinked, Unknown, OutsideWindows int64
}

// StrayEvents is how many events of a kind count in no measure of that kind, and why.
type StrayEvents struct {
	Kind, Reason string
	Events       int
}

// Quality is what in the stored records a reader of the measures should know of.
type Quality struct {
	Flags  []FlagCount
	Stamps []StampCount
	Logs   []LogCount
	Events []StrayEvents
}

// Quality looks over all stored records, whatever their month.
func (r *Reader) Quality(ctx context.Context) (q Quality, err error) {
	if q.Flags, err = collect(ctx, r, qualityFlagsSQL, func(rows *sql.Rows) (FlagCount, error) {
		var f FlagCount
		return f, rows.Scan(&f.Table, &f.Flag, &f.Rows)
	}); err != nil {
		return q, err
	}
	if q.Stamps, err = collect(ctx, r, qualityStampsSQL, func(rows *sql.Rows) (StampCount, error) {
		var s StampCount
		return s, rows.Scan(&s.Stamp, &s.Transports, &s.Missing, &s.OutOfOrder)
	}); err != nil {
		return q, err
	}
	if q.Logs, err = collect(ctx, r, qualityLogsSQL, func(rows *sql.Rows) (LogCount, error) {
		var l LogCount
		return l, rows.Scan(&l.Table, &l.Device, &l.Rows, &l.Unlinked, &l.Unknown, &l.OutsideWindows)
	}); err != nil {
		return q, err
	}
	q.Events, err = collect(ctx, r, qualityEventsSQL, func(rows *sql.Rows) (StrayEvents, error) {
		var e StrayEvents
		return e, rows.Scan(&e.Kind, &e.Reason, &e.Events)
	})
	return q, err
}
