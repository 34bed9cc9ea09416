package queries

import (
	"context"
	"database/sql"
	_ "embed"
)

//go:embed alarm_answers.sql
var alarmAnswersSQL string

// AlarmAnswer is what became of the alarms of one condition. Seconds are nil where no row tells; limits and excesses are in
// the unit of the condition's quantity, of expired tidal and minute volume per kg.
//
// An alarm counts as silenced when it was silenced before it ended; unanswered is the time to silence, else to the end.
type AlarmAnswer struct {
	Condition        string
	Onsets, Silenced int
	ToSilence        *float64 // s, median of the silenced
	Longest          *float64 // s, longest unanswered
	LongestOn        string   // its transport
	Limits           int      // onsets whose limit is known
	UsualLimit       *float64 // the most frequent limit, rounded to 0.1
	MiddleLimit      *float64 // the median limit
	Beyond           *float64 // median of how far the value was beyond its limit
	FarBeyond        *float64 // 90 % point of the same
}

// AlarmAnswers lists, by condition, how alarms of the population of alarms_per_hour were answered and what they crossed.
func (r *Reader) AlarmAnswers(ctx context.Context, from, to string) ([]AlarmAnswer, error) {
	args, err := between(from, to)
	if err != nil {
		return nil, err
	}
	return collect(ctx, r, alarmAnswersSQL, func(rows *sql.Rows) (AlarmAnswer, error) {
		var a AlarmAnswer
		var on sql.NullString
		err := rows.Scan(&a.Condition, &a.Onsets, &a.Silenced, &a.ToSilence, &a.Longest, &on, &a.Limits, &a.UsualLimit,
			&a.MiddleLimit, &a.Beyond, &a.FarBeyond)
		a.LongestOn = on.String
		return a, err
	}, args...)
}
