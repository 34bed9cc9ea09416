package measures

import (
	"math"
	"slices"
	"strings"
	"testing"

	"tripwake/queries"
)

// leakGroup makes a group of n transports of 100 min each whose unexplained litres alternate by ±spread around a rate.
func leakGroup(kind, month, name string, n int, rate, spread, gauge float64) queries.GasGroup {
	g := queries.GasGroup{Kind: kind, Month: month, Name: name, Transports: n, SquaredError: gauge * gauge * float64(n)}
	for i := range n {
		u := 100*rate + spread*float64(1-2*(i%2))
		g.Minutes, g.Unexplained = g.Minutes+100, g.Unexplained+u
		g.UU, g.UT, g.TT = g.UU+u*u, g.UT+100*u, g.TT+1e4
	}
	return g
}

func TestLeaksOf(t *testing.T) {
	groups := []queries.GasGroup{
		leakGroup(queries.GasAll, "", "", 100, 0.5, 1, 1),
		leakGroup(queries.GasByDevice, "", "V1", 40, 0.1, 10, 5),
		leakGroup(queries.GasByDevice, "", "V2", 40, 0.12, 10, 5),
		leakGroup(queries.GasByDevice, "", "V3", 40, 1.1, 10, 5),
		leakGroup(queries.GasByDevice, "", "V4", 2, 9, 1, 1), // too few to be judged
		leakGroup(queries.GasByDeviceMonth, "2026-01", "V2", 6, 0.9, 5, 5),
		leakGroup(queries.GasByDeviceMonth, "2026-02", "V2", 6, 0.9, 500, 5), // spread explains it
		leakGroup(queries.GasByDeviceMonth, "2026-03", "V2", 6, 0.9, 5, 500), // gauges explain it
		leakGroup(queries.GasByDeviceMonth, "2026-01", "V3", 6, 1.1, 5, 5),
		leakGroup(queries.GasByCylinder, "", "E-1", 6, 1.5, 5, 5),
		leakGroup(queries.GasByCylinder, "", "E-2", 6, 0.1, 5, 5),
		leakGroup(queries.GasByCylinder, "", queries.NotRecorded, 6, 1.5, 5, 5),
	}
	got, err := LeaksOf(groups)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(got.Common-0.12) > 1e-12 || got.Judged != 10 {
		t.Errorf("got a usual level of %v over %d groups, want 0.12, the median of V1, V2 and V3, and 10", got.Common, got.Judged)
	}
	var names []string
	for _, d := range got.Standing() {
		names = append(names, d.Name+" "+strings.Join(d.Months, " "))
	}
	if want := []string{"V3 2026-01", "V2 2026-01"}; !slices.Equal(names, want) {
		t.Errorf("standing out: got %q, want %q", names, want)
	}
	if got.Devices[2].StandsOut || got.Devices[0].Name != "V4" || got.Devices[0].StandsOut {
		t.Errorf("got %+v, want V4 first and not judged, V2 standing out in a month alone", got.Devices)
	}
	if len(got.Cylinders) != 1 || got.Cylinders[0].Name != "E-1" {
		t.Errorf("cylinders: got %+v, want E-1 alone", got.Cylinders)
	}
	// 40 transports of ±10 L in 100 min: se = √(40/39 × 40 × 100)/4000 = 0.016013, t(39) 2.0227 (tables).
	if v3 := got.Devices[1]; math.Abs(v3.High-(1.1+2.0227*0.016013)) > 1e-5 || math.Abs(v3.Gauge-5*math.Sqrt(40)/4000) > 1e-12 {
		t.Errorf("V3: got %+v", v3)
	}
	if few, err := LeaksOf(groups[1:3]); err != nil || few.Common != 0 {
		t.Errorf("two ventilators: got %v, %v, want no usual level", few.Common, err)
	}
}

func TestBridgesBy(t *testing.T) {
	plan := queries.GasPlanSum{Transports: 2, Planned: 200, DurationEffect: -20, SettingsEffect: 10, Unexplained: 30, Used: 220}
	got := BridgesBy([]queries.GasGroup{{Kind: queries.GasByMonth, Month: "2026-01", Plan: plan}, {Kind: queries.GasByMonth, Month: "2026-02"}, {Kind: queries.GasAll, Plan: plan}}, queries.GasByMonth)
	if want := (BridgeBy{"2026-01", Bridge{2, 100, -10, 5, 15, 110}}); len(got) != 1 || got[0] != want {
		t.Errorf("got %+v, want %+v alone", got, want)
	}
}

// 99 % by type 7 of 1, 2, 3 L/min is 2.98 L/min, 178.8 L/h. P(B <= 1) of three is 0.0003 and P(B <= 2) 0.0297: the lower rank is
// the second, and there is no upper one.
func TestMarginsOf(t *testing.T) {
	got, err := MarginsOf([]queries.GasMargin{{Vehicle: "ground", Class: "cpap", PerMinute: []float64{1, 2, 3}, OfPlan: []float64{0.5, 1, 1.5}}})
	if err != nil || len(got) != 1 {
		t.Fatal(err)
	}
	m := got[0]
	value, span := m.PerHour.Texts(1)
	if m.N != 3 || value != "178.8" || span != "from 120.0" || m.Warning == "" || !m.PerHour.Open {
		t.Errorf("got %+v: %s, %s", m, value, span)
	}
	long := make([]float64, 500)
	for i := range long {
		long[i] = float64(i+1) / 60
	}
	if got, err = MarginsOf([]queries.GasMargin{{PerMinute: long, OfPlan: long}}); err != nil || got[0].PerHour.Open || got[0].PerHour.High > 500.001 || got[0].PerHour.Low < 480 || got[0].Warning != "" {
		t.Errorf("got %+v, %v, want limits within 480 to 500", got, err)
	}
	if _, err := MarginsOf([]queries.GasMargin{{PerMinute: nil}}); err == nil {
		t.Error("no transport: got no error")
	}
}

