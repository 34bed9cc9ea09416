package measures

import (
	"fmt"
	"slices"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// RiskChange is how the score changed under way in one month or group: receiving less referring arrival, so that above 0
// is worse. Numbers are nil where no transport has both scores; the interval needs 6.
type RiskChange struct {
	Group                string
	N                    int // transports with both scores
	Referring, Receiving *float64
	Median               *float64 // of the changes
	Low, High, Coverage  *float64
	LeftOut              int // transports without one of the scores
}

// RiskChangesByMonth answers for each of the months given, RiskChangesByGestation for each band of gestation that occurs,
// in the usual order.
func RiskChangesByMonth(risks []queries.Risk, months []string) ([]RiskChange, error) {
	return riskChanges(risks, months, func(r queries.Risk) string { return r.Month })
}

// RiskChangesByGestation: see RiskChangesByMonth.
func RiskChangesByGestation(risks []queries.Risk) ([]RiskChange, error) {
	var bands []string
	for _, r := range risks {
		if !slices.Contains(bands, r.GestationBand) {
			bands = append(bands, r.GestationBand)
		}
	}
	slices.SortFunc(bands, byUsualOrder)
	return riskChanges(risks, bands, func(r queries.Risk) string { return r.GestationBand })
}

func riskChanges(risks []queries.Risk, groups []string, groupOf func(queries.Risk) string) ([]RiskChange, error) {
	out := make([]RiskChange, 0, len(groups))
	for _, group := range groups {
		var before, after, change []float64
		one := RiskChange{Group: group}
		for _, r := range risks {
			switch {
			case groupOf(r) != group:
			case r.Referring == nil || r.Receiving == nil:
				one.LeftOut++
			default:
				before, after = append(before, float64(*r.Referring)), append(after, float64(*r.Receiving))
				change = append(change, float64(*r.Receiving-*r.Referring))
			}
		}
		if err := one.take(before, after, change); err != nil {
			return nil, fmt.Errorf("change of risk, %s: %w", group, err)
		}
		out = append(out, one)
	}
	return out, nil
}

func (c *RiskChange) take(before, after, change []float64) error {
	c.N = len(change)
	if c.N == 0 {
		return nil
	}
	for _, part := range []struct {
		values []float64
		to     **float64
	}{{before, &c.Referring}, {after, &c.Receiving}, {change, &c.Median}} {
		slices.Sort(part.values)
		median, err := stats.Median(part.values)
		if err != nil {
			return err
		}
		*part.to = &median
	}
	if c.N < 6 {
		return nil
	}
	e, err := stats.MedianInterval(change)
	if err != nil {
		return err
	}
	c.Low, c.High, c.Coverage = &e.Low, &e.High, &e.Coverage
	return nil
}

// IntervalText prints the interval of the median change, empty where there is none.
func (c RiskChange) IntervalText() string {
	if c.Low == nil {
		return ""
	}
	return scoreText(c.Low) + " to " + scoreText(c.High)
}

// Texts print the medians: score at referring arrival, at receiving arrival, and change.
func (c RiskChange) Texts() (referring, receiving, change string) {
	return scoreText(c.Referring), scoreText(c.Receiving), scoreText(c.Median)
}

// scoreText prints a median of whole scores: a half where it lies between two.
func scoreText(v *float64) string {
	switch {
	case v == nil:
		return ""
	case *v == float64(int(*v)):
		return fixed(*v, 0)
	default:
		return fixed(*v, 1)
	}
}
