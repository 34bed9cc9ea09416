package measures

import (
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"
)

// PurchaseRow is one number of a purchase. Candidate is empty for the need as it was; kind and team say whose, or the device.
type PurchaseRow struct {
	Candidate string   `json:"candidate"`
	Kind      string   `json:"kind"`
	Team      string   `json:"team"`
	Group     string   `json:"group"` // a device, a number of units, an assumption; empty where there is one number only
	N         int      `json:"n"`     // requests or transports replayed; devices where these are told of
	Name      string   `json:"name"`
	Value     *float64 `json:"value"` // null where there is none
	Unit      string   `json:"unit"`
	Low       *float64 `json:"low"`
	High      *float64 `json:"high"`
	Method    string   `json:"method"`
	Note      string   `json:"note,omitempty"`
}

const (
	byBootstrap = "bootstrap over weeks"
	byErlang    = "Erlang B"
	byBinomial  = "binomial"
)

// PurchaseRows are the numbers of a purchase, one a row, in the order of the report: the need, then each candidate.
func PurchaseRows(p Purchase) []PurchaseRow {
	out := purchaseRows{currency: p.Currency}
	for _, n := range p.Needs {
		out.need(PurchaseRow{Kind: n.Kind, Team: n.Team, N: n.Requests}, n)
	}
	for _, r := range p.Reliability {
		out.reliability(r)
	}
	for _, s := range p.Supplies {
		if s.Transports > 0 {
			at := PurchaseRow{Kind: s.What, N: s.Transports}
			out.limit(at, "shortfalls", "1", s.Was, byBootstrap)
			out.limit(at, "shortfall_share", "%", s.WasShare, byBootstrap)
		}
	}
	for _, f := range p.Failures {
		out.add(PurchaseRow{Kind: f.Kind, Team: f.Team, Group: f.Device}, "failures_under_way", "1", float64(f.N))
	}
	for _, a := range p.Answers {
		out.answer(a)
	}
	return out.rows
}

type purchaseRows struct {
	currency string
	rows     []PurchaseRow
}

func (o *purchaseRows) add(at PurchaseRow, name, unit string, value float64) {
	at.Name, at.Unit, at.Value = name, unit, told(value)
	o.rows = append(o.rows, at)
}

func (o *purchaseRows) limit(at PurchaseRow, name, unit string, l Limit, method string) {
	at.Name, at.Unit, at.Value, at.Low, at.High, at.Method = name, unit, told(l.Value), told(l.Low), told(l.High), method
	o.rows = append(o.rows, at)
}

func (o *purchaseRows) need(at PurchaseRow, n FleetNeed) {
	o.add(at, "units", "1", float64(n.Units))
	o.add(at, "requests", "1", float64(n.Requests))
	o.add(at, "declined_no_equipment", "1", float64(n.TurnedAway))
	o.add(at, "delayed_no_equipment", "1", float64(n.Delayed))
	o.add(at, "median_hold", "h", n.MedianHold)
	o.add(at, "mean_hold", "h", n.MeanHold)
	o.add(at, "load", "1", n.Load)
	for level, hours := range n.Levels {
		at.Group = strconv.Itoa(level)
		o.add(at, "time_at_level", "h", hours)
	}
	for _, r := range n.Replays {
		at.Group = strconv.Itoa(r.Units)
		o.limit(at, "none_free", "1", r.Lost, byBootstrap)
		o.limit(at, "none_free_as_it_was", "1", r.AsItWas, byBootstrap)
		at.Method = byErlang
		o.add(at, "none_free_model", "1", r.Erlang)
		at.Method = ""
	}
}

func (o *purchaseRows) reliability(r Reliability) {
	at := PurchaseRow{Kind: r.Kind, Team: r.Team, Group: r.Name, N: r.Devices}
	if r.Name == r.Kind {
		at.Group = ""
	}
	o.add(at, "downtime", "h", r.Out)
	o.add(at, "failures", "1", float64(r.Failures))
	o.limit(at, "failure_rate", "/1000 h", r.Rate, "poisson exact")
	o.limit(at, "time_between_failures", "h", r.Between, "chi-square, time truncated")
	o.add(at, "time_to_repair", "h", r.Repair)
	o.add(at, "availability", "1", r.Availability)
	o.add(at, "recorded_availability", "1", r.Recorded)
}

