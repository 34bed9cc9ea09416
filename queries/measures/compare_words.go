package measures

import (
	"math"
	"strconv"
	"strings"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// ColumnTitle is how a column of the research data set is called on reports.
func ColumnTitle(c queries.ResearchColumn) string {
	if title, ok := columnTitles[c.Name]; ok {
		return title
	}
	if d, err := Find(c.Name); err == nil {
		return d.Title
	}
	return capitalWords(c.Name)
}

// columnTitles are those that neither a measure nor the name itself gives well.
var columnTitles = map[string]string{
	"referring_trips": "TRIPS when the team arrived", "receiving_trips": "TRIPS on arrival", "trips_change": "Change of TRIPS under way",
	"escalations": "Escalated to invasive support", "oxygen_ratio": "Oxygen used against predicted", "gestation": "Gestation at birth",
	"gestation_band": "Gestation at birth, completed weeks", "age_band": "Age", "age_at_call": "Age at the call", "adverse_events": "Adverse events",
	"cooling": "Therapeutic hypothermia", "vehicle": "Vehicle", "weight": "Weight at transport",
}

// capitalWords turns a name of a column into words that begin with a capital.
func capitalWords(name string) string { return Capital(queries.Words(name)) }

// LevelWords is a value of a column as people read it: of codes the words, of names and texts what was recorded.
func LevelWords(c queries.ResearchColumn, level string) string {
	if c.Kind == queries.CodeColumn {
		return queries.Words(level)
	}
	return level
}

// plainUnit is a unit as it stands in a sentence; a number without one has none.
func plainUnit(unit string) string {
	switch unit {
	case "1", "[pH]":
		return ""
	case "{score}":
		return "point"
	case "Cel":
		return "°C"
	case "a":
		return "year"
	}
	return strings.NewReplacer("[", "", "]", "").Replace(unit)
}

// UnitText is the unit of a column as a heading bears it.
func UnitText(c queries.ResearchColumn) string {
	if c.Unit == "{score}" {
		return "points"
	}
	return plainUnit(c.Unit)
}

// withheldMark stands where a count is withheld.
const withheldMark = "∗"

// Text is the count, or the mark of one that is withheld.
func (c Count) Text() string {
	if c.Withheld {
		return withheldMark
	}
	return strconv.Itoa(c.N)
}

// Percent is the count as a share of a group whose size is known, "12 (34 %)"; the share of one that is withheld is too.
// decimals are those of the share.
func (c Count) Percent(of, decimals int) string {
	if c.Withheld || of == 0 {
		return c.Text()
	}
	return c.Text() + " (" + fixed(100*float64(c.N)/float64(of), decimals) + " %)"
}

// ShareDigits are the decimals of shares of a cohort: one where one transport is worth less than half a percent.
func (out Comparison) ShareDigits() int {
	if out.N > 200 {
		return 1
	}
	return 0
}

// alike prints numbers with the same decimals: as many as give the largest three digits that count, none for whole numbers.
func alike(values ...float64) []string {
	largest, whole := 0.0, true
	for _, v := range values {
		largest = math.Max(largest, math.Abs(v))
		whole = whole && v == math.Trunc(v)
	}
	decimals := 0
	if !whole && largest > 0 {
		decimals = min(3, max(0, 2-int(math.Floor(math.Log10(largest)))))
	}
	texts := make([]string, len(values))
	for i, v := range values {
		texts[i] = signed(v, decimals)
	}
	return texts
}

// signed prints a number with a true minus.
func signed(v float64, decimals int) string {
	return strings.Replace(fixed(v, decimals), "-", "−", 1)
}

// Text is the estimate with its interval times scale, "2.02 (1.27–3.23)", or a dash.
func (e Effect) Text(scale float64, decimals int) string {
	if !e.Told || e.None != "" {
		return "–"
	}
	return EstimateText(e.Estimate, scale, decimals)
}

// EstimateText is an estimate with its interval times scale. Below 0 decimals as many are printed as the numbers need.
func EstimateText(e stats.Estimate, scale float64, decimals int) string {
	numbers := []float64{e.Low * scale}
	if !e.Infinite {
		numbers = append(numbers, e.Value*scale)
	}
	if !e.Open {
		numbers = append(numbers, e.High*scale)
	}
	texts := alike(numbers...)
	if decimals >= 0 {
		for i, v := range numbers {
			texts[i] = signed(v, decimals)
		}
	}
	value, high := "no finite value", "no upper limit"
	if !e.Infinite {
		value = texts[1]
	}
	if !e.Open {
		high = texts[len(texts)-1]
	}
	return value + " (" + texts[0] + " to " + high + ")"
}

// PText prints a p-value with the digits that count.
func PText(p float64) string {
	switch {
	case p < 0.0001:
		return "< 0.0001"
	case p < 0.01:
		return fixed(p, 4)
	}
	return fixed(p, 3)
}

// MedianText is "median (quartiles)", or a dash.
func (s Spread) MedianText() string {
	if !s.Known {
		return "–"
	}
	t := alike(s.Median, s.Q1, s.Q3)
	return t[0] + " (" + t[1] + " to " + t[2] + ")"
}

// snakeWords turns words into a name: "risk ratio" into "risk_ratio".
func snakeWords(text string) string { return strings.ReplaceAll(text, " ", "_") }

// BalanceText prints a standardized difference.
func BalanceText(d float64) string { return signed(d, 2) }

// IntervalText is the interval of the median, or a dash.
func (s Spread) IntervalText() string {
	if !s.Known || !s.HasInterval {
		return "–"
	}
	t := alike(s.Low, s.High)
	return t[0] + " to " + t[1]
}

// EventsText is "32 of 187 (17.1 %)", as far as it may be told.
func EventsText(g GroupOutcome) string {
	text := g.Events.Text() + " of " + g.Judged.Text()
	if g.Risk != nil {
		text += " (" + fixed(100*g.Risk.Value, 1) + " %)"
	}
	return text
}

// JudgedIn is how many transports of two groups have an outcome recorded.
func JudgedIn(o StudyOutcome, groups ...string) (n int) {
	for _, g := range o.Groups {
		for _, name := range groups {
			if g.Group == name {
				n += g.Judged.N
			}
		}
	}
	return n
}

// GroupText is a group's ratio in a model whose terms are such ratios; empty in others.
func (m StudyModel) GroupText(group, ratio string) string {
	for _, t := range m.exposed() {
		if m.Ratio == ratio && strings.HasPrefix(t.Name, group+" against ") {
			return EstimateText(t.Ratio, 1, 2)
		}
	}
	return ""
}

// FreePercent is the share without the event, in percent.
func (p SurvivalPoint) FreePercent() float64 { return 100 * p.Free }

// Interval is the interval of FreePercent, which must exist.
func (p SurvivalPoint) Interval() (low, high float64) { return 100 * *p.Low, 100 * *p.High }

// MinuteText prints the minute.
func (p SurvivalPoint) MinuteText() string { return fixed(p.Minute, 0) }

// FreeText is the share in percent with its interval.
func (p SurvivalPoint) FreeText() string {
	text := fixed(100*p.Free, 1)
	if p.Low != nil && p.High != nil {
		text += " (" + fixed(100**p.Low, 1) + " to " + fixed(100**p.High, 1) + ")"
	}
	return text
}

// MedianText prints the median, which must exist, in min.
func (g SurvivalGroup) MedianText() string { return fixed(*g.Median, 0) }

// ZeroText says of a group without an event how many there may be; empty for others.
func (g GroupOutcome) ZeroText() string {
	if g.Exact == nil || g.Events.N > 0 {
		return ""
	}
	return "In the group " + g.Group + " none of " + strconv.Itoa(g.Judged.N) + " had the event: the exact 95 % interval ends at " + fixed(100*g.Exact.High, 2) + " %"
}
