package measures

import (
	"fmt"
	"time"
)

// PurchaseSpan is the whole months, in the team's zone, that a purchase is judged on. Weeks are stretches of seven days from its
// start; the last may be shorter.
type PurchaseSpan struct {
	First, Last string // "2025-01"
	Start, End  time.Time
}

const monthOnly = "2006-01"

func spanOf(first, last string, zone *time.Location) (PurchaseSpan, error) {
	from, err1 := time.ParseInLocation(monthOnly, first, zone)
	to, err2 := time.ParseInLocation(monthOnly, last, zone)
	if err1 != nil || err2 != nil || to.Before(from) {
		return PurchaseSpan{}, fmt.Errorf("purchase from %q to %q: expected months such as 2026-03, the last not before the first", first, last)
	}
	return PurchaseSpan{first, last, from, to.AddDate(0, 1, 0)}, nil
}

// Hours of the span.
func (s PurchaseSpan) Hours() float64 { return s.End.Sub(s.Start).Hours() }

// Years of the span, 365.25 days each.
func (s PurchaseSpan) Years() float64 { return s.Hours() / (365.25 * 24) }

// Months that the span covers.
func (s PurchaseSpan) Months() int {
	local := s.End
	return (local.Year()-s.Start.Year())*12 + int(local.Month()) - int(s.Start.Month())
}

// Weeks that the span covers, the last perhaps shorter.
func (s PurchaseSpan) Weeks() int { return int((s.End.Sub(s.Start)-1)/week) + 1 }

const week = 7 * 24 * time.Hour

// weekOf tells the week of a moment; moments outside the span belong to the nearest.
func (s PurchaseSpan) weekOf(at time.Time) int {
	return min(max(int(at.Sub(s.Start)/week), 0), s.Weeks()-1)
}

// monthOf tells the month of a moment, from 0; moments outside the span belong to the nearest.
func (s PurchaseSpan) monthOf(at time.Time) int {
	local := at.In(s.Start.Location())
	month := (local.Year()-s.Start.Year())*12 + int(local.Month()) - int(s.Start.Month())
	return min(max(month, 0), s.Months()-1)
}

// tally counts something by week, for intervals, and by month, for a chart.
type tally struct{ weeks, months []float64 }

func (s PurchaseSpan) tally() tally {
	return tally{make([]float64, s.Weeks()), make([]float64, s.Months())}
}

// count adds one at a moment where it holds.
func (t tally) count(s PurchaseSpan, at time.Time, holds bool) {
	if holds {
		t.weeks[s.weekOf(at)]++
		t.months[s.monthOf(at)]++
	}
}

// since is the time from the start of the span, in hours.
func (s PurchaseSpan) since(at time.Time) float64 { return at.Sub(s.Start).Hours() }

// Words are "the 18 months from January 2025 to June 2026".
func (s PurchaseSpan) Words() string {
	if s.First == s.Last {
		return MonthWords(s.First)
	}
	return fmt.Sprintf("the %d months from %s to %s", s.Months(), MonthWords(s.First), MonthWords(s.Last))
}
