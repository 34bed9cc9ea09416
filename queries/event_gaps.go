package queries

import (
	"context"
	"database/sql"
	_ "embed"
	"fmt"
	"time"
)

var (
	//go:embed event_gaps.sql
	eventGapsSQL string
	//go:embed event_since.sql
	eventSinceSQL string
)

// EventGap is what lies between two events that follow one another: the transports of the population strictly between
// them and the hours from one to the next. It is placed at the later event; both are 0 within one transport.
type EventGap struct {
	TransportID string
	At          time.Time // UTC; the moment that gave the transport its month
	Month       string
	Transports  int
	Hours       float64
}

// Gaps are the gaps between the events of one measure. The stretch before the first event has no beginning and is no gap.
//
// SinceTransports and SinceHours run from the last event to the end of the last month looked at; where there was no event,
// from the first transport of the population, which then counts too.
type Gaps struct {
	Events          int
	Gaps            []EventGap
	SinceTransports int
	SinceHours      float64
}

// EventGaps puts the events of a measure in order of their transports' months' moments (accepted, else called, else
// departed) up to the month given, empty for all. A member of the population with a value above 0 is that many events.
// Transports without such a moment cannot be put in order and are passed over.
func (r *Reader) EventGaps(ctx context.Context, measure, upTo string) (Gaps, error) {
	var found Gaps
	if err := r.ready(ctx, measure, upTo); err != nil {
		return found, err
	}
	args := []any{sql.Named("measure", measure), sql.Named("last", firstDay(upTo))}
	events, err := collect(ctx, r, eventGapsSQL, scanGap, args...)
	if err != nil {
		return found, err
	}
	found.Events = len(events)
	if len(events) > 0 {
		found.Gaps = events[1:]
	}
	_, err = collect(ctx, r, eventSinceSQL, func(rows *sql.Rows) (bool, error) {
		return true, rows.Scan(&found.SinceTransports, &found.SinceHours)
	}, args...)
	return found, err
}

// ready checks the measure and the month and establishes the measure's facts.
func (r *Reader) ready(ctx context.Context, measure, month string) error {
	q, ok := questionOf(measure)
	if !ok || q.period {
		return fmt.Errorf("measure %q: expected an id of measures.csv that counts transports", measure)
	}
	if err := validatePeriod(month, month); err != nil {
		return err
	}
	return r.establish(ctx, q, nil)
}

func scanGap(rows *sql.Rows) (EventGap, error) {
	var g EventGap
	var between sql.NullInt64
	var hours sql.NullFloat64
	err := rows.Scan(&g.TransportID, &g.At, &g.Month, &between, &hours)
	g.Transports, g.Hours = int(between.Int64), hours.Float64
	return g, err
}
