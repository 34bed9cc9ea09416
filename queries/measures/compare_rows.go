package measures

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// CompareRow is one number that the research report tells. The JSON keys and their order are those of `measure --compare
// --format json`. A number that does not exist or is withheld is nil: null in JSON, empty in CSV.
type CompareRow struct {
	About    string   `json:"about"`   // "flow", "groups", "patients", "characteristic", "outcome", "effect", "adjusted", "survival" or "sensitivity"
	Subject  string   `json:"subject"` // the step, the column, or the rule left away
	Group    string   `json:"group"`   // empty for all
	Against  string   `json:"against"` // the reference group, for effects
	Name     string   `json:"name"`
	N        *int     `json:"n"`     // transports behind the number
	Value    *float64 `json:"value"` // in Unit
	Unit     string   `json:"unit"`  // UCUM; "1" for counts, ratios and risks from 0 to 1
	Low      *float64 `json:"low"`   // 95 % interval, in Unit
	High     *float64 `json:"high"`
	P        *float64 `json:"p"`
	Method   string   `json:"method"`
	Withheld bool     `json:"withheld"` // the number exists and is not shown, for it is small or would tell a small one
	Note     string   `json:"note"`
}

// CompareRows tells a comparison as rows, in the order of the report.
func CompareRows(c Comparison) []CompareRow {
	r := &compareRows{}
	r.flow(c)
	for _, k := range c.Characteristics {
		r.characteristic(c, k)
	}
	for _, o := range c.Outcomes {
		r.outcome(o)
	}
	r.survival(c.Survival)
	for _, s := range c.Sensitivity {
		r.sensitivity(s)
	}
	return r.rows
}

type compareRows struct{ rows []CompareRow }

func (r *compareRows) add(row CompareRow) { r.rows = append(r.rows, row) }

// count adds a number of transports.
func (r *compareRows) count(at CompareRow, name string, c Count) {
	at.Name, at.Unit, at.Withheld = name, "1", c.Withheld
	if !c.Withheld {
		at.Value = told(float64(c.N))
	}
	r.add(at)
}

// number adds a plain number.
func (r *compareRows) number(at CompareRow, name, unit string, v float64) {
	at.Name, at.Unit, at.Value = name, unit, told(v)
	r.add(at)
}

// estimate adds a number with its interval.
func (r *compareRows) estimate(at CompareRow, name, unit string, e stats.Estimate) {
	at.Name, at.Unit, at.Low, at.Method = name, unit, told(e.Low), e.Method
	if !e.Infinite {
		at.Value = told(e.Value)
	}
	if !e.Open {
		at.High = told(e.High)
	}
	if at.Note == "" {
		at.Note = e.Warning
	}
	r.add(at)
}

// effect adds an effect that was asked for, or why it does not exist.
func (r *compareRows) effect(at CompareRow, name, unit string, e Effect) {
	switch {
	case !e.Told:
	case e.None != "":
		at.Name, at.Unit, at.Note = name, unit, e.None
		r.add(at)
	default:
		r.estimate(at, name, unit, e.Estimate)
	}
}

func (r *compareRows) flow(c Comparison) {
	for _, f := range c.Flow {
		at := CompareRow{About: "flow", Subject: f.Name, Note: f.Words}
		if f.Kind != "read" {
			r.count(at, "set_aside", f.NotMet)
		}
		if f.NotRecorded.N > 0 || f.NotRecorded.Withheld {
			r.count(at, "not_recorded", f.NotRecorded)
		}
		r.count(at, "left", f.Left)
	}
	r.count(CompareRow{About: "groups", Subject: c.Study.Exposure.Column, Note: c.None}, "transports", Count{N: c.N})
	for _, g := range c.Groups {
		r.count(CompareRow{About: "groups", Subject: c.Study.Exposure.Column, Group: g.Name, Note: g.Words}, "transports", g.N)
	}
	r.count(CompareRow{About: "patients"}, "patients", c.Patients.Patients)
	r.count(CompareRow{About: "patients"}, "moved_more_than_once", c.Patients.MovedAgain)
}

func (r *compareRows) characteristic(c Comparison, k Characteristic) {
	at := CompareRow{About: "characteristic", Subject: k.Column.Name}
	for _, l := range k.Levels {
		for g, n := range l.Groups {
			at.Group = c.Groups[g].Name
			r.count(at, l.Name, n)
		}
		at.Group = ""
		r.count(at, l.Name, l.All)
	}
	for g, s := range k.Spreads {
		at.Group = c.Groups[g].Name
		r.spread(at, k.Column.Unit, s)
	}
	for g, d := range k.Balance {
		if d != nil {
			r.number(CompareRow{About: "characteristic", Subject: k.Column.Name, Group: c.Groups[g].Name, Against: c.Groups[c.Reference].Name},
				"standardized_difference", "1", *d)
		}
	}
}

func (r *compareRows) spread(at CompareRow, unit string, s Spread) {
	if !s.Known {
		return
	}
	r.number(at, "first_quartile", unit, s.Q1)
	median := at
	if s.HasInterval {
		median.Low, median.High, median.Method = told(s.Low), told(s.High), "order statistics"
	}
	r.number(median, "median", unit, s.Median)
	r.number(at, "third_quartile", unit, s.Q3)
}

func (r *compareRows) outcome(o StudyOutcome) {
	for _, g := range o.Groups {
		at := CompareRow{About: "outcome", Subject: o.Column.Name, Group: g.Group, Note: o.Withheld}
		r.count(at, "judged", g.Judged)
		r.count(at, "not_recorded", g.Unjudged)
		if !o.Number {
			r.count(at, "events", g.Events)
		}
		if g.Risk != nil {
			at.N = &g.Judged.N
			r.estimate(at, "risk", "1", *g.Risk)
			r.estimate(at, "risk_exact", "1", *g.Exact)
		}
		r.spread(at, o.Column.Unit, g.Spread)
	}
	for _, k := range o.Contrasts {
		r.contrast(CompareRow{About: "effect", Subject: o.Column.Name, Group: k.Group, Against: k.Against}, o.Column.Unit, k)
	}
	for _, m := range o.Models {
		r.model(o.Column.Name, m)
	}
}