func (o *purchaseRows) answer(a Answer) {
	c := a.Candidate
	at := PurchaseRow{Candidate: c.Name, Kind: c.Kind, Team: c.Team}
	switch {
	case a.Fleet != nil:
		at.N = a.Fleet.Requests
	case a.Supply != nil:
		at.N = a.Supply.Transports
	}
	if a.Replayed() {
		o.limit(at, "shortfalls", "1", a.Before, byBootstrap)
		o.limit(at, "shortfalls_with", "1", a.With, byBootstrap)
		o.limit(at, "avoided", "1", a.Avoided, byBootstrap)
		o.rows[len(o.rows)-1].Note = a.Verdict
		for _, m := range a.Months {
			at.Group = m.Month
			o.add(at, "shortfalls_of_month", "1", float64(m.Before))
			o.add(at, "shortfalls_of_month_with", "1", float64(m.With))
		}
		at.Group = ""
		o.detail(at, a)
	}
	o.add(at, "cost_per_year", o.currency, a.Cost.PerYear)
	o.limit(at, "avoided_per_year", "/a", a.Cost.Avoided, byBootstrap)
	o.limit(at, "cost_per_avoided", o.currency, a.Cost.PerAvoided, byBootstrap)
	for _, s := range a.Cost.Lines {
		at.Group = s.What + " " + s.Lower
		o.add(at, "cost_per_avoided", o.currency, s.AtLower)
		at.Group = s.What + " " + s.Higher
		o.add(at, "cost_per_avoided", o.currency, s.AtHigher)
	}
}

// detail tells what only devices, or only supplies, have.
func (o *purchaseRows) detail(at PurchaseRow, a Answer) {
	if a.Supply != nil {
		o.limit(at, "shortfall_share", "%", a.Supply.WasShare, byBootstrap)
		o.limit(at, "shortfall_share_with", "%", a.Supply.WouldShare, byBootstrap)
		return
	}
	o.need(at, *a.Fleet)
	o.limit(at, "avoided_all_there", "1", a.Plain, byBootstrap)
	if now, _, ok := a.Replays(); ok {
		o.add(at, "lent", "1", float64(now.Lent))
	}
	at.Method = byErlang
	o.add(at, "avoided_model", "1", a.ErlangAvoided)
	at.Method = byBinomial
	for _, r := range a.Up.Rows {
		at.Group = strconv.Itoa(r.Need)
		o.add(at, "at_least_up", "1", r.Now)
		o.add(at, "at_least_up_with", "1", r.With)
		smallest := float64(r.Smallest)
		if r.Smallest == 0 {
			smallest = math.NaN()
		}
		o.add(at, "smallest_fleet", "1", smallest)
	}
}

// WritePurchase prints the rows of a purchase in the format of that name: table, csv or json (one object a line).
func WritePurchase(w io.Writer, format string, rows []PurchaseRow) error {
	switch format {
	case "table":
		return purchaseTable(w, rows)
	case "csv":
		return purchaseCSV(w, rows)
	case "json":
		return objects(w, rows)
	default:
		return fmt.Errorf("format %q: expected table, csv or json", format)
	}
}

func purchaseTable(w io.Writer, rows []PurchaseRow) error {
	cells := [][]string{{"measure", "group", "n", "value", "unit", "95 % interval", "note"}}
	for _, r := range rows {
		about := r.Candidate
		if about == "" {
			about = joinedWords(r.Kind, r.Team)
		}
		interval := ""
		if r.Low != nil {
			interval = short(r.Low) + " to " + short(r.High)
			if r.High == nil {
				interval = "from " + short(r.Low)
			}
		}
		cells = append(cells, []string{Visible(about) + ": " + r.Name, Visible(r.Group), strconv.Itoa(r.N), short(r.Value), Visible(r.Unit), interval, Visible(r.Note)})
	}
	return align(w, dropEmpty(cells))
}

func joinedWords(kind, team string) string {
	if team == "" {
		return kind
	}
	return kind + " of " + team
}

func purchaseCSV(w io.Writer, rows []PurchaseRow) error {
	records := [][]string{{"candidate", "kind", "team", "group", "n", "name", "value", "unit", "low", "high", "method", "note"}}
	for _, r := range rows {
		records = append(records, []string{Defuse(r.Candidate), r.Kind, Defuse(r.Team), Defuse(r.Group), strconv.Itoa(r.N), r.Name, full(r.Value), Defuse(r.Unit),
			full(r.Low), full(r.High), r.Method, Defuse(r.Note)})
	}
	if err := csv.NewWriter(w).WriteAll(records); err != nil {
		return fmt.Errorf("purchase could not be written as csv: %w", err)
	}
	return nil
}
