package measures

// Row is one measure of one month (or all) and group. The JSON keys and their order are those of `measure --format json`.
// A number that does not exist is nil: null in JSON, empty in CSV.
type Row struct {
	Measure     string   `json:"measure"`
	Month       string   `json:"month"` // "2026-03", or "all" where months are pooled
	By          string   `json:"by"`    // what Group is one of; empty where rows are not grouped
	Group       string   `json:"group"`
	N           int      `json:"n"`           // what Definition.Counts says: transports, intervals, rows, …
	Numerator   *float64 `json:"numerator"`   // raw; nil for times
	Denominator *float64 `json:"denominator"` // raw: members, transports or hours; nil for times
	Value       *float64 `json:"value"`       // in Unit; nil where there is no data
	Unit        string   `json:"unit"`
	Low         *float64 `json:"low"` // 95 % interval, in Unit
	High        *float64 `json:"high"`
	Method      string   `json:"method"` // how the interval was made
	*TimeParts
	Coverage    *float64       `json:"coverage,omitempty"`     // probability that a median's interval reaches, 0 to 1
	PoissonLow  *float64       `json:"poisson_low,omitempty"`  // for comparison beside a clustered interval, in Unit
	PoissonHigh *float64       `json:"poisson_high,omitempty"` //
	LeftOut     map[string]int `json:"left_out,omitempty"`     // members of the population that cannot be judged, by reason
	Warning     string         `json:"warning,omitempty"`
}

// TimeParts are what a row of a time has beside its median. OnTarget is nil where the time has no target.
type TimeParts struct {
	Mean     *float64 `json:"mean"`
	P90      *float64 `json:"p90"`
	OnTarget *float64 `json:"on_target"` // % of intervals at or under the target
}

// Missing is how many members of the population could not be judged.
func (r Row) Missing() int {
	total := 0
	for _, n := range r.LeftOut {
		total += n
	}
	return total
}
