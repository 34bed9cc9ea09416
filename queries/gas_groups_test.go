package queries

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"tripwake/pipeline/store"
)

// group finds one group.
func group(t *testing.T, groups []GasGroup, kind, month, name string) GasGroup {
	t.Helper()
	for _, g := range groups {
		if g.Kind == kind && g.Month == month && g.Name == name {
			return g
		}
	}
	t.Fatalf("no group %s %q %q among %d", kind, month, name, len(groups))
	return GasGroup{}
}

// Under way 60 to 180 at 5 L/min of oxygen: 600 L asked for. A uses 280 L of cylinder E-1 and 420 L of E-2, so 100 L are unexplained, 40 and
// 60 of them by share; B on another ventilator in April uses 560 L without a plan.
func TestGasGroups(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"planned_oxygen": "500", "planned_duration": "100"})
	f.demand("A", 60, cells{"flow": "5"})
	f.cylinder("A", "E", kPa(2000), kPa(1000), cells{"cylinder_id": q("E-1")})
	f.cylinder("A", "E", kPa(2000), kPa(500), cells{"cylinder_id": q("E-2")})
	april := cells{"ventilator_id": q("W")}
	for _, stamp := range []string{"accepted_at", "at_patient_at", "departed_referring_at", "handed_over_at", "available_at"} {
		april[stamp] = map[string]string{"accepted_at": utc("2026-04-01 12:00:00"), "at_patient_at": utc("2026-04-01 13:00:00"),
			"departed_referring_at": utc("2026-04-01 14:00:00"), "handed_over_at": utc("2026-04-01 15:00:00"), "available_at": utc("2026-04-01 16:00:00")}[stamp]
	}
	f.trip("B", april)
	f.add("settings", cells{"trip": q("B"), "device_id": q("W"), "recorded_at": utc("2026-04-01 13:00:00"), "mode": q("cpap"), "flow": "5", "fio2": "100"})
	f.cylinder("B", "E", kPa(2000), kPa(0), cells{"cylinder_id": q("E-1")})
	f.trip("no settings", nil)
	f.cylinder("no settings", "E", kPa(2000), kPa(0), nil)
	got, err := f.reader().GasGroups(t.Context(), "oxygen", "", "")
	if err != nil {
		t.Fatal(err)
	}
	all := group(t, got, GasAll, "", "")
	if all.Transports != 2 || !near(all.Used, 1260, 1e-9) || !near(all.Hindsight, 1200, 1e-9) || !near(all.Minutes, 240, 1e-9) || all.BeyondGauge != 1 {
		t.Errorf("all: got %+v, want 1260 L used, 1200 L asked for in 240 min, one beyond its gauges", all)
	}
	// 500 L in 100 min planned; 20 min longer add 100 L, settings asked for what was planned, 100 L are left.
	if p := all.Plan; p.Transports != 1 || !near(p.DurationEffect, 100, 1e-9) || !near(p.SettingsEffect, 0, 1e-9) || !near(p.Unexplained, 100, 1e-9) || !near(p.Used, 700, 1e-9) {
		t.Errorf("plan: got %+v, want 500 + 100 + 0 + 100 = 700", p)
	}
	first, second := group(t, got, GasByCylinder, "", "E-1"), group(t, got, GasByCylinder, "", "E-2")
	if !near(first.Unexplained, 0, 1e-9) || !near(second.Unexplained, 60, 1e-9) || !near(first.Minutes, 48+120, 1e-9) {
		t.Errorf("cylinders: got %+v and %+v, want 40 − 40 L in 168 min and 60 L", first, second)
	}
	if w := group(t, got, GasByDeviceMonth, "2026-04", "W"); w.Transports != 1 || !near(w.Unexplained, -40, 1e-9) {
		t.Errorf("W in April: got %+v, want −40 L", w)
	}
	if march, err := f.reader().GasGroups(t.Context(), "oxygen", "2026-03", "2026-03"); err != nil || group(t, march, GasAll, "", "").Transports != 1 {
		t.Errorf("March: got %+v, %v, want one transport", march, err)
	}
}

