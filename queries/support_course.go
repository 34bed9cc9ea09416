package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed support_course.sql
var supportCourseSQL string

// Phases are where and when patients on non-invasive support came to invasive support, in order of time. The first four
// are told by the settings log, the others by what the receiving hospital reported.
var Phases = []string{"before leaving", "under way", "at hand-over", "place not known", "within 24 h", "later", "time not known", "for surgery", "never"}

// SupportCourse is one completed transport whose first class of support under way was non-invasive. Minutes run from the
// beginning of its first episode to the first invasive one where Escalated, else to the end of the last. Phase is one of
// Phases; "for surgery" goes before the time after hand-over, "never" also stands where nothing was reported.
type SupportCourse struct {
	TransportID, FirstClass, ToClass string
	Minutes                          float64
	Escalated                        bool
	Phase                            string
}

// SupportCourses lists these transports in order of time.
func (r *Reader) SupportCourses(ctx context.Context, from, to string) ([]SupportCourse, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, supportCourseSQL, func(rows *sql.Rows) (SupportCourse, error) {
		var c SupportCourse
		return c, rows.Scan(&c.TransportID, &c.FirstClass, &c.ToClass, &c.Minutes, &c.Escalated, &c.Phase)
	}, args...)
}
