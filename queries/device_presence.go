package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"time"
)

//go:embed device_presence.sql
var devicePresenceSQL string

// Presence is how many devices of a kind there are from At (UTC) on: Registered are in service by the register, Units of these
// are there, the others out of service for failure, maintenance or recall.
type Presence struct {
	At                time.Time
	Units, Registered int
}

// DevicePresence follows the number of devices of a kind from one moment to another; team "" is all, else the devices that
// mostly go out with that team. The first Presence is at from.
func (r *Reader) DevicePresence(ctx context.Context, kind, team string, from, until time.Time) ([]Presence, error) {
	all, err := collect(ctx, r, devicePresenceSQL, func(rows *sql.Rows) (Presence, error) {
		var p Presence
		return p, rows.Scan(&p.At, &p.Units, &p.Registered)
	}, sql.Named("kind", kind), sql.Named("team", orNull(team)),
		sql.Named("from", from.UTC().Format(utcLayout)), sql.Named("until", until.UTC().Format(utcLayout)))
	for i := 1; i < len(all); i++ { // changes become numbers
		all[i].Units, all[i].Registered = all[i].Units+all[i-1].Units, all[i].Registered+all[i-1].Registered
	}
	return all, err
}
