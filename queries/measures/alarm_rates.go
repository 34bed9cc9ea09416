package measures

import (
	"fmt"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// AlarmRate is alarm onsets per monitored hour in one group, with the interval that takes the transport as the cluster. Rate
// is nil without monitored time, Low and High without two transports.
type AlarmRate struct {
	queries.AlarmGroup
	Rate, Low, High95 *float64
}

// AlarmRates works out the rate of each group.
func AlarmRates(groups []queries.AlarmGroup) ([]AlarmRate, error) {
	rates := make([]AlarmRate, len(groups))
	for i, g := range groups {
		rates[i] = AlarmRate{AlarmGroup: g}
		if g.Hours() <= 0 {
			continue
		}
		rates[i].Rate = number(float64(g.Onsets) / g.Hours())
		if g.Sums.Clusters < 2 {
			continue
		}
		e, err := stats.ClusterSums(g.Sums).Rate(queries.MicrosecondsPerHour)
		if err != nil {
			return nil, fmt.Errorf("alarms of %s: %w", g.Name, err)
		}
		rates[i].Low = &e.Low
		if !e.Open {
			rates[i].High95 = &e.High
		}
	}
	return rates, nil
}

// RateText prints the rate, IntervalText its limits; empty where there is none.
func (r AlarmRate) RateText() string { return textOf(r.Rate, 2) }

// IntervalText prints the 95 % interval as "low–high".
func (r AlarmRate) IntervalText() string {
	if r.Low == nil || r.High95 == nil {
		return ""
	}
	return textOf(r.Low, 2) + "–" + textOf(r.High95, 2)
}

// HoursText prints the monitored hours.
func (r AlarmRate) HoursText() string { return fixed(r.Hours(), 0) }

func textOf(v *float64, decimals int) string {
	if v == nil {
		return ""
	}
	return fixed(*v, decimals)
}

// PartText prints a part of a whole in % and is empty where there is no whole.
func PartText(part, whole float64) string {
	if whole <= 0 {
		return ""
	}
	return fixed(100*part/whole, 1)
}

// NumberText prints a number with so many decimals, nil as nothing.
func NumberText(v *float64, decimals int) string { return textOf(v, decimals) }
