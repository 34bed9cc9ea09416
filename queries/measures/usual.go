package measures

import "fmt"

// Usual is between which values a measure lay, month by month, in the months before: what a reader calls its usual range. It
// is not the interval of the pooled value, which narrows with every month.
type Usual struct {
	Low, High float64
	Months    int    // months with a value, at most usualMonths
	Began     string // empty, or the month before which they lie: that in which a run began
}

// usualMonths is how far a usual range looks back; leastUsual how many months with a value make one. Both are our own.
const (
	usualMonths = 12
	leastUsual  = 3
)

// Usual is the range of the twelve months before the one under report; false where fewer than three of them have a value.
func (it Item) Usual() (Usual, bool) { return it.usualBefore(len(it.Months) - 1) }

// usualBefore is the range of the twelve months before the month of that index.
func (it Item) usualBefore(at int) (Usual, bool) {
	var u Usual
	for i := at - 1; i >= max(0, at-usualMonths); i-- {
		v := it.Months[i].Value
		if v == nil {
			continue
		}
		if u.Months == 0 {
			u.Low, u.High = *v, *v
		}
		u.Low, u.High, u.Months = min(u.Low, *v), max(u.High, *v), u.Months+1
	}
	return u, u.Months >= leastUsual
}

// usualFor is the range to hold a signal against: of the months before it began, where there are enough, for a run belongs
// to what is new; else of those before the month under report.
func (it Item) usualFor(sig Signal) (Usual, bool) {
	for i, row := range it.Months {
		if len(sig.Months) > 1 && row.Month == sig.Months[0] {
			if u, ok := it.usualBefore(i); ok {
				u.Began = row.Month
				return u, true
			}
		}
	}
	return it.Usual()
}

// UsualText prints a range as "96–104" with the digits of the month under report.
func (it Item) UsualText(u Usual) string {
	d, n := it.Definition, max(it.Now.N, 1)
	low, high := d.Text(&u.Low, n), d.Text(&u.High, n)
	if low == high {
		return low
	}
	return low + "–" + high
}

// usualWords is "96–104 min in the 12 months before"; empty where there is no range.
func (it Item) usualWords(sig Signal) string {
	u, ok := it.usualFor(sig)
	if !ok {
		return ""
	}
	text := fmt.Sprintf("%s%s in the %d months before", it.UsualText(u), it.Definition.UnitWords(), u.Months)
	if u.Began != "" {
		text += " " + MonthWords(u.Began)
	}
	return text
}