// random fills the store with transports of any sort, cylinders and plans.
type random struct {
	*fixture
	*rand.Rand
}

func (r random) between(low, high float64) float64 { return low + r.Float64()*(high-low) }

func (r random) number(low, high float64) string {
	return fmt.Sprintf("%.3f::double", r.between(low, high))
}

func (r random) pick(texts ...string) string { return q(texts[r.IntN(len(texts))]) }

// transport adds one whose settings change at any time, with readings, walls and one to three cylinders.
func (r random) transport(id string) {
	r.trip(id, cells{"handed_over_at": at(r.between(100, 300)), "planned_oxygen": r.number(1, 900), "planned_duration": r.number(20, 200), "ventilator_id": r.pick("V", "W")})
	for range 1 + r.IntN(6) {
		r.add("settings", cells{"trip": q(id), "transport_id": q(id), "recorded_at": at(r.between(0, 260)), "mode": r.pick("cpap", "simv", "standby", "high_flow", "hfov"),
			"interface": r.pick("nasal", "tube", "none"), "continuous_flow": []string{"true", "false", "null"}[r.IntN(3)], "rate": r.number(10, 60),
			"inspiratory_time": r.number(0.2, 0.8), "flow": r.number(1, 20), "fio2": r.number(20.9, 100)})
	}
	for range r.IntN(8) {
		r.add("readings", cells{"trip": q(id), "recorded_at": at(r.between(-20, 260)), "quantity": q("rate"), "value": r.number(0, 90)})
	}
	for range r.IntN(3) {
		r.cylinder(id, "", "null", "null", cells{"supply": q("wall"), "opened_at": at(r.between(40, 120)), "closed_at": at(r.between(90, 260))})
	}
	for range 1 + r.IntN(3) {
		start := r.between(500, 2200)
		r.cylinder(id, []string{"E", "D", "M", "5 L"}[r.IntN(4)], kPa(start), kPa(r.between(0, start+50)), cells{"cylinder_id": r.pick("a", "b", "c")})
	}
}

func randomTransports(t *testing.T, n int) random {
	r := random{newFixture(t), rand.New(rand.NewPCG(4, 4))}
	for i := range n {
		r.transport(fmt.Sprintf("T%03d", i))
	}
	return r
}

// The bridge adds up on any transport, and groups add up to all: by month, ventilator, both and cylinder.
func TestBridgeAddsUp(t *testing.T) {
	r := randomTransports(t, 60)
	reader := r.reader()
	plans, err := reader.OxygenPlan(t.Context(), "", "")
	if err != nil || len(plans) < 30 {
		t.Fatalf("got %d plans, %v, want most of 60", len(plans), err)
	}
	drawn := 0
	for _, p := range plans {
		b := p.Bridge
		if b == nil { // no settings row while under way
			continue
		}
		drawn++
		if sum := p.Planned + b.DurationEffect + b.SettingsEffect + b.Unexplained; !near(sum, p.Used, 1e-9*math.Max(1, math.Abs(p.Planned)+b.Hindsight)) {
			t.Errorf("%s: bridge sums to %v, used %v", p.TransportID, sum, p.Used)
		}
	}
	if drawn < 25 {
		t.Errorf("only %d of %d plans have a bridge", drawn, len(plans))
	}
	groups, err := reader.GasGroups(t.Context(), "oxygen", "", "")
	if err != nil {
		t.Fatal(err)
	}
	all, sums := group(t, groups, GasAll, "", ""), map[string]*GasGroup{}
	for _, g := range groups {
		p := g.Plan
		if !near(p.Planned+p.DurationEffect+p.SettingsEffect+p.Unexplained, p.Used, 1e-6) || !near(g.Used-g.Hindsight, g.Unexplained, 1e-6) {
			t.Errorf("%s %s %s does not add up: %+v", g.Kind, g.Month, g.Name, g)
		}
		if sums[g.Kind] == nil {
			sums[g.Kind] = &GasGroup{}
		}
		s := sums[g.Kind]
		s.Used, s.Unexplained, s.Minutes, s.Plan.Used = s.Used+g.Used, s.Unexplained+g.Unexplained, s.Minutes+g.Minutes, s.Plan.Used+p.Used
	}
	for kind, s := range sums {
		if !near(s.Used, all.Used, 1e-6) || !near(s.Unexplained, all.Unexplained, 1e-6) || !near(s.Minutes, all.Minutes, 1e-6) || !near(s.Plan.Used, all.Plan.Used, 1e-6) {
			t.Errorf("%s adds up to %+v, all is %+v", kind, s, all)
		}
	}
}

