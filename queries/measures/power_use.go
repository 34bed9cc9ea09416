package measures

import (
	"fmt"
	"math"
	"slices"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// BatteryUse is how the batteries of a group of transports were used while under way.
type BatteryUse struct {
	queries.BatteryGroup
	Alarms *Limit // low-battery alarms per 100 hours on battery, exact Poisson interval; nil without an hour on battery
}

// Hours on battery, screen lit and dimmed together.
func (b BatteryUse) Hours() float64 { return (b.Lit + b.Dim) / 60 }

// DimmedShare is the part of the battery time with the screen dimmed, in %; 0 without battery time.
func (b BatteryUse) DimmedShare() float64 {
	if b.Lit+b.Dim == 0 {
		return 0
	}
	return 100 * b.Dim / (b.Lit + b.Dim)
}

// BatteriesBy takes the groups of one kind (queries.GasByDevice, GasByMonth, GasAll, …) with their rate of alarms.
func BatteriesBy(groups []queries.BatteryGroup, kind string) ([]BatteryUse, error) {
	var all []BatteryUse
	for _, g := range groups {
		if g.Kind != kind {
			continue
		}
		b := BatteryUse{BatteryGroup: g}
		if hours := b.Hours(); hours > 1e-9 {
			e, err := stats.PoissonExact(float64(g.LowAlarms), hours/100)
			if err != nil {
				return nil, fmt.Errorf("low-battery alarms of %s %q: %w", kind, g.Name, err)
			}
			l := limit(e)
			b.Alarms = &l
		}
		all = append(all, b)
	}
	return all, nil
}

// Endurance is how long a full battery would have lasted at the pace at which its charge fell, in min: 100 × Σ minutes /
// Σ points lost over its transports, with its 95 % interval (equal limits where there is none).
type Endurance struct {
	Transports       int
	Value, Low, High float64
}

// Fade is the endurance of one ventilator's battery over time.
type Fade struct {
	Device      string
	Rated       float64              // min, 0 where none is recorded
	First, Last Endurance            // of the first and the last three months with a charge recorded; alike in a short record
	Months      map[string]Endurance // by month
	StandsOut   bool                 // the whole interval of Last lies below the share of the rating in the settings
	Judged      bool                 // rated, and at least LeastTransports in Last
}

// fadeMonths is how many months make First and Last: enough transports for an interval, few enough to see a battery fade.
const fadeMonths = 3

// FadesOf follows each ventilator's battery. share is the part of the rating below which a battery stands out.
func FadesOf(slopes []queries.BatterySlope, share float64) ([]Fade, error) {
	var all []Fade
	for start := 0; start < len(slopes); {
		end := start
		for end < len(slopes) && slopes[end].Device == slopes[start].Device {
			end++
		}
		f, err := fadeOf(slopes[start:end], share)
		if err != nil {
			return nil, fmt.Errorf("battery of %q: %w", slopes[start].Device, err)
		}
		all = append(all, f)
		start = end
	}
	return all, nil
}

func fadeOf(slopes []queries.BatterySlope, share float64) (Fade, error) {
	f := Fade{Device: slopes[0].Device, Rated: slopes[0].Rated, Months: map[string]Endurance{}}
	months := slices.DeleteFunc(slices.Clone(slopes), func(s queries.BatterySlope) bool { return s.Month == "" })
	var err error
	for _, m := range months {
		if f.Months[m.Month], err = enduranceOf(m); err != nil {
			return f, err
		}
	}
	if f.First, err = enduranceOf(months[:min(fadeMonths, len(months))]...); err != nil {
		return f, err
	}
	if f.Last, err = enduranceOf(months[max(0, len(months)-fadeMonths):]...); err != nil {
		return f, err
	}
	f.Judged = f.Rated > 0 && f.Last.Transports >= LeastTransports && f.Last.Value > 0
	f.StandsOut = f.Judged && f.Last.High < share*f.Rated
	return f, nil
}

// enduranceOf pools some months; a battery that lost no charge has no endurance: 0.
func enduranceOf(months ...queries.BatterySlope) (Endurance, error) {
	var minutes, lost []float64
	for _, m := range months {
		minutes, lost = append(minutes, m.MinutesEach...), append(lost, m.LostEach...)
	}
	e := Endurance{Transports: len(minutes)}
	moments, err := stats.MomentsOf(minutes, lost)
	if err != nil || moments.T <= 0 {
		return e, err
	}
	e.Value = 100 * moments.X / moments.T
	e.Low, e.High = e.Value, e.Value
	if len(minutes) < 2 {
		return e, nil
	}
	r, err := stats.RatioOfSums(moments, stats.Level)
	e.Low, e.High = math.Max(0, 100*r.Low), 100*r.High
	return e, err
}

// PartOf is a number of minutes as a part of the rated endurance in %; empty where that is not known.
func (f Fade) PartOf(minutes float64) string {
	if f.Rated <= 0 {
		return ""
	}
	return fixed(100*minutes/f.Rated, 0)
}

// PercentText prints a share of 1 in whole per cent, without the sign.
func PercentText(share float64) string { return fixed(100*share, 0) }

// RateText prints a rate per 100 hours to one digit.
func RateText(v float64) string { return fixed(v, 1) }

// Percent is a number of minutes as a part of the rated endurance, 100 for all of it; 0 where that is not known.
func (f Fade) Percent(minutes float64) float64 {
	if f.Rated <= 0 {
		return 0
	}
	return 100 * minutes / f.Rated
}

// MonthText prints the endurance of a month in whole minutes; empty where no charge fell in it.
func (f Fade) MonthText(month string) string {
	e, ok := f.Months[month]
	if !ok || e.Value == 0 {
		return ""
	}
	return fixed(e.Value, 0)
}

// MostWorn lists at most so many batteries, the smallest share of its rating first; those without a rating last.
func MostWorn(fades []Fade, most int) []Fade {
	sorted := slices.Clone(fades)
	slices.SortStableFunc(sorted, func(a, b Fade) int {
		left, right := a.Percent(a.Last.Value), b.Percent(b.Last.Value)
		if (left == 0) != (right == 0) {
			left, right = right, left // the unrated one goes last
		}
		return compareDown(right, left, a.Device, b.Device)
	})
	return sorted[:min(most, len(sorted))]
}
