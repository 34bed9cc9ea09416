package measures

import (
	"fmt"
	"slices"
	"strings"
)

// Kind says what a measure's value is made of.
type Kind string

// The kinds of measure. Time: the median of one number for each transport. Proportion: members with a property among
// members, in %. Rate: events over exposure. Ratio: the geometric mean of used over planned.
const (
	Time       Kind = "time"
	Proportion Kind = "proportion"
	Rate       Kind = "rate"
	Ratio      Kind = "ratio"
)

// ChartKind says how a measure is followed over time, or that it is drawn in another way.
type ChartKind string

// The kinds of chart. ChartP and ChartU widen to p′ and u′ (Laney) by themselves. ChartPTarget is the p chart of the share
// within the target of a time; ChartExpected and ChartAgreement are no series over months.
const (
	ChartRun       ChartKind = "run"
	ChartP         ChartKind = "p"
	ChartPTarget   ChartKind = "p of target"
	ChartU         ChartKind = "u"
	ChartG         ChartKind = "g"
	ChartT         ChartKind = "t"
	ChartXmR       ChartKind = "XmR"
	ChartExpected  ChartKind = "expected"
	ChartAgreement ChartKind = "agreement"
)

// overTime says that a chart follows months or events, with a centre or limits.
func (k ChartKind) overTime() bool { return k != ChartExpected && k != ChartAgreement }

// Definition is one measure. The text fields from Section to Source are the contract's words.
type Definition struct {
	ID          string      // name in commands and records
	Section     string      // the question it belongs to
	Kind        Kind        // what the value is made of
	Title       string      // heading for readers
	Plain       string      // what it says, in one sentence for readers who do not know the records
	Population  string      // which transports, rows or devices can be counted
	Numerator   string      // what is counted or measured in them
	Denominator string      // what it is held against
	Unit        string      // unit of Row.Value
	Scale       float64     // Row.Value = Scale × numerator / denominator, for proportions and rates
	Counts      string      // what Row.N counts: "transports", "intervals", "rows", …
	Interval    string      // how the 95 % interval is made; "none" where there is none
	Chart       string      // the charts, in words
	Charts      []ChartKind // the same, for programs
	Better      string      // "lower", "higher", or empty where neither is better by itself
	Source      string      // where the definition comes from
}

// Catalogue returns every measure, in the order in which they are reported. The slice is the caller's own.
func Catalogue() []Definition { return slices.Concat(ofPatients, ofKit) }

// Sections returns the sections of the catalogue in order: the questions a report answers.
func Sections() []string {
	var names []string
	for _, d := range Catalogue() {
		if !slices.Contains(names, d.Section) {
			names = append(names, d.Section)
		}
	}
	return names
}

// Find returns the measure of that id, or an error that lists those that are near.
func Find(id string) (Definition, error) {
	for _, d := range Catalogue() {
		if d.ID == id {
			return d, nil
		}
	}
	return Definition{}, fmt.Errorf("measure %q: unknown; expected one of: %s", id, strings.Join(IDs(), ", "))
}

// IDs returns the ids of the catalogue in order.
func IDs() []string {
	var ids []string
	for _, d := range Catalogue() {
		ids = append(ids, d.ID)
	}
	return ids
}

// Formula says how the value is calculated, in words and with its unit.
func (d Definition) Formula() string {
	switch d.Kind {
	case Time:
		return fmt.Sprintf("median over %s of (%s), in %s", d.Counts, strings.TrimSuffix(d.Numerator+" ÷ "+d.Denominator, " ÷ "), d.Unit)
	case Ratio:
		return fmt.Sprintf("geometric mean over %s of (%s ÷ %s)", d.Counts, d.Numerator, d.Denominator)
	default:
		return fmt.Sprintf("%s ÷ %s%s", d.Numerator, d.Denominator, d.times())
	}
}

// times is the factor and unit of a proportion or rate as it stands in a formula.
func (d Definition) times() string {
	switch d.Unit {
	case "%":
		return " × 100, in %"
	case "/h":
		return ", per hour"
	case "/1000 h":
		return " × 1000, per 1000 hours"
	default:
		return fmt.Sprintf(" × %g, per %g %s", d.Scale, d.Scale, d.Counts)
	}
}

// Has says whether the measure is drawn in that way.
func (d Definition) Has(k ChartKind) bool { return slices.Contains(d.Charts, k) }
