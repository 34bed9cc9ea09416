package measures

import (
	"errors"
	"fmt"
	"time"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// riskBands are the bands of the transport risk index (definitions, Risk), by their highest score.
var riskBands = []struct {
	name    string
	highest int
}{{"0–10", 10}, {"11–20", 20}, {"21–30", 30}, {"31–40", 40}, {"over 40", 65}}

// RiskBands are the names of the bands, from the lowest risk to the highest.
func RiskBands() []string {
	names := make([]string, len(riskBands))
	for i, b := range riskBands {
		names[i] = b.name
	}
	return names
}

// riskBand is the place of a score's band.
func riskBand(score int) int {
	for i, b := range riskBands {
		if score <= b.highest {
			return i
		}
	}
	return len(riskBands) - 1
}

// Expected is deaths within 7 days as observed, by band of risk at the team's arrival, and against what the team's own
// baseline leads to expect (indirect standardization; Lee SK et al. J Pediatr 2001;139:220-226 for the index).
//
// The score taken is that on arrival at the referring hospital: that on arrival at the receiving one holds what the team
// did, which must not excuse itself.
type Expected struct {
	Baseline  Baseline   // months that make the expectation; zero where there is none
	None      string     // why nothing is expected; empty where it is
	From, To  string     // the months looked at: those after the baseline, or all where there is none
	Bands     []Deaths   // one for each of RiskBands, also without transports
	All       Deaths     // of the months looked at
	Month     Deaths     // of the month under report alone
	LeftOut   Exclusions // transports of the months looked at
	LeftOutOf Exclusions // transports of the baseline
}

// Exclusions are transports left out, by reason.
type Exclusions map[string]int

// Deaths are the deaths of one band, or together. Expected and what follows are nil where nothing can be expected: without
// a baseline, or in a band without a baseline transport. Totals hold only bands that have an expectation, if any has.
type Deaths struct {
	Band             string
	N, Observed      int      // transports with score and outcome, and deaths among them
	BaselineN        int      // transports of the baseline
	BaselineDied     int      // deaths among them
	ObservedLow      *float64 // 95 % exact Poisson interval of the deaths observed; nil without a transport
	ObservedHigh     *float64
	Expected         *float64 // deaths that the baseline leads to expect
	Ratio, Low, High *float64 // observed over expected, 95 % exact Poisson; the expectation is taken as known
	Warning          string
}

// riskWeak is the number of deaths below which a baseline is too small to lean on: below ten, a Poisson count has a
// standard error above a third of itself.
const riskWeak = 10

// ExpectedOf holds the deaths of the months after the baseline, up to the month under report, against the baseline.
func ExpectedOf(risks []queries.Risk, base Baseline, first, month string) (Expected, error) {
	e := Expected{From: first, To: month, LeftOut: Exclusions{}, LeftOutOf: Exclusions{}, Bands: make([]Deaths, len(riskBands))}
	for i, b := range riskBands {
		e.Bands[i].Band = b.name
	}
	if err := e.takeBaseline(base, risks); err != nil {
		return e, err
	}
	e.count(risks, month)
	return e, e.compare()
}

// takeBaseline fills the baseline's counts, or says why there is none.
func (e *Expected) takeBaseline(base Baseline, risks []queries.Risk) error {
	switch {
	case base == Baseline{}:
		e.None = "no baseline is set"
		return nil
	case base.To == "":
		return errors.New("baseline of risk: expected a last month, got none")
	case base.To >= e.To:
		e.None = fmt.Sprintf("the baseline ends in %s, not before the month under report", MonthWords(base.To))
		return nil
	}
	deaths := 0
	for _, r := range risks {
		if !base.holds(r.Month) {
			continue
		}
		if reason := unjudged(r); reason != "" {
			e.LeftOutOf[reason]++
			continue
		}
		b := &e.Bands[riskBand(*r.Referring)]
		b.BaselineN++
		if *r.Died {
			b.BaselineDied++
			deaths++
		}
	}
	if deaths == 0 {
		e.None = "no death with a score lies in the baseline"
		return nil
	}
	e.Baseline = base
	if deaths < riskWeak {
		e.All.Warning = fmt.Sprintf("the baseline has only %s: what is expected is itself uncertain", counted(deaths, "deaths"))
	}
	var err error
	e.From, err = monthAfter(base.To)
	return err
}

// unjudged is why a transport cannot be counted; empty where it can.
func unjudged(r queries.Risk) string {
	switch {
	case r.Died == nil:
		return "died_within_7_days not recorded"
	case r.Referring == nil:
		return r.ReferringMissing
	}
	return ""
}

// count puts the transports of the months looked at into their bands.
func (e *Expected) count(risks []queries.Risk, month string) {
	for _, r := range risks {
		if r.Month < e.From || r.Month > e.To {
			continue
		}
		if reason := unjudged(r); reason != "" {
			e.LeftOut[reason]++
			continue
		}
		band := &e.Bands[riskBand(*r.Referring)]
		band.addDeath(*r.Died, 0)
		if e.None == "" && band.BaselineN == 0 {
			e.LeftOut["no baseline transport of risk "+band.Band]++
			continue
		}
		rate := 0.0
		if e.None == "" {
			rate = float64(band.BaselineDied) / float64(band.BaselineN)
		}
		e.All.addDeath(*r.Died, rate)
		if r.Month == month {
			e.Month.addDeath(*r.Died, rate)
		}
	}
}

func (d *Deaths) addDeath(died bool, rate float64) {
	d.N++
	if died {
		d.Observed++
	}
	if d.Expected == nil {
		d.Expected = number(0)
	}
	*d.Expected += rate
}

// compare makes the expectations and ratios.
func (e *Expected) compare() error {
	e.All.Band, e.Month.Band = "all", "this month"
	for i := range e.Bands {
		b := &e.Bands[i]
		e.All.BaselineN, e.All.BaselineDied = e.All.BaselineN+b.BaselineN, e.All.BaselineDied+b.BaselineDied
		b.Expected = nil
		if b.BaselineN > 0 {
			b.Expected = number(float64(b.N) * float64(b.BaselineDied) / float64(b.BaselineN))
		}
	}
	rows := []*Deaths{&e.All, &e.Month}
	for i := range e.Bands {
		rows = append(rows, &e.Bands[i])
	}
	for _, d := range rows {
		if e.None != "" {
			d.Expected = nil
		}
		if err := errors.Join(d.interval(), d.ratio()); err != nil {
			return err
		}
	}
	return nil
}

// interval is that of the deaths observed.
func (d *Deaths) interval() error {
	if d.N == 0 {
		return nil
	}
	found, err := stats.PoissonExact(float64(d.Observed), 1)
	if err != nil {
		return err
	}
	d.ObservedLow, d.ObservedHigh = &found.Low, &found.High
	return nil
}

// ratio is observed over expected; it does not exist where nothing is expected.
func (d *Deaths) ratio() error {
	if d.Expected == nil || *d.Expected <= 0 {
		return nil
	}
	found, err := stats.ObservedExpected(float64(d.Observed), *d.Expected)
	if err != nil {
		return err
	}
	d.Ratio, d.Low = &found.Value, &found.Low
	if !found.Open {
		d.High = &found.High
	}
	return nil
}

// ExpectedText prints an expected number of deaths; empty where there is none.
func (d Deaths) ExpectedText() string {
	if d.Expected == nil {
		return ""
	}
	return fixed(*d.Expected, 1)
}

// RatioText prints observed over expected with its interval; empty where there is none.
func (d Deaths) RatioText() string {
	switch {
	case d.Ratio == nil:
		return ""
	case d.High == nil:
		return fixed(*d.Ratio, 2)
	default:
		return fmt.Sprintf("%s (%s–%s)", fixed(*d.Ratio, 2), fixed(*d.Low, 2), fixed(*d.High, 2))
	}
}

func monthAfter(month string) (string, error) {
	t, err := time.Parse("2006-01", month)
	if err != nil {
		return "", fmt.Errorf("month %q: expected YYYY-MM, such as 2026-03", month)
	}
	return t.AddDate(0, 1, 0).Format("2006-01"), nil
}
