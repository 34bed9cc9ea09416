package measures

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
)

// Baseline is the span of months from which centre and limits are made. Empty ends are open; the zero value is all months.
// With an end they are frozen: months after it are held against them and do not move them.
type Baseline struct{ From, To string }

func (b Baseline) holds(month string) bool {
	return (b.From == "" || month >= b.From) && (b.To == "" || month <= b.To)
}

// Validate refuses months that are none and a span whose end lies before its start.
func (b Baseline) Validate() error {
	if err := errors.Join(checkMonth("from", b.From), checkMonth("to", b.To)); err != nil {
		return err
	}
	if b.From != "" && b.To != "" && b.From > b.To {
		return fmt.Errorf("from %s to %s: expected a first month that is not after the last", b.From, b.To)
	}
	return nil
}

// Words say which months a baseline takes.
func (b Baseline) Words() string {
	switch {
	case b.From == "" && b.To == "":
		return "all months up to the one under report"
	case b.From == "":
		return "the months up to " + MonthWords(b.To)
	case b.To == "":
		return "the months from " + MonthWords(b.From) + " on"
	default:
		return "the months " + MonthWords(b.From) + " to " + MonthWords(b.To)
	}
}

// Restart makes centre and limits anew from a month on, because something was changed on purpose. A chart that has not
// enough months with data after it keeps its earlier limits and says so.
type Restart struct {
	Month   string `json:"month"`           // first month of the new limits, "2026-01"
	Until   string `json:"until,omitempty"` // last month that makes them, frozen from then on; empty: all that follow
	Measure string `json:"measure"`         // id of the measure; "all" for every chart
	Reason  string `json:"reason"`          // stands on the report
}

// AllMeasures is the Restart.Measure that means every chart.
const AllMeasures = "all"

// Validate refuses a restart that no chart can follow; the error names the field, what was expected, and what was given.
func (r Restart) Validate() error {
	if r.Month == "" {
		return errors.New("month: expected a month such as 2026-01, got none")
	}
	if err := errors.Join(checkMonth("month", r.Month), checkMonth("until", r.Until)); err != nil {
		return err
	}
	if r.Until != "" && r.Until < r.Month {
		return fmt.Errorf("until: expected a month that is not before %s, got %s", r.Month, r.Until)
	}
	if strings.TrimSpace(r.Reason) == "" {
		return errors.New("reason: expected a few words on what was changed, got none")
	}
	return r.checkMeasure()
}

func (r Restart) checkMeasure() error {
	if r.Measure == AllMeasures {
		return nil
	}
	d, err := Find(r.Measure)
	if err != nil {
		return fmt.Errorf("measure: expected %s or the id of a measure, got %q; `tripwake measure --help` lists them", AllMeasures, r.Measure)
	}
	if !slices.ContainsFunc(d.Charts, ChartKind.overTime) {
		return fmt.Errorf("measure: expected one that is followed on a chart over time, got %s", d.ID)
	}
	return nil
}

// Limits say how centre and limits of every chart are made.
type Limits struct {
	Baseline Baseline
	Restarts []Restart
}

// Validate refuses what Baseline and Restart refuse, and two restarts of one measure in one month.
func (l Limits) Validate() error {
	if err := l.Baseline.Validate(); err != nil {
		return fmt.Errorf("baseline: %w", err)
	}
	for i, r := range l.Restarts {
		if err := r.Validate(); err != nil {
			return fmt.Errorf("entry %d, %w", i+1, err)
		}
		same := func(o Restart) bool { return o.Month == r.Month && o.Measure == r.Measure }
		if slices.ContainsFunc(l.Restarts[:i], same) {
			return fmt.Errorf("entry %d: expected one entry for %s in %s, got two", i+1, r.Measure, r.Month)
		}
	}
	return nil
}

// of are the restarts of one measure in order of month; in a month that has one for all and one of its own, its own.
func (l Limits) of(measure string) []Restart {
	found := map[string]Restart{}
	for _, r := range l.Restarts {
		_, taken := found[r.Month]
		if r.Measure == measure || r.Measure == AllMeasures && !taken {
			found[r.Month] = r
		}
	}
	var list []Restart
	for _, r := range found {
		list = append(list, r)
	}
	slices.SortFunc(list, func(a, b Restart) int { return cmp.Compare(a.Month, b.Month) })
	return list
}

func checkMonth(field, text string) error {
	if text == "" {
		return nil
	}
	if _, err := time.Parse("2006-01", text); err != nil {
		return fmt.Errorf("%s: expected a month such as 2026-01, got %q", field, text)
	}
	return nil
}

// ChartPhase is a stretch of a chart's points with a centre and limits of its own.
type ChartPhase struct {
	Start, End int      // its points, [Start, End)
	Month      string   // the month that it begins with; empty for the beginning of the chart
	Made       Baseline // the months that its limits are made from
	Reason     string   // why limits were made anew; empty for the first
}

// Frozen is the first of the points of the phase that comes after the months that make its limits, 0 where none does.
func (p ChartPhase) Frozen(points []Point) int {
	for i := p.Start; i < p.End && p.Made.To != ""; i++ {
		if points[i].Month > p.Made.To {
			return i
		}
	}
	return 0
}

// phasesOf cuts the points where limits are made anew. Each phase needs as many points with data as the centre does: with
// fewer after a restart the earlier limits stand, with fewer before it the new ones begin with the chart.
func (s *Series) phasesOf(has []bool, need int, lim Limits) []ChartPhase {
	phases := []ChartPhase{{Start: 0, End: len(has), Made: lim.Baseline}}
	for _, r := range lim.of(s.Definition.ID) {
		last := &phases[len(phases)-1]
		at := slices.IndexFunc(s.Points, func(p Point) bool { return p.Month >= r.Month })
		if at < 0 {
			continue
		}
		next := ChartPhase{Start: at, End: len(has), Month: r.Month, Made: Baseline{From: r.Month, To: r.Until}, Reason: r.Reason}
		switch {
		case filled(has[at:]) < need:
			s.warn(fmt.Sprintf("too few points yet for new limits from %s: the earlier ones stand", MonthWords(r.Month)))
		case filled(has[last.Start:at]) < need:
			next.Start = last.Start
			*last = next
		default:
			last.End = at
			phases = append(phases, next)
		}
	}
	return phases
}

func filled(has []bool) int {
	n := 0
	for _, h := range has {
		if h {
			n++
		}
	}
	return n
}

// LimitsWords say where the limits of a chart come from, one sentence for each phase; none where nothing was set.
func (s Series) LimitsWords() []string {
	var lines []string
	for _, p := range s.Phases {
		switch {
		case p.Reason != "" && p.Made.To != "":
			lines = append(lines, fmt.Sprintf("New limits from %s: %s. Made from %s, frozen since.", MonthWords(p.Month), p.Reason, p.Made.Words()))
		case p.Reason != "":
			lines = append(lines, fmt.Sprintf("New limits from %s: %s.", MonthWords(p.Month), p.Reason))
		case p.Made.To != "":
			lines = append(lines, fmt.Sprintf("Limits made from %s, frozen since.", p.Made.Words()))
		case p.Made.From != "":
			lines = append(lines, fmt.Sprintf("Limits made from %s.", p.Made.Words()))
		}
	}
	return lines
}