func TestReservesOf(t *testing.T) {
	got, err := ReservesOf([]queries.GasReserve{{TransportID: "A", Minutes: 10, Demanded: true, Short: true}, {TransportID: "B", Minutes: 50, Demanded: true}, {TransportID: "C"}})
	if err != nil || got.Judged != 3 || got.Demanded != 2 || got.Short != 1 || got.Median != 30 || len(got.Cases) != 1 || got.Cases[0].TransportID != "A" {
		t.Errorf("got %+v, %v", got, err)
	}
	if got, err := ReservesOf(nil); err != nil || got.Judged != 0 {
		t.Errorf("none: got %+v, %v", got, err)
	}
}

// The line goes through used and expected, whether the agreement is in litres or ratios: used = 10 + 0.5 × expected.
func TestLineOf(t *testing.T) {
	for _, log := range []bool{false, true} {
		a := Agreement{Log: log}
		for _, expected := range []float64{20, 60, 100, 300} {
			used := 10 + 0.5*expected
			a.Points = append(a.Points, pointOf(used, expected, log))
		}
		intercept, slope, ok := LineOf(a)
		if !ok || math.Abs(intercept.Value-10) > 1e-9 || math.Abs(slope.Value-0.5) > 1e-9 {
			t.Errorf("log %v: got %+v, %+v, %v", log, intercept, slope, ok)
		}
	}
	if _, _, ok := LineOf(Agreement{}); ok {
		t.Error("no points: got a line")
	}
}

// 2 alarms in 4 hours are 50 in 100 h, exact Poisson 6.06 to 180.6 (Garwood: 0.2422 and 7.2247 events, published tables).
func TestBatteriesBy(t *testing.T) {
	got, err := BatteriesBy([]queries.BatteryGroup{{Kind: queries.GasByDevice, Name: "V", Lit: 180, Dim: 60, LowAlarms: 2}, {Kind: queries.GasByDevice, Name: "W"}, {Kind: queries.GasAll}}, queries.GasByDevice)
	if err != nil || len(got) != 2 {
		t.Fatalf("got %+v, %v", got, err)
	}
	v := got[0]
	if v.Hours() != 4 || v.DimmedShare() != 25 || v.Alarms == nil || math.Abs(v.Alarms.Value-50) > 1e-9 || math.Abs(v.Alarms.Low-6.055) > 0.01 || math.Abs(v.Alarms.High-180.62) > 0.01 {
		t.Errorf("got %+v, %+v", v, v.Alarms)
	}
	if got[1].Alarms != nil || got[1].DimmedShare() != 0 {
		t.Errorf("no battery time: got %+v", got[1])
	}
}

// slope is n transports of an hour that each lost so many points, with one point of spread.
func slope(device, month string, rated float64, n int, lost float64) queries.BatterySlope {
	s := queries.BatterySlope{Device: device, Month: month, Rated: rated}
	for i := range n {
		s.MinutesEach, s.LostEach = append(s.MinutesEach, 60), append(s.LostEach, lost+float64(1-2*(i%2)))
	}
	return s
}

func TestFadesOf(t *testing.T) {
	slopes := []queries.BatterySlope{
		slope("V", "", 240, 20, 30), slope("V", "2026-01", 240, 4, 25), slope("V", "2026-02", 240, 4, 25), slope("V", "2026-03", 240, 4, 25),
		slope("V", "2026-04", 240, 4, 40), slope("V", "2026-05", 240, 4, 40), slope("V", "2026-06", 240, 4, 40),
		slope("W", "2026-06", 240, 4, 25), slope("X", "2026-06", 0, 4, 50), slope("Y", "2026-06", 240, 2, 60),
	}
	got, err := FadesOf(slopes, 0.8)
	if err != nil || len(got) != 4 {
		t.Fatalf("got %+v, %v", got, err)
	}
	v := got[0]
	if v.First.Value != 240 || v.Last.Value != 150 || v.Last.Transports != 12 || !v.StandsOut || v.PartOf(v.Last.Value) != "62" && v.PartOf(v.Last.Value) != "63" || v.MonthText("2026-04") != "150" || v.MonthText("2025-01") != "" {
		t.Errorf("V: got %+v, want 240 min fallen to 150", v)
	}
	if v.Last.Low >= 150 || v.Last.High <= 150 || v.Last.High > 160 {
		t.Errorf("V: interval %v to %v, want a narrow one around 150", v.Last.Low, v.Last.High)
	}
	for _, other := range got[1:] {
		if other.StandsOut {
			t.Errorf("%s stands out: sound, unrated or too few", other.Device)
		}
	}
	var order []string
	for _, f := range MostWorn(got, 3) {
		order = append(order, f.Device)
	}
	if want := []string{"Y", "V", "W"}; !slices.Equal(order, want) {
		t.Errorf("most worn: got %v, want %v", order, want)
	}
	idle := queries.BatterySlope{Device: "Z", Month: "2026-01", Rated: 240, MinutesEach: []float64{5, 5}, LostEach: []float64{0, 0}}
	if none, err := FadesOf([]queries.BatterySlope{idle}, 0.8); err != nil || none[0].Last.Value != 0 || none[0].Judged {
		t.Errorf("no charge lost: got %+v, %v", none, err)
	}
}