// bySeconds asks the demand of a transport every second, as slowly and plainly as can be: the latest settings row and reading before that
// second, and whether a wall row covers it. Times of the random transports lie between seconds, so an error of a
// second's flow at each change is allowed.
func bySeconds(ctx context.Context, t *testing.T, s *store.Store, id string) (oxygen, air, allowed float64) {
	t.Helper()
	ask := func(text string, into ...any) bool {
		rows, err := s.DB().QueryContext(ctx, text, id)
		if err != nil {
			t.Fatal(err)
		}
		defer rows.Close()
		if !rows.Next() {
			return false
		}
		if err := rows.Scan(into...); err != nil {
			t.Fatal(err)
		}
		return true
	}
	var from, to time.Time
	ask("select at_patient_at, handed_over_at from kept.transports where transport_id = $1", &from, &to)
	settings := slow[slowSetting](ctx, t, s, id, `select recorded_at, mode, coalesce(interface, ''), coalesce(continuous_flow, true), rate, inspiratory_time, flow, fio2
		from kept.settings where trip = $1 order by recorded_at, record_no`, func(r *slowSetting) []any {
		return []any{&r.at, &r.mode, &r.face, &r.through, &r.rate, &r.ti, &r.flow, &r.fio2}
	})
	readings := slow[slowReading](ctx, t, s, id, "select recorded_at, value from kept.readings where trip = $1 order by recorded_at, record_no", func(r *slowReading) []any {
		return []any{&r.at, &r.value}
	})
	walls := slow[slowWall](ctx, t, s, id, "select opened_at, closed_at from kept.cylinders where transport_id = $1 and supply = 'wall'", func(r *slowWall) []any {
		return []any{&r.from, &r.to}
	})
	changes := float64(2 + len(settings) + len(readings) + 2*len(walls))
	for now := from; now.Before(to); now = now.Add(time.Second) {
		flow, share := slowDemand(settings, readings, now)
		allowed = math.Max(allowed, changes*flow/60)
		air += flow * (1 - share) / 60
		covered := false
		for _, w := range walls {
			covered = covered || !now.Before(w.from) && now.Before(w.to)
		}
		if !covered {
			oxygen += flow * share / 60
		}
	}
	return oxygen, air, allowed
}

type slowSetting struct {
	at                   time.Time
	mode, face           string
	through              bool
	rate, ti, flow, fio2 float64
}

type slowReading struct {
	at    time.Time
	value float64
}

type slowWall struct{ from, to time.Time }

func slow[T any](ctx context.Context, t *testing.T, s *store.Store, id, text string, into func(*T) []any) []T {
	t.Helper()
	rows, err := s.DB().QueryContext(ctx, text, id)
	if err != nil {
		t.Fatal(err)
	}
	defer rows.Close()
	var all []T
	for rows.Next() {
		var one T
		if err := rows.Scan(into(&one)...); err != nil {
			t.Fatal(err)
		}
		all = append(all, one)
	}
	return all
}

