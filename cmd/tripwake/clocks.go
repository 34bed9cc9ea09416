package main

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"

	"tripwake/pipeline/store"
	"tripwake/queries"
	"tripwake/queries/measures"
)

// clockLine is a device's clock as it is printed: how many minutes its log runs ahead of its transports (behind where negative),
// over how many of them, how far they lie apart, and the line of a layout that would put it right, empty where nothing is wrong.
type clockLine struct {
	Device     string  `json:"device"`
	Table      string  `json:"table"`
	Transports int     `json:"transports"`
	N          int     `json:"n"`
	Offset     float64 `json:"offset"`
	Spread     float64 `json:"spread"`
	Unit       string  `json:"unit"`
	Suggestion string  `json:"suggestion"`
}

var clockColumns = []string{"device", "table", "transports", "n", "offset", "spread", "unit", "suggestion"}

func clockLines(clocks []queries.DeviceClock) []clockLine {
	lines := []clockLine{}
	for _, c := range clocks {
		lines = append(lines, clockLine{c.Device, c.Table, c.Transports, c.Agreeing, tenth(c.Ahead), tenth(c.Spread), "min", c.Suggestion()})
	}
	return lines
}

func tenth(minutes float64) float64 { return math.Round(minutes*10) / 10 }

func (l clockLine) cells() []string {
	return []string{l.Device, l.Table, strconv.Itoa(l.Transports), strconv.Itoa(l.N), fmt.Sprint(l.Offset), fmt.Sprint(l.Spread), l.Unit, l.Suggestion}
}

// printClocks prints how each device's log runs beside its transports.
func (a *app) printClocks(ctx context.Context, st *store.Store, format string) error {
	reader, err := queries.Open(ctx, st, a.settings.queries)
	if err != nil {
		return err
	}
	clocks, err := reader.DeviceClocks(ctx)
	if err != nil {
		return err
	}
	return writeClocks(a.out, format, clockLines(clocks))
}

func writeClocks(out io.Writer, format string, lines []clockLine) error {
	switch format {
	case "json":
		e := json.NewEncoder(out)
		for _, l := range lines {
			if err := e.Encode(l); err != nil {
				return err
			}
		}
		return nil
	case "csv":
		rows := [][]string{clockColumns}
		for _, l := range lines {
			cells := l.cells()
			cells[0] = measures.Defuse(cells[0])
			rows = append(rows, cells)
		}
		return csv.NewWriter(out).WriteAll(rows)
	}
	w := tabwriter.NewWriter(out, 0, 4, 2, ' ', 0)
	fmt.Fprintln(w, strings.Join(clockColumns, "\t"))
	for _, l := range lines {
		fmt.Fprintln(w, strings.Join(l.cells(), "\t"))
	}
	return w.Flush()
}

// tellClocks says which devices' logs ran beside their transports of late, as a load shows it; nothing is corrected but by a layout.
func (a *app) tellClocks(ctx context.Context, st *store.Store, load int64) error {
	reader, err := queries.Open(ctx, st, a.settings.queries)
	if err != nil {
		return err
	}
	clocks, err := reader.ClocksOfLoad(ctx, load)
	if err != nil {
		return err
	}
	for _, c := range clocks {
		if !c.Wrong() {
			continue
		}
		way := "ahead of"
		if c.Ahead < 0 {
			way = "behind"
		}
		a.say("device %s: its %s run %v min %s its transports (%d of %d, spread %v min); nothing was corrected; in a layout: %s",
			c.Device, c.Table, math.Abs(tenth(c.Ahead)), way, c.Agreeing, c.Transports, tenth(c.Spread), c.Suggestion())
	}
	return nil
}