func (r *compareRows) contrast(at CompareRow, unit string, k Contrast) {
	r.effect(at, "risk_difference", "1", k.Difference)
	r.effect(at, "risk_ratio", "1", k.Ratio)
	r.effect(at, "odds_ratio", "1", k.Odds)
	r.effect(at, "odds_ratio_conditional", "1", k.OddsExact)
	r.effect(at, "shift", unit, k.Shift)
	r.effect(at, "ratio_of_geometric_means", "1", k.MeanRatio)
	if k.ChiSquare != nil {
		chi := at
		chi.P, chi.Method, chi.Note = &k.ChiSquare.P, k.ChiSquare.Method, k.ChiSquare.Warning
		r.number(chi, "chi_square", "1", k.ChiSquare.Statistic)
	}
	if k.P != nil {
		at.Name, at.Unit, at.P, at.Method = "test", "1", k.P, k.Method
		r.add(at)
	}
}

func (r *compareRows) model(subject string, m StudyModel) {
	at := CompareRow{About: "adjusted", Subject: subject, Method: m.Name, Note: m.None}
	r.count(at, "complete", m.Complete)
	r.count(at, "incomplete", m.Missing)
	r.count(at, "clusters", m.Clusters)
	for _, term := range m.Terms {
		at := CompareRow{About: "adjusted", Subject: subject, Group: term.Name, P: &term.P, Note: m.Warning}
		name := "covariate_" + snakeWords(m.Ratio)
		if term.Group {
			name = "adjusted_" + snakeWords(m.Ratio)
		}
		r.estimate(at, name, "1", term.Ratio)
		r.rows[len(r.rows)-1].Method = m.Name + ", variance over patients"
	}
}

func (r *compareRows) survival(s StudySurvival) {
	for _, g := range s.Groups {
		at := CompareRow{About: "survival", Subject: "time_to_escalation", Group: g.Group, N: &g.N}
		r.number(at, "events", "1", float64(g.Events))
		if g.Median != nil {
			r.number(at, "median", "min", *g.Median)
		}
		for _, p := range g.Steps[1:] {
			step := at
			step.Low, step.High, step.Method, step.Note = p.Low, p.High, "kaplan-meier, log-log", fmt.Sprintf("%d at risk after", p.AtRisk)
			r.number(step, "free_after_"+fixed(p.Minute, 2)+"_min", "1", p.Free)
		}
	}
	at := CompareRow{About: "survival", Subject: "time_to_escalation", Note: s.None}
	if s.LogRank != nil {
		at.P, at.Method, at.Note = &s.LogRank.P, s.LogRank.Method, s.LogRank.Warning
		r.number(at, "log_rank", "1", s.LogRank.Statistic)
	} else if s.None != "" {
		at.Name = "none"
		r.add(at)
	}
}

func (r *compareRows) sensitivity(s SensitivityRun) {
	at := CompareRow{About: "sensitivity", Subject: s.Rule, Note: s.None}
	r.count(at, "added", s.Added)
	for _, o := range s.Outcomes {
		at := CompareRow{About: "sensitivity", Subject: s.Rule, Group: o.Group, Against: o.Against, P: o.P, Note: o.None}
		r.effect(at, o.Title, o.Unit, o.Without)
	}
}

// WriteCompare prints rows of a comparison in the format of that name: table, csv or json (one object a line).
func WriteCompare(w io.Writer, format string, rows []CompareRow) error {
	switch format {
	case "table":
		return compareTable(w, rows)
	case "csv":
		return compareCSV(w, rows)
	case "json":
		return objects(w, rows)
	default:
		return fmt.Errorf("format %q: expected table, csv or json", format)
	}
}

func compareTable(w io.Writer, rows []CompareRow) error {
	cells := [][]string{{"measure", "group", "n", "value", "unit", "95 % interval", "p", "note"}}
	for _, r := range rows {
		interval, group, value, p := "", r.Group, short(r.Value), ""
		if r.Low != nil {
			interval = short(r.Low) + " to " + short(r.High)
		}
		if r.Against != "" {
			group += " against " + r.Against
		}
		if r.Withheld {
			value = withheldMark
		}
		if r.P != nil {
			p = PText(*r.P)
		}
		cells = append(cells, []string{Visible(r.About + " " + r.Subject + " " + r.Name), Visible(group), wholeText(r.N), value, r.Unit, interval, p, Visible(r.Note)})
	}
	return align(w, dropEmpty(cells))
}

func wholeText(n *int) string {
	if n == nil {
		return ""
	}
	return strconv.Itoa(*n)
}

func compareCSV(w io.Writer, rows []CompareRow) error {
	records := [][]string{{"about", "subject", "group", "against", "name", "n", "value", "unit", "low", "high", "p", "method", "withheld", "note"}}
	for _, r := range rows {
		records = append(records, []string{r.About, Defuse(r.Subject), Defuse(r.Group), Defuse(r.Against), Defuse(r.Name), wholeText(r.N), full(r.Value),
			r.Unit, full(r.Low), full(r.High), full(r.P), r.Method, strconv.FormatBool(r.Withheld), Defuse(r.Note)})
	}
	if err := csv.NewWriter(w).WriteAll(records); err != nil {
		return fmt.Errorf("the comparison could not be written as csv: %w", err)
	}
	return nil
}

var _ StudySource = (*queries.Reader)(nil)
