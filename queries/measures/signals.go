package measures

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"
)

// SignalRow is one signal as data: what the report of a month says of it. The JSON keys and their order are those of
// `measure --signals --format json`. A number that does not exist is nil: null in JSON, empty in CSV.
type SignalRow struct {
	Measure   string   `json:"measure"`
	Chart     string   `json:"chart"`     // the chart that shows it: "run chart", "p′ chart", …
	Rule      string   `json:"rule"`      // one of the rules of package stats
	First     string   `json:"first"`     // month of its first point, "2026-01"
	Last      string   `json:"last"`      // month of its last point
	Direction string   `json:"direction"` // "up", "down", or "none" for few crossings, which lie on both sides
	Verdict   string   `json:"verdict"`   // "better", "worse" or "changed"
	Current   bool     `json:"current"`   // it takes in the month reviewed; else it had ended before
	Value     *float64 `json:"value"`     // its last point, in Unit
	Unit      string   `json:"unit"`
	Centre    *float64 `json:"centre"` // of its last point
	Lower     *float64 `json:"lower"`  // limits there; nil on run charts
	Upper     *float64 `json:"upper"`
	Text      string   `json:"text"` // as the report says it, without the measure's name
}

// SignalRows lists the signals of a review as data: by measure in the order of the catalogue, then by chart; those that
// take in the month first. ids restricts it to some measures; empty: all.
func SignalRows(r Review, ids []string) []SignalRow {
	rows := []SignalRow{}
	for _, item := range r.Items {
		if len(ids) > 0 && !slices.Contains(ids, item.Definition.ID) {
			continue
		}
		for _, s := range item.Series {
			for _, sig := range s.Told(r.Month) {
				rows = append(rows, signalRow(s, sig, r.Month))
			}
		}
	}
	return rows
}

func signalRow(s Series, sig Signal, month string) SignalRow {
	chart, _, _ := strings.Cut(s.Drawn, " (")
	row := SignalRow{Measure: s.Definition.ID, Chart: chart, Rule: sig.Rule, First: sig.Months[0], Last: sig.Months[len(sig.Months)-1],
		Direction: sig.direction(), Verdict: sig.Verdict, Current: sig.current(month), Unit: s.Unit, Text: sig.Words}
	at := s.Points[len(s.Points)-1]
	if sig.Last >= 0 {
		at = s.Points[sig.Last]
	} else { // the stretch since the last event
		at.Value = *s.Running
	}
	row.Value, row.Centre, row.Lower, row.Upper = existing(at.Value), existing(at.Centre), existing(at.Lower), existing(at.Upper)
	return row
}

// existing is nil for a number that does not exist.
func existing(v float64) *float64 {
	if v != v {
		return nil
	}
	return &v
}

// WriteSignals prints signals in the format of that name: table, csv or json (one object a line).
func WriteSignals(w io.Writer, format string, rows []SignalRow) error {
	switch format {
	case "table":
		return signalTable(w, rows)
	case "csv":
		return signalCSV(w, rows)
	case "json":
		return objects(w, rows)
	default:
		return fmt.Errorf("format %q: expected table, csv or json", format)
	}
}

// objects prints one JSON object a line, numbers in full precision.
func objects[T any](w io.Writer, rows []T) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	for _, r := range rows {
		if err := enc.Encode(r); err != nil {
			return fmt.Errorf("answers could not be written as json: %w", err)
		}
	}
	return nil
}

func signalTable(w io.Writer, rows []SignalRow) error {
	cells := [][]string{{"measure", "chart", "months", "verdict", "current", "signal"}}
	for _, r := range rows {
		span, current := r.First, "no"
		if r.Last != r.First {
			span += " to " + r.Last
		}
		if r.Current {
			current = "yes"
		}
		cells = append(cells, []string{r.Measure, r.Chart, span, r.Verdict, current, r.Text})
	}
	return align(w, cells)
}

func signalCSV(w io.Writer, rows []SignalRow) error {
	records := [][]string{{"measure", "chart", "rule", "first", "last", "direction", "verdict", "current", "value", "unit", "centre", "lower", "upper", "text"}}
	for _, r := range rows {
		records = append(records, []string{r.Measure, r.Chart, r.Rule, r.First, r.Last, r.Direction, r.Verdict, fmt.Sprint(r.Current),
			full(r.Value), r.Unit, full(r.Centre), full(r.Lower), full(r.Upper), r.Text})
	}
	if err := csv.NewWriter(w).WriteAll(records); err != nil {
		return fmt.Errorf("signals could not be written as csv: %w", err)
	}
	return nil
}
