package measures

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"tripwake/queries"
)

// shelf is a source with fixed answers: of oxygen and batteries; air and nitric oxide have none.
type shelf struct {
	first, last string
	asked       []string // the months that were asked
	plans       []queries.GasPlan
	groups      []queries.GasGroup
	reserves    []queries.GasReserve
	margins     []queries.GasMargin
	doubts      []queries.GasDoubt
	batteries   []queries.BatteryGroup
	shares      []queries.BatteryShare
	slopes      []queries.BatterySlope
	fail        error // of the last question
}

func only[T any](gas string, all []T) ([]T, error) {
	if gas != "oxygen" {
		return nil, nil
	}
	return all, nil
}

func (s *shelf) Settings() queries.Settings                             { return queries.Defaults() }
func (s *shelf) Period(context.Context) (first, last string, err error) { return s.first, s.last, nil }
func (s *shelf) Months(_ context.Context, from, to string) ([]string, error) {
	return []string{"2026-01", "2026-02"}, nil
}
func (s *shelf) OxygenPlan(_ context.Context, from, to string) ([]queries.GasPlan, error) {
	s.asked = append(s.asked, from+" "+to)
	return s.plans, nil
}
func (s *shelf) AirPlan(context.Context, string, string) ([]queries.GasPlan, error) { return nil, nil }
func (s *shelf) GasGroups(_ context.Context, gas, _, _ string) ([]queries.GasGroup, error) {
	return only(gas, s.groups)
}
func (s *shelf) GasReserves(_ context.Context, gas, _, _ string) ([]queries.GasReserve, error) {
	return only(gas, s.reserves)
}
func (s *shelf) GasMargins(_ context.Context, gas, _, _ string) ([]queries.GasMargin, error) {
	return only(gas, s.margins)
}
func (s *shelf) GasDoubts(context.Context) ([]queries.GasDoubt, error) { return s.doubts, nil }
func (s *shelf) BatteryGroups(context.Context, string, string) ([]queries.BatteryGroup, error) {
	return s.batteries, nil
}
func (s *shelf) BatteryShares(context.Context, string, string) ([]queries.BatteryShare, error) {
	return s.shares, nil
}
func (s *shelf) BatterySlopes(context.Context, string, string) ([]queries.BatterySlope, error) {
	return s.slopes, s.fail
}

func lower(id string) string { return "hidden " + strings.ToLower(id) }

func rowsOf(t *testing.T, s *shelf) []SupplyRow {
	t.Helper()
	if s.first == "" {
		s.first, s.last = "2026-01", "2026-02"
	}
	rows, err := SupplyRows(t.Context(), s, "", "", lower)
	if err != nil {
		t.Fatal(err)
	}
	return rows
}

// supplyRow finds the one row of a place: "about|month|group|name".
func supplyRow(t *testing.T, rows []SupplyRow, place string) SupplyRow {
	t.Helper()
	var found []SupplyRow
	for _, r := range rows {
		if strings.Join([]string{r.About, r.Month, r.Group, r.Name}, "|") == place {
			found = append(found, r)
		}
	}
	if len(found) != 1 {
		t.Fatalf("%s: got %d rows, want one", place, len(found))
	}
	return found[0]
}

// holdRow compares a row; math.NaN() stands for a number that does not exist.
func holdRow(t *testing.T, rows []SupplyRow, place, unit string, n int, value, low, high float64, stands bool) {
	t.Helper()
	r := supplyRow(t, rows, place)
	same := func(got *float64, want float64) bool {
		if got == nil || math.IsNaN(want) {
			return got == nil && math.IsNaN(want)
		}
		return math.Abs(*got-want) < 1e-4*math.Max(1, math.Abs(want))
	}
	if r.Unit != unit || r.N != n || r.StandsOut != stands || !same(r.Value, value) || !same(r.Low, low) || !same(r.High, high) {
		text, _ := json.Marshal(r)
		t.Errorf("%s: got %s, want n %d, %v %s (%v to %v), stands out %v", place, text, n, value, unit, low, high, stands)
	}
}

