package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"time"
)

//go:embed device_requests.sql
var deviceRequestsSQL string

// WholeTeam is the kind of DeviceRequests that stands for everything that goes out together: all requests.
const WholeTeam = "team"

// DeviceRequest is one request for a device. It asks at Asked and has given the device back, made ready again, at Free (UTC);
// a time that the records do not tell is zero. TurnedAway was declined for want of equipment; which device was wanting the
// records do not say, so it counts for every kind. Delayed went out late for want of equipment. Lent went out with a device that
// mostly goes with another team.
type DeviceRequest struct {
	TransportID, Month        string
	Asked, Free               time.Time
	TurnedAway, Delayed, Lent bool
}

// DeviceRequests lists the requests for a kind of device (one of the register's, or WholeTeam) in the order in which they were
// made; team "" is all. Requests whose time is not known come last.
func (r *Reader) DeviceRequests(ctx context.Context, kind, team, from, to string) ([]DeviceRequest, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, deviceRequestsSQL, func(rows *sql.Rows) (DeviceRequest, error) {
		var d DeviceRequest
		var asked, free sql.NullTime
		err := rows.Scan(&d.TransportID, &d.Month, &asked, &free, &d.TurnedAway, &d.Delayed, &d.Lent)
		d.Asked, d.Free = asked.Time, free.Time
		return d, err
	}, append(args, sql.Named("kind", kind), sql.Named("team", orNull(team)))...)
}

// orNull makes the SQL parameter of a text that may be empty.
func orNull(text string) any {
	if text == "" {
		return nil
	}
	return text
}
