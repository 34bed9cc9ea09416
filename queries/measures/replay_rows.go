package measures

import (
	"context"
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"tripwake/queries"
)

// DelaysSource is what a replay of a grid with delays asks of package queries; *queries.Reader is one.
type DelaysSource interface {
	Replay(ctx context.Context, g queries.Grid) ([]queries.ReplayedLimit, error)
	ReplayDelays(ctx context.Context, g queries.Grid, delays []time.Duration) ([]queries.DelayedLimit, error)
}

// ReplayRow is what one limit with one delay would have given, as data. The JSON keys and their order are those of
// `measure --replay --format json`.
type ReplayRow struct {
	Quantity   string   `json:"quantity"`
	Side       string   `json:"side"` // "high" or "low"
	Limit      float64  `json:"limit"`
	Unit       string   `json:"unit"`  // UCUM; volumes per kg
	Delay      float64  `json:"delay"` // s
	Onsets     int      `json:"onsets"`
	Transports int      `json:"transports"` // with an onset
	Population int      `json:"population"` // transports with readings
	Hours      float64  `json:"hours"`      // for which their readings held
	PerHour    *float64 `json:"per_hour"`   // onsets per hour of readings; nil without hours
}

// ReplayUnit is the UCUM unit of a quantity's limits in a replay, false where the quantity cannot be replayed.
func ReplayUnit(quantity string) (string, bool) {
	unit, ok := replayUnits[quantity]
	return unit, ok
}

// ReplayQuantities are the quantities that can be replayed.
func ReplayQuantities() []string { return slices.Sorted(keys(replayUnits)) }

// replayUnits are those of quantities.csv; of volumes per kg of weight.
var replayUnits = map[string]string{
	"pip": "cm[H2O]", "peep": "cm[H2O]", "mean_airway_pressure": "cm[H2O]", "rate": "/min", "expired_tidal_volume": "mL/kg",
	"minute_volume": "L/min/kg", "leak": "%", "fio2": "%", "spo2": "%", "heart_rate": "/min", "etco2": "mm[Hg]", "temperature": "Cel",
	"blood_pressure": "mm[Hg]", "flow": "L/min",
}

// ReplayRows replays every limit of a grid, with every delay: limits in order and delays within each. A delay of 0 alone takes one
// pass for the whole grid.
func ReplayRows(ctx context.Context, from DelaysSource, g queries.Grid, delays []time.Duration) ([]ReplayRow, error) {
	plain, err := from.Replay(ctx, g)
	if err != nil {
		return nil, err
	}
	delayed := map[[2]int]queries.DelayedLimit{}
	asked := slices.DeleteFunc(slices.Clone(delays), func(d time.Duration) bool { return d == 0 })
	if len(asked) > 0 {
		found, err := from.ReplayDelays(ctx, g, asked)
		if err != nil {
			return nil, err
		}
		for i, d := range found {
			delayed[[2]int{i / len(asked), slices.Index(delays, d.Delay)}] = d
		}
	}
	rows := []ReplayRow{}
	for i, p := range plain {
		for j, d := range delays {
			row := ReplayRow{Quantity: g.Quantity, Side: "low", Limit: p.Limit, Unit: replayUnits[g.Quantity], Delay: d.Seconds(), Onsets: p.Onsets,
				Transports: p.Transports, Population: p.Population, Hours: p.Hours}
			if g.High {
				row.Side = "high"
			}
			if d != 0 {
				row.Onsets, row.Transports = delayed[[2]int{i, j}].Onsets, delayed[[2]int{i, j}].Transports
			}
			if p.Hours > 0 {
				row.PerHour = number(float64(row.Onsets) / p.Hours)
			}
			rows = append(rows, row)
		}
	}
	return rows, nil
}

// ReplayCaution stands with every replay that is read by people.
const ReplayCaution = "Evidence for a discussion of defaults on finished transports, no advice: a limit also depends on the patient, and readings are rarer than what a device looks at."

// WriteReplay prints a replay in the format of that name: table, csv or json (one object a line).
func WriteReplay(w io.Writer, format string, rows []ReplayRow) error {
	switch format {
	case "table":
		return replayTable(w, rows)
	case "csv":
		return replayCSV(w, rows)
	case "json":
		return objects(w, rows)
	default:
		return fmt.Errorf("format %q: expected table, csv or json", format)
	}
}

func replayTable(w io.Writer, rows []ReplayRow) error {
	cells := [][]string{{"quantity", "side", "limit", "unit", "delay, s", "onsets", "per hour", "transports", "of", "hours"}}
	for _, r := range rows {
		cells = append(cells, []string{r.Quantity, r.Side, full(&r.Limit), r.Unit, full(&r.Delay), fmt.Sprint(r.Onsets), textOf(r.PerHour, 2), fmt.Sprint(r.Transports),
			fmt.Sprint(r.Population), fixed(r.Hours, 0)})
	}
	return align(w, cells)
}

func replayCSV(w io.Writer, rows []ReplayRow) error {
	records := [][]string{strings.Split("quantity,side,limit,unit,delay,onsets,transports,population,hours,per_hour", ",")}
	for _, r := range rows {
		records = append(records, []string{r.Quantity, r.Side, full(&r.Limit), r.Unit, full(&r.Delay), fmt.Sprint(r.Onsets), fmt.Sprint(r.Transports),
			fmt.Sprint(r.Population), full(&r.Hours), full(r.PerHour)})
	}
	if err := csv.NewWriter(w).WriteAll(records); err != nil {
		return fmt.Errorf("the replay could not be written as csv: %w", err)
	}
	return nil
}