func slowDemand(settings []slowSetting, readings []slowReading, now time.Time) (flow, oxygenShare float64) {
	var row *slowSetting
	for i := range settings {
		if !settings[i].at.After(now) {
			row = &settings[i]
		}
	}
	if row == nil || row.mode == "standby" {
		return 0, 0
	}
	invasive := row.face == "tube"
	steady := row.through || row.mode == "hfov" && row.face != "nasal" || !invasive && (row.mode == "cpap" || row.mode == "high_flow")
	flow = row.flow
	if !steady {
		breaths := row.rate
		for _, r := range readings {
			if !r.at.After(now) {
				breaths = math.Max(row.rate, r.value)
			}
		}
		flow = breaths * row.ti / 60 * row.flow
	}
	return flow, math.Max(0, (row.fio2/100-0.21)/0.79)
}

// The set-based integral is the one that goes second by second, on any settings, readings and walls.
func TestDemandAgainstSeconds(t *testing.T) {
	r := randomTransports(t, 40)
	got := map[string][2]float64{}
	for _, line := range r.rows("select transport_id || ' ' || max(hindsight) filter (where gas = 'oxygen') || ' ' || max(hindsight) filter (where gas = 'air') from gas_asked group by transport_id") {
		var id string
		var both [2]float64
		if _, err := fmt.Sscan(line, &id, &both[0], &both[1]); err != nil {
			t.Fatal(err)
		}
		got[id] = both
	}
	busy := 0
	for id, litres := range got {
		oxygen, air, allowed := bySeconds(t.Context(), t, r.store, id)
		if !near(litres[0], oxygen, allowed) || !near(litres[1], air, allowed) {
			t.Errorf("%s: got %v L of oxygen and air, second by second %v and %v, within %v", id, litres, oxygen, air, allowed)
		}
		if oxygen > 10*allowed {
			busy++
		}
	}
	if busy < 10 {
		t.Errorf("only %d of %d transports ask for much more than the allowance: the test says little", busy, len(got))
	}
}

// A million settings rows on twenty thousand transports.
func BenchmarkMillionSettings(b *testing.B) {
	s, err := store.Open(b.Context(), b.TempDir()+"/b.duckdb", store.Options{})
	if err != nil {
		b.Fatal(err)
	}
	defer s.Close()
	for _, text := range []string{
		`insert into kept.transports (transport_id, accepted_at, at_patient_at, handed_over_at, available_at, ventilator_id, planned_oxygen, planned_duration, superseded, file_id, record_no)
			select 'T' || i, m, m + interval 1 hour, m + interval 3 hour, m + interval 4 hour, 'V' || i % 50, 300, 100, false, 1, i
			from (select i, timestamp '2024-01-01' + to_minutes(i * 40) as m from range(20000) as r(i))`,
		`insert into kept.settings (trip, device_id, recorded_at, mode, interface, continuous_flow, rate, inspiratory_time, flow, fio2, file_id, record_no)
			select 'T' || i // 50, 'V' || (i // 50) % 50, timestamp '2024-01-01' + to_minutes((i // 50) * 40 + 50) + to_seconds((i % 50) * 150), 'simv', 'tube', i % 3 = 0, 40, 0.4, 8 + i % 7, 21 + i % 79, 2, i
			from range(1000000) as r(i)`,
		`insert into kept.cylinders (transport_id, cylinder_id, gas, size, start_pressure, end_pressure, file_id, record_no)
			select 'T' || i, 'E-' || i % 300, 'oxygen', 'E', 13000, 6000, 3, i from range(20000) as r(i)`,
	} {
		if _, err := s.DB().ExecContext(b.Context(), text); err != nil {
			b.Fatal(err)
		}
	}
	for b.Loop() {
		r, err := Open(b.Context(), s, Defaults())
		if err != nil {
			b.Fatal(err)
		}
		plans, err := r.OxygenPlan(b.Context(), "", "")
		if err != nil || len(plans) != 20000 || plans[0].Bridge == nil {
			b.Fatalf("got %d plans, %v, want 20000 with bridges", len(plans), err)
		}
	}
}
