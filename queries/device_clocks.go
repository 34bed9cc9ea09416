package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"fmt"
	"math"
	"strings"
	"time"
)

var (
	//go:embed device_clocks.sql
	deviceClocksSQL string
	//go:embed device_runs.sql
	deviceRunsSQL string
	//go:embed device_pairs.sql
	devicePairsSQL string
	//go:embed load_start.sql
	loadStartSQL string
)

// DeviceClock is how one device's log runs beside the transports that carried it, by its own clock: the log's first and last
// row against the moments from which and to which the transport was under way.
//
// A clock that is wrong shifts both ends by as much; a device that is switched on early and off late shifts them apart. So
// Ahead, in minutes, is the median, over transports, of the middle between the two differences, and Spread the median of how
// far the worse end lies from it. Transports counts those with a run of the log within 14 hours, Agreeing those in the
// ten to twenty minutes in which most of them lie: N of the estimate.
type DeviceClock struct {
	Device, Table        string
	Transports, Agreeing int
	Ahead, Spread        float64
}

// What makes a clock's error one: enough transports, most of them, and an offset that stands out of the spread.
const (
	leastAgreeing = 5
	leastAhead    = 2 // min
	timesSpread   = 3
)

// Wrong says that the log runs beside its transports by a constant offset.
func (c DeviceClock) Wrong() bool {
	return c.Agreeing >= leastAgreeing && 2*c.Agreeing >= c.Transports && math.Abs(c.Ahead) >= max(leastAhead, timesSpread*c.Spread)
}

// Suggestion is the line of a layout that puts the clock right, empty where nothing is wrong. An offset of whole hours is more
// likely another zone, or a clock that knows no summer time, than a wrong clock: its line says so.
func (c DeviceClock) Suggestion() string {
	if !c.Wrong() {
		return ""
	}
	offset := (time.Duration(math.Round(-2*c.Ahead)) * 30 * time.Second).String() // to half a minute
	if whole, ok := strings.CutSuffix(offset, "m0s"); ok {
		offset = whole + "m"
	}
	line := "clock_offset: " + offset
	if hours := math.Round(c.Ahead / 60); hours != 0 && math.Abs(c.Ahead-60*hours) <= timesSpread*max(c.Spread, 1) {
		return fmt.Sprintf("time_zone: of the device, if its clock keeps another zone or no summer time; else %s", line)
	}
	return line
}

// clockMemory is how long before a load its devices' clocks are looked at too: a month has few transports of each device, and with
// the years behind it every load would read all that is stored.
const clockMemory = 92 * 24 * time.Hour

// DeviceClocks compares every device's logs with its transports, all months together. Alarms are too few to show where a log
// begins and ends; a clock that is wrong shows in the device's other logs.
func (r *Reader) DeviceClocks(ctx context.Context) ([]DeviceClock, error) {
	return r.deviceClocks(ctx, sql.NullTime{})
}

// ClocksOfLoad does so for the device rows of one load and of three months before them; none where the load stored no such row.
func (r *Reader) ClocksOfLoad(ctx context.Context, load int64) ([]DeviceClock, error) {
	start, err := collect(ctx, r, loadStartSQL, func(rows *sql.Rows) (first sql.NullTime, err error) {
		return first, rows.Scan(&first)
	}, sql.Named("load", load))
	if err != nil || !start[0].Valid {
		return nil, err
	}
	return r.deviceClocks(ctx, sql.NullTime{Time: start[0].Time.Add(-clockMemory), Valid: true})
}

func (r *Reader) deviceClocks(ctx context.Context, since sql.NullTime) ([]DeviceClock, error) {
	if err := r.tabulate(ctx, deviceRunsSQL, sql.Named("since", since)); err != nil {
		return nil, err
	}
	if err := r.tabulate(ctx, devicePairsSQL); err != nil {
		return nil, err
	}
	return collect(ctx, r, deviceClocksSQL, func(rows *sql.Rows) (DeviceClock, error) {
		var c DeviceClock
		return c, rows.Scan(&c.Table, &c.Device, &c.Transports, &c.Agreeing, &c.Ahead, &c.Spread)
	})
}

// tabulate makes a temporary table that only one question needs.
func (r *Reader) tabulate(ctx context.Context, text string, args ...any) error {
	if err := r.build(ctx, text, ""); err != nil {
		return err
	}
	if _, err := r.db.ExecContext(ctx, text, args...); err != nil {
		return fmt.Errorf("queries: runs of devices could not be told: %w", err)
	}
	return nil
}
