package measures

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"strconv"

	"tripwake/queries"
)

// SupplyRow is one number that the committee report tells about gas and power beyond the catalogue of measures. The JSON keys
// and their order are those of `measure --supplies --format json`. A number that does not exist is nil: null in JSON, empty
// in CSV.
type SupplyRow struct {
	Supply    string   `json:"supply"` // "oxygen", "air", "nitric_oxide" or "battery"
	About     string   `json:"about"`  // "bridge", "use", "leak", "agreement", "calibration", …
	Month     string   `json:"month"`  // "2026-03", or "all" for the months asked together
	By        string   `json:"by"`     // what Group is one of: "device", "cylinder", "transport", …; empty where rows are not grouped
	Group     string   `json:"group"`
	N         int      `json:"n"` // transports behind the number
	Name      string   `json:"name"`
	Value     *float64 `json:"value"` // in Unit
	Unit      string   `json:"unit"`  // UCUM; "1" for counts and ratios
	Low       *float64 `json:"low"`   // 95 % interval, in Unit
	High      *float64 `json:"high"`
	StandsOut bool     `json:"stands_out"` // the report marks it: a leak, a worn battery, a signal, a transport over its limit
}

// SupplySource is what supply rows need of package queries; *queries.Reader is one.
type SupplySource interface {
	Settings() queries.Settings
	Period(ctx context.Context) (first, last string, err error)
	Months(ctx context.Context, from, to string) ([]string, error)
	OxygenPlan(ctx context.Context, from, to string) ([]queries.GasPlan, error)
	AirPlan(ctx context.Context, from, to string) ([]queries.GasPlan, error)
	GasGroups(ctx context.Context, gas, from, to string) ([]queries.GasGroup, error)
	GasReserves(ctx context.Context, gas, from, to string) ([]queries.GasReserve, error)
	GasMargins(ctx context.Context, gas, from, to string) ([]queries.GasMargin, error)
	GasDoubts(ctx context.Context) ([]queries.GasDoubt, error)
	BatteryGroups(ctx context.Context, from, to string) ([]queries.BatteryGroup, error)
	BatteryShares(ctx context.Context, from, to string) ([]queries.BatteryShare, error)
	BatterySlopes(ctx context.Context, from, to string) ([]queries.BatterySlope, error)
}

// supplyRows gathers rows over a span of months.
type supplyRows struct {
	from        SupplySource
	first, last string
	name        func(transportID string) string
	rows        []SupplyRow
}

// SupplyRows tells of gas and power what the committee report tells of them, from the first to the last month asked, "2026-03";
// empty: the first or last that has a transport. A store without transports has no rows. name is how a transport is called.
func SupplyRows(ctx context.Context, from SupplySource, first, last string, name func(transportID string) string) ([]SupplyRow, error) {
	earliest, latest, err := from.Period(ctx)
	if err != nil || earliest == "" {
		return []SupplyRow{}, err
	}
	s := &supplyRows{from: from, first: first, last: last, name: name, rows: []SupplyRow{}}
	if s.first == "" {
		s.first = earliest
	}
	if s.last == "" {
		s.last = latest
	}
	if s.first > s.last { // an open end before the records, or after them
		return s.rows, nil
	}
	for _, read := range []func(context.Context) error{s.gases, s.nitric, s.doubts, s.batteries, s.overdrawn, s.fades} {
		if err := read(ctx); err != nil {
			return nil, err
		}
	}
	return s.rows, nil
}

func (s *supplyRows) add(rows ...SupplyRow) { s.rows = append(s.rows, rows...) }

// of puts a number without an interval at a place: a row whose supply, about, month, by, group and n are filled.
func (r SupplyRow) of(name, unit string, value float64) SupplyRow {
	r.Name, r.Unit, r.Value = name, unit, told(value)
	if r.Month == "" {
		r.Month = "all"
	}
	return r
}

// within puts a number with its 95 % interval at a place. A single transport has no interval, nor has a number that does not
// exist.
func (r SupplyRow) within(name, unit string, l Limit) SupplyRow {
	r = r.of(name, unit, l.Value)
	if r.N > 1 && r.Value != nil {
		r.Low, r.High = told(l.Low), told(l.High)
	}
	return r
}

// marked says that the report marks the row.
func (r SupplyRow) marked(yes bool) SupplyRow {
	r.StandsOut = yes
	return r
}

// told is nil for a number that does not exist or has no end, such as an open upper limit.
func told(v float64) *float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return nil
	}
	return &v
}

// WriteSupplies prints supply rows in the format of that name: table, csv or json (one object a line).
func WriteSupplies(w io.Writer, format string, rows []SupplyRow) error {
	switch format {
	case "table":
		return supplyTable(w, rows)
	case "csv":
		return supplyCSV(w, rows)
	case "json":
		return objects(w, rows)
	default:
		return fmt.Errorf("format %q: expected table, csv or json", format)
	}
}

func supplyTable(w io.Writer, rows []SupplyRow) error {
	cells := [][]string{{"month", "measure", "group", "n", "value", "unit", "95 % interval", "note"}}
	for _, r := range rows {
		interval, note := "", ""
		if r.Low != nil {
			interval = short(r.Low) + " to " + short(r.High)
			if r.High == nil {
				interval = "from " + short(r.Low)
			}
		}
		if r.StandsOut {
			note = "stands out"
		}
		cells = append(cells, []string{r.Month, Visible(r.Supply + " " + r.About + " " + r.Name), Visible(r.Group), strconv.Itoa(r.N), short(r.Value), r.Unit, interval, note})
	}
	return align(w, dropEmpty(cells))
}

// short prints a number for people: four digits that count.
func short(v *float64) string {
	if v == nil {
		return ""
	}
	return strconv.FormatFloat(roundTo(*v, 4), 'f', -1, 64)
}

// roundTo keeps so many digits of a number that count.
func roundTo(v float64, digits int) float64 {
	rounded, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64)
	if err != nil {
		return v
	}
	return rounded
}

func supplyCSV(w io.Writer, rows []SupplyRow) error {
	records := [][]string{{"supply", "about", "month", "by", "group", "n", "name", "value", "unit", "low", "high", "stands_out"}}
	for _, r := range rows {
		records = append(records, []string{Defuse(r.Supply), r.About, r.Month, r.By, Defuse(r.Group), strconv.Itoa(r.N), r.Name, full(r.Value), r.Unit,
			full(r.Low), full(r.High), strconv.FormatBool(r.StandsOut)})
	}
	if err := csv.NewWriter(w).WriteAll(records); err != nil {
		return fmt.Errorf("gas and power could not be written as csv: %w", err)
	}
	return nil
}
