package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"strings"
)

//go:embed case_timelines.sql
var caseTimelinesSQL string

// Lane is a kind of thing that happens on a transport.
type Lane int

// The lanes of a case, in the order in which they are drawn. Of a reading Low and High are the lowest and highest value of
// a stretch of time, in the unit of quantities.csv; of an alarm its limit and the value that crossed it, volumes per kg; of
// a cylinder the pressures in bar at its end and start. Names of alarms and events carry priority and harm after a "|".
const (
	LaneLeg Lane = iota + 1
	LaneSupport
	LaneSetting
	LaneAlarm
	LanePower
	LaneCylinder
	LaneEvent
	LaneReading
)

// CaseLine is one thing that happened on a transport, in minutes from the start of its trip window, which holds no date.
type CaseLine struct {
	TransportID string
	Lane        Lane
	Name        string
	From, To    float64
	Low, High   *float64
}

// CaseTimelines lists what happened on the transports named, by transport and lane, readings by quantity, each in order of
// time. Narratives are not in it.
func (r *Reader) CaseTimelines(ctx context.Context, transports []string) ([]CaseLine, error) {
	return collect(ctx, r, caseTimelinesSQL, func(rows *sql.Rows) (CaseLine, error) {
		var c CaseLine
		return c, rows.Scan(&c.TransportID, &c.Lane, &c.Name, &c.From, &c.To, &c.Low, &c.High)
	}, sql.Named("transports", strings.Join(transports, "\x1f")))
}
