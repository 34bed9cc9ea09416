package measures

import (
	"context"
	"fmt"

	"tripwake/queries"
)

// Review is what a committee reads about one month.
type Review struct {
	Month        string  // the month under report, "2026-03"
	First        string  // the first month that the charts show
	Items        []Item  // every measure of the catalogue, in its order
	Judged       int     // charts to which rules could be applied
	FalseSignals float64 // how many of these to expect with a signal in the month although nothing has changed
}

// Item is one measure in a review.
type Item struct {
	Definition Definition
	Now        Row      // the month under report
	Before     Row      // all months before it, pooled; N is 0 where there are none
	Months     []Row    // every month from the first to the one under report
	Series     []Series // its charts over time
}

// Standing is one signal of a review with the chart it stands on.
type Standing struct {
	Definition Definition
	Series     Series
	Signal     Signal
	Sentence   string // the month's number with its interval, then what is seen
}

// NewReview reads all measures up to a month "YYYY-MM", which may be one without transports.
func NewReview(ctx context.Context, from Source, month string, lim Limits) (Review, error) {
	before, err := MonthBefore(month)
	if err != nil {
		return Review{}, err
	}
	first, _, err := from.Period(ctx)
	if err != nil {
		return Review{}, err
	}
	if first == "" || first > month {
		first = month
	}
	months, err := observe(ctx, from, queries.Request{Measures: IDs(), ByMonth: true, From: first, To: month})
	if err != nil {
		return Review{}, err
	}
	pooled := map[string][]observed{}
	if first <= before {
		if pooled, err = observe(ctx, from, queries.Request{Measures: IDs(), From: first, To: before}); err != nil {
			return Review{}, err
		}
	}
	review := Review{Month: month, First: first}
	for _, d := range Catalogue() {
		item, err := newItem(ctx, from, d, month, months[d.ID], pooled[d.ID], lim)
		if err != nil {
			return Review{}, fmt.Errorf("measure %s: %w", d.ID, err)
		}
		review.add(item)
	}
	return review, nil
}

func (r *Review) add(item Item) {
	r.Items = append(r.Items, item)
	for _, s := range item.Series {
		if s.Judged {
			r.Judged++
			r.FalseSignals += s.FalseAlarm
		}
	}
}

// observe answers a request and sorts the answers by measure, months in order.
func observe(ctx context.Context, from Source, ask queries.Request) (map[string][]observed, error) {
	sums, err := from.Sums(ctx, ask)
	if err != nil {
		return nil, err
	}
	target := from.Settings().MobilizationTarget
	out := map[string][]observed{}
	for _, s := range sums {
		d, err := Find(s.Measure)
		if err != nil {
			return nil, err
		}
		row, err := evaluate(d, s, target)
		if err != nil {
			return nil, fmt.Errorf("measure %s, month %s: %w", s.Measure, s.Month, err)
		}
		out[s.Measure] = append(out[s.Measure], observed{row, s})
	}
	return out, nil
}

func newItem(ctx context.Context, from Source, d Definition, month string, months, pooled []observed, lim Limits) (Item, error) {
	item := Item{Definition: d, Now: emptyRow(d), Before: emptyRow(d)}
	for _, o := range months {
		item.Months = append(item.Months, o.Row)
		if o.Month == month {
			item.Now = o.Row
		}
	}
	if len(pooled) > 0 {
		item.Before = pooled[0].Row
	}
	for _, kind := range d.Charts {
		series, ok, err := seriesOf(ctx, from, d, kind, month, months, lim)
		if err != nil {
			return item, fmt.Errorf("%s chart: %w", kind, err)
		}
		if ok {
			item.Series = append(item.Series, series)
		}
	}
	return item, nil
}

func emptyRow(d Definition) Row { return Row{Measure: d.ID, Unit: d.Unit} }

// seriesOf makes one chart of a measure; false for the kinds that are no series in time.
func seriesOf(ctx context.Context, from Source, d Definition, kind ChartKind, month string, months []observed, lim Limits) (Series, bool, error) {
	switch kind {
	case ChartExpected, ChartAgreement:
		return Series{}, false, nil
	case ChartG, ChartT:
		events, err := from.EventGaps(ctx, d.ID, month)
		if err != nil {
			return Series{}, false, err
		}
		s, err := gapSeries(d, kind, events, lim)
		return s, true, err
	default:
		s, err := monthlySeries(d, kind, months, lim, from.Settings())
		return s, true, err
	}
}

// Standings returns the signals that take in the month under report: those for the worse first, then those of measures
// that have no better side, then those for the better; within each in the order of the catalogue.
func (r Review) Standings() []Standing {
	var found []Standing
	for _, verdict := range []string{"worse", "changed", "better"} {
		for _, item := range r.Items {
			found = append(found, item.standings(r.Month, verdict)...)
		}
	}
	return found
}

func (it Item) standings(month, verdict string) []Standing {
	var found []Standing
	for _, s := range it.Series {
		for _, sig := range s.Telling(month) {
			if sig.Verdict == verdict {
				found = append(found, Standing{it.Definition, s, sig, it.sentence(s, sig)})
			}
		}
	}
	return found
}

// sentence gives the number of the month with its interval and the usual range, then the signal.
func (it Item) sentence(s Series, sig Signal) string {
	d := it.Definition
	value := d.ValueText(it.Now)
	if d.Kind == Time && it.Now.Value != nil {
		value = "median " + value
	}
	seen := sig.Words
	if s.Kind == ChartPTarget {
		seen = "share within the target: " + seen
	}
	month := MonthWords(it.Now.Month)
	if usual := it.usualWords(sig); usual != "" {
		month += ", " + usual
	}
	return fmt.Sprintf("%s: %s in %s; %s.", d.Title, value, month, seen)
}

// Word is how the month stands on the measure's charts: "worse", "better", "changed", "no signal", or why there is no answer:
// "no data" this month, "apart from before" (see Apart), "not charted", or "too few data".
func (it Item) Word(month string) string {
	judged := false
	for _, verdict := range []string{"worse", "changed", "better"} {
		if len(it.standings(month, verdict)) > 0 {
			return verdict
		}
	}
	for _, s := range it.Series {
		judged = judged || s.Judged
	}
	switch {
	case it.Now.Value == nil:
		return "no data"
	case it.Apart() != "":
		return "apart from before"
	case judged:
		return "no signal"
	case len(it.Series) == 0:
		return "not charted"
	default:
		return "too few data"
	}
}

// Apart is "above" or "below" where the month's interval lies wholly on that side of the interval of the months before, else
// empty. Charts of rare events are slow to answer to several events at once; this is not. Independent months of the same
// kind lie so far apart about once in two hundred times (two 95 % intervals of like width that just miss each other are
// 2 × 1.96/√2 = 2.8 standard errors of the difference apart; normal approximation, own derivation).
func (it Item) Apart() string {
	now, before := it.Now, it.Before
	switch {
	case now.Low == nil || now.High == nil || before.Low == nil || before.High == nil || now.N < Few:
		return ""
	case *now.Low > *before.High:
		return "above"
	case *now.High < *before.Low:
		return "below"
	}
	return ""
}

// Apart lists the measures whose month is apart from the months before and has no signal on its charts.
func (r Review) Apart() []Item {
	var found []Item
	for _, item := range r.Items {
		if item.Apart() != "" && !item.signalled(r.Month) {
			found = append(found, item)
		}
	}
	return found
}

func (it Item) signalled(month string) bool {
	for _, s := range it.Series {
		if len(s.Telling(month)) > 0 {
			return true
		}
	}
	return false
}
