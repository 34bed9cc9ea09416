package store

import (
	"context"
	"database/sql"
	"fmt"
	"time"
)

// LoadEntry is one load as the ledger lists it, undone ones among them: what it read, and what it stored (of an undone one,
// until then).
type LoadEntry struct {
	Load     int64      `json:"load"`
	LoadedAt time.Time  `json:"loaded_at"`
	Program  string     `json:"program"`
	TimeZone string     `json:"time_zone"`
	Files    int64      `json:"files"`
	Read     int64      `json:"read"`
	Stored   int64      `json:"stored"`
	UndoneAt *time.Time `json:"undone_at"`
	UndoneBy string     `json:"undone_by,omitempty"`
}

const loadsSQL = `select load_id, loaded_at, any_value(program), any_value(time_zone), count(file_id),
		coalesce(sum(rows_read), 0)::bigint, coalesce(sum(stored), 0)::bigint, null::timestamp, ''
	from ledger.loads left join ledger.files using (load_id) group by load_id, loaded_at
	union all
	select load_id, loaded_at, program, time_zone, files, rows_read, stored, undone_at, undone_by from ledger.undone
	order by load_id`

// Loads lists every load that was made, in their order.
func (s *Store) Loads(ctx context.Context) ([]LoadEntry, error) {
	rows, err := s.db.QueryContext(ctx, loadsSQL)
	if err != nil {
		return nil, fmt.Errorf("ledger: %w", err)
	}
	defer rows.Close()
	var all []LoadEntry
	for rows.Next() {
		var l LoadEntry
		var undone sql.NullTime
		if err := rows.Scan(&l.Load, &l.LoadedAt, &l.Program, &l.TimeZone, &l.Files, &l.Read, &l.Stored, &undone, &l.UndoneBy); err != nil {
			return nil, fmt.Errorf("ledger: %w", err)
		}
		if undone.Valid {
			l.UndoneAt = &undone.Time
		}
		all = append(all, l)
	}
	return all, rows.Err()
}
