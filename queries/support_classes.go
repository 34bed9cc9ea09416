package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed support_classes.sql
var supportClassesSQL string

// SupportClass is how much support of one class completed transports had: episodes, transports, hours and the median length
// of an episode (min, nil without one). PassedOver counts stretches too short to be an episode, ModeChanges the changes of
// mode from one settings row to the next of the same class, which are no change of support.
type SupportClass struct {
	Class                   string
	Episodes, Transports    int
	Hours                   float64
	MiddleMinutes           *float64
	PassedOver, ModeChanges int
}

// SupportClasses lists the classes of support in their order.
func (r *Reader) SupportClasses(ctx context.Context, from, to string) ([]SupportClass, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, supportClassesSQL, func(rows *sql.Rows) (SupportClass, error) {
		var c SupportClass
		return c, rows.Scan(&c.Class, &c.Episodes, &c.Transports, &c.Hours, &c.MiddleMinutes, &c.PassedOver, &c.ModeChanges)
	}, args...)
}