// The rows of leaks are those that LeaksOf names, as the report does; V4 alone has no interval, "not recorded" never stands out.
// 40 transports of ±10 L in 100 min: t(39) 2.0227 × 0.016013 L/min (tables; see TestLeaksOf).
func TestSupplyRowsOfLeaks(t *testing.T) {
	none := math.NaN()
	rows := rowsOf(t, &shelf{groups: []queries.GasGroup{
		leakGroup(queries.GasByDevice, "", "V1", 40, 0.1, 10, 5), leakGroup(queries.GasByDevice, "", "V2", 40, 0.12, 10, 5),
		leakGroup(queries.GasByDevice, "", "V3", 40, 1.1, 10, 5), leakGroup(queries.GasByDevice, "", "V4", 1, 9, 1, 1),
		leakGroup(queries.GasByDeviceMonth, "2026-01", "V2", 6, 0.9, 5, 5), leakGroup(queries.GasByCylinder, "", "E-1", 6, 1.5, 5, 5),
		leakGroup(queries.GasByCylinder, "", queries.NotRecorded, 6, 1.5, 5, 5),
	}})
	half := 2.0227 * 0.016013
	holdRow(t, rows, "leak|all|V3|unexplained_rate", "L/min", 40, 1.1, 1.1-half, 1.1+half, true)
	holdRow(t, rows, "leak|all|V2|unexplained_rate", "L/min", 40, 0.12, 0.12-half, 0.12+half, false)
	holdRow(t, rows, "leak|all|V4|unexplained_rate", "L/min", 1, 9.01, none, none, false)
	holdRow(t, rows, "leak|all||usual_level", "L/min", 121, 0.12, none, none, false)
	for place, stands := range map[string]bool{"2026-01|V2": true, "all|E-1": true, "all|" + queries.NotRecorded: false} {
		if r := supplyRow(t, rows, "leak|"+place+"|unexplained_rate"); r.StandsOut != stands {
			t.Errorf("%s: stands out %v, want %v", place, r.StandsOut, stands)
		}
	}
}

// B used nothing by the gauges, so it stands in the bridge and not in the agreement; C has no bridge.
func TestSupplyRowsOfPlans(t *testing.T) {
	none := math.NaN()
	rows := rowsOf(t, &shelf{
		plans: []queries.GasPlan{
			{TransportID: "A", Month: "2026-01", Planned: 200, Used: 140, GaugeError: 5, Bridge: &queries.GasBridge{Hindsight: 100, DurationEffect: -20, SettingsEffect: -80, Unexplained: 40}},
			{TransportID: "B", Month: "2026-02", Planned: 100, Used: 0, GaugeError: 5, Bridge: &queries.GasBridge{Hindsight: 50, DurationEffect: 0, SettingsEffect: -50, Unexplained: -50}},
			{TransportID: "C", Month: "2026-02", Planned: 300, Used: 330},
		},
		margins: []queries.GasMargin{{Vehicle: "ground", Class: "cpap", PerMinute: []float64{1, 2, 3}, OfPlan: []float64{0.5, 1, 1.5}}},
		doubts:  []queries.GasDoubt{{Gas: "oxygen", Reason: "size not known", Cylinders: 3, Transports: 2}},
	})
	holdRow(t, rows, "bridge|all||planned", "L", 2, 150, none, none, false)
	holdRow(t, rows, "bridge|all||used", "L", 2, 70, none, none, false)
	holdRow(t, rows, "bridge|all||unexplained", "L", 2, -5, none, none, false)
	// Used less planned: −60 and 30 L, mean −15; t(1) 12.706 × 63.64/√2 = 571.8 (tables).
	holdRow(t, rows, "agreement|all|planned|mean_difference", "L", 2, -15, -15-571.779, -15+571.779, false)
	holdRow(t, rows, "agreement|all|planned|left_out", "1", 2, 1, none, none, false)
	holdRow(t, rows, "agreement|all|asked_for|left_out", "1", 1, 2, none, none, false)
	holdRow(t, rows, "used_over_asked_for|2026-01||ratio", "1", 1, 1.4, none, none, false)
	holdRow(t, rows, "used_over_asked_for|2026-01||centre", "1", 1, none, none, none, false)
	holdRow(t, rows, "margin|all|ground,cpap|per_planned_hour", "L/h", 3, 178.8, 120, none, false)
	holdRow(t, rows, "doubt|all|size not known|cylinder_rows", "1", 2, 3, none, none, false)
}

func TestSupplyRowsOfReserves(t *testing.T) {
	none := math.NaN()
	rows := rowsOf(t, &shelf{reserves: []queries.GasReserve{
		{TransportID: "A", Month: "2026-02", Minutes: 10, Left: 20, LastFlow: 2, Demanded: true, Short: true},
		{TransportID: "B", Month: "2026-01", Minutes: 50, Demanded: true}, {TransportID: "C", Month: "2026-01"}}})
	holdRow(t, rows, "reserve|all||below_reserve", "1", 3, 1, none, none, false)
	holdRow(t, rows, "reserve|all||without_demand", "1", 3, 1, none, none, false)
	holdRow(t, rows, "reserve|all||median_left", "min", 2, 30, none, none, false)
	holdRow(t, rows, "reserve|2026-01||median_left", "min", 1, 50, none, none, false)
	holdRow(t, rows, "reserve|2026-02|hidden a|minutes_left", "min", 1, 10, none, none, true)
	holdRow(t, rows, "reserve|2026-02|hidden a|last_demand", "L/min", 1, 2, none, none, false)
}

// 2 alarms in 4 hours: 50 in 100 h, exact Poisson 6.06 to 180.6 (Garwood, published tables).
func TestSupplyRowsOfBatteries(t *testing.T) {
	none := math.NaN()
	rows := rowsOf(t, &shelf{
		batteries: []queries.BatteryGroup{
			{Kind: queries.GasByDevice, Name: "V", Transports: 5, Lit: 180, Dim: 60, LowAlarms: 2, Rated: 4, Overdrawn: 1, MedianShare: 0.25, HighestShare: 0.9},
			{Kind: queries.GasByDevice, Name: "idle", Transports: 1}, {Kind: queries.GasByDevice, Name: "nobody"}},
		shares: []queries.BatteryShare{{TransportID: "A", Month: "2026-01", Lit: 200, Share: 0.9, Overdrawn: true}, {TransportID: "B", Month: "2026-01", Share: 0.2}},
		slopes: []queries.BatterySlope{slope("V", "2026-01", 240, 4, 40), slope("W", "2026-01", 0, 1, 0), {Device: "X", Month: "2026-01", MinutesEach: []float64{5, 5}, LostEach: []float64{0, 0}}},
	})
	holdRow(t, rows, "use|all|V|hours", "h", 5, 4, none, none, false)
	holdRow(t, rows, "use|all|V|dimmed_share", "%", 5, 25, none, none, false)
	holdRow(t, rows, "use|all|V|low_battery_alarms", "/(100.h)", 5, 50, 6.0552, 180.617, false)
	holdRow(t, rows, "use|all|V|highest_share_of_endurance", "%", 4, 90, none, none, false)
	holdRow(t, rows, "use|all|idle|hours", "h", 1, 0, none, none, false)
	holdRow(t, rows, "overdrawn|2026-01|hidden a|share_of_endurance", "%", 1, 90, none, none, true)
	if r := supplyRow(t, rows, "endurance|all|V|last_three_months"); !r.StandsOut || r.N != 4 || *r.Value != 150 || !(*r.Low < 150 && *r.High > 150) {
		t.Errorf("V: got %+v, want 150 min within an interval, standing out from 240", r)
	}
	holdRow(t, rows, "endurance|all|X|last_three_months", "min", 2, none, none, none, false)
	for _, r := range rows {
		if r.Group == "nobody" || r.Group == "hidden b" || (r.Group == "idle" && (r.Name != "hours")) || (r.Group != "V" && r.Name == "rated") {
			t.Errorf("got %+v, of which nothing is known", r)
		}
	}
}

// Open ends are the months of the records, so that a row without flags says what the report of the last month says.
func TestSupplyRowsOfMonths(t *testing.T) {
	s := &shelf{first: "2025-11", last: "2026-02"}
	for _, span := range [][3]string{{"", "", "2025-11 2026-02"}, {"2026-01", "", "2026-01 2026-02"}, {"", "2026-01", "2025-11 2026-01"}, {"2026-05", "", ""}} {
		s.asked = nil
		if rows, err := SupplyRows(t.Context(), s, span[0], span[1], lower); err != nil || strings.Join(s.asked, ", ") != span[2] || len(rows) != 0 {
			t.Errorf("%q: asked %q, got %v, %v", span, s.asked, rows, err)
		}
	}
	if rows, err := SupplyRows(t.Context(), &shelf{}, "", "", lower); err != nil || rows == nil || len(rows) != 0 {
		t.Errorf("empty store: got %v, %v, want an empty list", rows, err)
	}
	s.fail = errors.New("the engine is gone")
	if _, err := SupplyRows(t.Context(), s, "", "", lower); !errors.Is(err, s.fail) {
		t.Errorf("got %v, want the error of the source", err)
	}
}

func TestWriteSupplies(t *testing.T) {
	at := SupplyRow{Supply: "oxygen", About: "leak", By: "device", Group: "=V1", N: 3}
	rows := []SupplyRow{at.within("unexplained_rate", "L/min", Limit{1.23456, 1, math.Inf(1)}).marked(true), at.of("ratio", "1", math.NaN())}
	var out bytes.Buffer
	if err := WriteSupplies(&out, "csv", rows); err != nil {
		t.Fatal(err)
	}
	records, err := csv.NewReader(&out).ReadAll()
	if err != nil || strings.Join(records[1], "|") != "oxygen|leak|all|device|'=V1|3|unexplained_rate|1.23456|L/min|1||true" || records[2][7] != "" {
		t.Errorf("csv: got %q, %v", records, err)
	}
	out.Reset()
	want := `{"supply":"oxygen","about":"leak","month":"all","by":"device","group":"=V1","n":3,"name":"unexplained_rate","value":1.23456,"unit":"L/min","low":1,"high":null,"stands_out":true}`
	if err := WriteSupplies(&out, "json", rows); err != nil || !strings.HasPrefix(out.String(), want+"\n") {
		t.Errorf("json: got %s, %v", out.String(), err)
	}
	out.Reset()
	if err := WriteSupplies(&out, "table", rows); err != nil || !strings.Contains(out.String(), "1.235  L/min         from 1  stands out") {
		t.Errorf("table: got\n%s%v", out.String(), err)
	}
	if err := WriteSupplies(&out, "xml", rows); err == nil {
		t.Error("xml: got no error")
	}
}
