package measures

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"tripwake/queries"
)

// tiny is a month, March 2026, of a small team. Requests are those of one kind and team; others ask for nothing.
type tiny struct {
	requests  []queries.DeviceRequest
	presence  []queries.Presence
	downtime  []queries.Downtime
	batteries []queries.BatteryLoad
	gas       []queries.GasLoad
	empty     bool
}

var march = time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)

func hoursIn(h float64) time.Time { return march.Add(time.Duration(h * float64(time.Hour))) }

func (f tiny) Settings() queries.Settings { return queries.Defaults() }
func (f tiny) Period(context.Context) (string, string, error) {
	if f.empty {
		return "", "", nil
	}
	return "2026-03", "2026-03", nil
}
func (f tiny) DeviceRequests(_ context.Context, kind, team, _, _ string) ([]queries.DeviceRequest, error) {
	if kind != "ventilator" && kind != queries.WholeTeam || team != "" && team != "North" {
		return nil, nil
	}
	return f.requests, nil
}
func (f tiny) DevicePresence(_ context.Context, kind, _ string, _, _ time.Time) ([]queries.Presence, error) {
	if kind != "ventilator" {
		return []queries.Presence{{At: march}}, nil
	}
	return f.presence, nil
}
func (f tiny) DeviceDowntime(context.Context, time.Time, time.Time) ([]queries.Downtime, error) {
	return f.downtime, nil
}
func (f tiny) BatteryLoads(context.Context, string, string) ([]queries.BatteryLoad, error) {
	return f.batteries, nil
}
func (f tiny) BatterySlopes(context.Context, string, string) ([]queries.BatterySlope, error) {
	return nil, nil
}
func (f tiny) GasLoads(_ context.Context, gas, _, _ string) ([]queries.GasLoad, error) {
	if gas != "oxygen" {
		return nil, nil
	}
	return f.gas, nil
}
func (f tiny) SupplyFailures(context.Context, string, string) ([]queries.SupplyFailure, error) {
	return nil, nil
}

// six requests on two ventilators, in hours of 1 March: A 0–4, B 1–3, C 2–5, D 3–6, E 3.5–7, F 4–8. With two units C (at 2: A
// and B are out) and E (at 3.5: A until 4, D until 6) find none free; with three E alone (A, C, D are out); with four nobody.
func six() tiny {
	f := tiny{presence: []queries.Presence{{At: march, Units: 2, Registered: 2}}, downtime: []queries.Downtime{
		{Device: "V1", Kind: "ventilator", Team: "North", Held: 744}, {Device: "V2", Kind: "ventilator", Team: "North", Held: 744}}}
	for i, h := range [][2]float64{{0, 4}, {1, 3}, {2, 5}, {3, 6}, {3.5, 7}, {4, 8}} {
		f.requests = append(f.requests, queries.DeviceRequest{TransportID: fmt.Sprint(i), Month: "2026-03", Asked: hoursIn(h[0]), Free: hoursIn(h[1])})
	}
	return f
}

func weigh(t *testing.T, f tiny, candidates string) Purchase {
	t.Helper()
	list, err := ReadCandidates([]byte(candidates), f.Settings())
	if err != nil {
		t.Fatal(err)
	}
	p, err := NewPurchase(t.Context(), f, PurchaseAsk{Candidates: list, Currency: "USD", Target: 0.95})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

const third = `[{"name": "Third", "kind": "ventilator", "price": 8000, "life": 8, "service": 500}]`

func sameNumber(a, b float64) bool { return math.Abs(a-b) <= 1e-9*math.Max(1, math.Abs(b)) }

func TestPurchaseByHand(t *testing.T) {
	a := weigh(t, six(), third).Answers[0]
	if a.Before.Value != 2 || a.With.Value != 1 || a.Avoided.Value != 1 || a.Plain.Value != 1 || a.Weeks != 1 {
		t.Errorf("before %v, with %v, avoided %v, always there %v in %d weeks", a.Before, a.With, a.Avoided, a.Plain, a.Weeks)
	}
	n := a.Fleet
	if n.Units != 2 || n.Requests != 6 || !sameNumber(n.MeanHold, 19.5/6) || !sameNumber(n.MedianHold, 3.25) || !sameNumber(n.Load, 19.5/744) {
		t.Errorf("need %+v", n)
	}
	if want := []float64{736, 2, 2, 2.5, 1.5}; !slices.Equal(n.Levels, want) || n.Top() != 4 || !sameNumber(n.Share(3), 100*4/744.0) {
		t.Errorf("levels %v, want %v", n.Levels, want)
	}
	// All six on the first of 31 days and before 8 o'clock: mean 6/31, variance (36 − 36/31)/30, their ratio 6.
	if n.Daytime != 0 || !sameNumber(n.Dispersion, 6) {
		t.Errorf("arrivals: %v %% by day, dispersion %v", n.Daytime, n.Dispersion)
	}
	// Erlang B by its formula (Erlang AK 1917): a²/2 / (1 + a + a²/2) of six requests.
	load := 19.5 / 744
	if r, _ := n.Replay(2); !sameNumber(r.Erlang, 6*load*load/2/(1+load+load*load/2)) {
		t.Errorf("Erlang B %v", r.Erlang)
	}
	// 8000/8 + 500 a year; one avoided in 31 days.
	years := 31 / 365.25
	if !sameNumber(a.Cost.PerYear, 1500) || !sameNumber(a.Cost.PerAvoided.Value, 1500*years) || !math.IsInf(a.Cost.PerAvoided.High, 1) {
		t.Errorf("cost %+v", a.Cost)
	}
	if a.Standing != StandsOpen || !strings.Contains(a.Verdict, "served 1 of the 2 requests that found none free (95 % interval 0 to ") || !strings.Contains(a.Verdict, "do not decide") {
		t.Errorf("%s: %s", a.Standing, a.Verdict)
	}
}

// From 2.5 to 4 o'clock one of two is out of service: D at 3 and E at 3.5 meet A and too few units, so C, D and E find none free.
// A third unit serves C at 2; D at 3 meets A and C on two units, E too: D and E remain.
func TestPurchaseWithUnitsAway(t *testing.T) {
	f := six()
	f.presence = []queries.Presence{{At: march, Units: 2, Registered: 2}, {At: hoursIn(2.5), Units: 1, Registered: 2}, {At: hoursIn(4), Units: 2, Registered: 2}}
	a := weigh(t, f, third).Answers[0]
	if a.Before.Value != 3 || a.With.Value != 2 || a.Plain.Value != 1 || !sameNumber(a.Fleet.Away, 1.5) {
		t.Errorf("before %v, with %v, always there %v, away %v h", a.Before, a.With, a.Plain, a.Fleet.Away)
	}
	if text := strings.Join(a.Reasons, " "); !strings.Contains(text, "Had every unit been there at all times, 2 (") {
		t.Errorf("reasons: %s", text)
	}
}

// Turned away at 2 for want of equipment and no end known for another: the median of the known lengths stands for both. Known are
// A 4 h, B 2 h, D 3 h, F 4 h: median 3.5 h. One without a time is left out.
func TestPurchaseAssumesTheMedian(t *testing.T) {
	f := six()
	f.requests[2].Free, f.requests[2].TurnedAway = time.Time{}, true
	f.requests[4].Free, f.requests[4].Delayed = time.Time{}, true
	f.requests = append(f.requests, queries.DeviceRequest{TransportID: "?"})
	n := weigh(t, f, third).Answers[0].Fleet
	if n.Requests != 6 || n.Assumed != 2 || n.NotPlaced != 1 || n.TurnedAway != 1 || n.Delayed != 1 || n.MedianHold != 3.5 || !sameNumber(n.MeanHold, 20.0/6) {
		t.Errorf("need %+v", n)
	}
	for i := range f.requests {
		f.requests[i].Free = time.Time{}
	}
	a := weigh(t, f, third).Answers[0]
	if a.Replayed() || a.Fleet.NotPlaced != 7 || a.Standing != StandsOpen || !strings.Contains(a.Verdict, "can be replayed") {
		t.Errorf("without any length: %+v, %s", a.Fleet, a.Verdict)
	}
}

// Four units are enough: the fifth changes nothing, and has no cost for each.
func TestCandidateThatChangesNothing(t *testing.T) {
	a := weigh(t, six(), `[{"name": "Fifth", "kind": "ventilator", "units": 4, "price": 8000, "life": 8}]`).Answers[0]
	if a.Standing != StandsAgainst || a.Avoided != (Limit{}) || !math.IsNaN(a.Cost.PerAvoided.Value) || len(a.Cost.Lines) != 0 {
		t.Errorf("%s, avoided %v, cost %+v", a.Standing, a.Avoided, a.Cost)
	}
	for _, want := range []string{"One more ventilator would have changed nothing", "none of the 4 free", "at most 4 were wanted at once"} {
		if !strings.Contains(a.Verdict, want) {
			t.Errorf("%q is not in %q", want, a.Verdict)
		}
	}
	// Garwood 1936, checks.md: none counted allows 3.688879 in the same time.
	if want := fmt.Sprintf("%.1f a year", 3.688879454114/(31/365.25)); !strings.Contains(strings.Join(a.Reasons, " "), want) {
		t.Errorf("%q is not in %v", want, a.Reasons)
	}
}

// The team's candidate stands beside what sharing would have done; the other teams of the fake ask for the same six.
func TestCandidateOfOneTeam(t *testing.T) {
	f := six()
	a := weigh(t, f, `[{"name": "Third", "kind": "ventilator", "team": "North", "price": 8000, "life": 8}]`).Answers[0]
	f.requests[2].Lent, f.requests[0].Lent = true, true // of the two that find none free, C and E, one
	lent := weigh(t, f, `[{"name": "Third", "kind": "ventilator", "team": "North", "price": 8000, "life": 8}]`).Answers[0]
	if !strings.Contains(lent.Verdict, "Of these 2, 1 went out all the same with a device of another team; 0 requests are recorded") {
		t.Errorf("lent: %s", lent.Verdict)
	}
	if a.Shared == nil || a.Shared.Units != 2 || a.Shared.Lost.Value != 2 || !strings.Contains(a.Verdict, " 0 requests are recorded as declined or delayed") {
		t.Errorf("%+v: %s", a.Shared, a.Verdict)
	}
	if !slices.ContainsFunc(a.Cost.Lines, func(s Sensitivity) bool { return s.What == "avoided: recorded only" && math.IsInf(s.AtLower, 1) }) {
		t.Errorf("none recorded, and the sensitivity does not say so: %+v", a.Cost.Lines)
	}
}

// Two requests at nine o'clock each day, an hour each, for one unit: thirty-one find it taken. Spread by chance they would be far
// fewer: Erlang B takes a load of 62/744, 62 × a/(1 + a) = 4.8 (Erlang AK 1917). All come by day, and no day differs from another.
func TestModelAndReplayPart(t *testing.T) {
	f := tiny{presence: []queries.Presence{{At: march, Units: 1, Registered: 1}}}
	for day := range 31 {
		at := hoursIn(float64(24*day + 9))
		for range 2 {
			f.requests = append(f.requests, queries.DeviceRequest{Month: "2026-03", Asked: at, Free: at.Add(time.Hour)})
		}
	}
	a := weigh(t, f, third).Answers[0]
	if a.Before.Value != 31 || a.With.Value != 0 || a.Standing != StandsFor || a.Fleet.Dispersion != 0 || a.Fleet.Daytime != 100 {
		t.Errorf("%v, %v, %s, %+v", a.Before, a.With, a.Standing, a.Fleet)
	}
	if text := strings.Join(a.Reasons, " "); !strings.Contains(text, "expects 4.8 none free with 1 and 0.2 with 2") || !strings.Contains(text, "They part") || !strings.Contains(text, "100 % came from 8 to 20") {
		t.Errorf("reasons: %s", text)
	}
	if len(a.Months) != 1 || a.Months[0] != (PurchaseMonth{Month: "2026-03", All: 62, Before: 31}) || a.Months[0].Spared() != 31 {
		t.Errorf("months %+v", a.Months)
	}
}

// The candidate gives 100 min lit and 200 dimmed, half of which is counted on. 30 lit and 20 dimmed are 0.6 + 0.2 = 0.8 of it, on
// the limit and in; 31 lit are over; 60 lit are more than all. The last was overdrawn on its own battery alone.
func TestBatteryByHand(t *testing.T) {
	f := tiny{batteries: []queries.BatteryLoad{
		{At: hoursIn(1), Device: "V1", Lit: 30, Dim: 20, Share: 0.9, Rated: true},
		{At: hoursIn(2), Device: "V1", Lit: 31, Dim: 20, Share: 0.95, Rated: true},
		{At: hoursIn(3), Device: "V1", Lit: 60, Share: 0.8, Rated: true},
		{At: hoursIn(4), Device: "V1", Lit: 5, Share: 1.2, Rated: true},
		{At: hoursIn(5), Device: "V1", Lit: 5},
		{At: hoursIn(6), Device: "V1", LeftOut: "under way missing"},
		{At: hoursIn(7), Device: "V2", Lit: 500, Share: 9, Rated: true},
	}}
	a := weigh(t, f, `[{"name": "B", "kind": "battery", "devices": ["V1"], "endurance": 100, "endurance_dimmed": 200, "derating": 0.5, "price": 100, "life": 2}]`).Answers[0]
	n := a.Supply
	if n.Transports != 4 || n.Was.Value != 3 || n.Would.Value != 2 || n.Empty != 1 || a.Avoided.Value != 1 || n.Capacity != 50 || n.Enough != 40 {
		t.Errorf("%+v", n)
	}
	if !reflect.DeepEqual(n.LeftOut, map[string]int{"no battery rating": 1, "under way missing": 1}) || n.WasShare.Value != 75 {
		t.Errorf("left out %v, share %v", n.LeftOut, n.WasShare)
	}
	two := weigh(t, f, `[{"name": "B", "kind": "battery", "devices": ["V1"], "endurance": 50, "batteries": 2, "derating": 0.5, "price": 100, "life": 2}]`).Answers[0]
	if two.Supply.Capacity != 50 || two.Supply.Would.Value != 3 { // dimmed as lit: 50 min are drawn in the first, too
		t.Errorf("two batteries: %+v", two.Supply)
	}
}

// Two full E cylinders hold 2 × 2000 psi × 0.28 L/psi = 1120 L (Virginia EMS 2010). At 8 L/min 880 L taken leave 240 L, 30 min: not
// short; 900 L leave 27.5 min: short; 1200 L are more than there is; without a demand nothing is short.
func TestCylindersByHand(t *testing.T) {
	f := tiny{gas: []queries.GasLoad{
		{At: hoursIn(1), Team: "North", Used: 880, LastFlow: 8, Short: true}, {At: hoursIn(2), Team: "North", Used: 900, LastFlow: 8, Short: true},
		{At: hoursIn(3), Team: "North", Used: 1200, LastFlow: 8}, {At: hoursIn(4), Team: "North", Used: 1100}, {At: hoursIn(5), Team: "North", Used: -10, LastFlow: 8, Short: true},
		{At: hoursIn(6), Team: "South", Used: 5000, LastFlow: 8, Short: true}, {At: hoursIn(7), Team: "North", LeftOut: "cylinder without a pressure"},
	}}
	a := weigh(t, f, `[{"name": "E", "kind": "cylinders", "team": "North", "sizes": ["E", "E"], "price": 100, "life": 2}]`).Answers[0]
	if n := a.Supply; n.Transports != 5 || n.Was.Value != 3 || n.Would.Value != 2 || n.Empty != 1 || !sameNumber(n.Capacity, 1120) || a.Avoided.Value != 1 {
		t.Errorf("%+v", n)
	}
	worse := weigh(t, f, `[{"name": "One", "kind": "cylinders", "team": "North", "sizes": ["E"], "price": 100, "life": 2}]`).Answers[0]
	if worse.Avoided.Value != -1 || worse.Standing != StandsAgainst || !strings.Contains(worse.Verdict, "would have made it worse: 4 ") {
		t.Errorf("one cylinder: %v, %s", worse.Avoided, worse.Verdict)
	}
}

// checks.md, queues and fleets: four units each 95 % available, at least three up: 0.98598. Availability 400/(400 + 24) = 0.9434:
// two failures in 800 h in service, 24 h to repair each; MTBF 400 h (127 to 2251 at 90 %: NIST/SEMATECH 8.4.5.1).
func TestFleetOfPublishedValues(t *testing.T) {
	up, err := upTable(FleetNeed{Kind: "ventilator", Units: 4}, 1, 0.95, 0.98)
	if err != nil || len(up.Rows) != 4 || math.Abs(up.Rows[2].Now-0.98598) > 1e-5 || up.Rows[2].Smallest != 4 || up.Rows[3].Smallest != 6 {
		t.Errorf("%+v, %v", up, err)
	}
	all, err := reliabilities([]queries.Downtime{{Device: "M1", Kind: "monitor", Held: 500}, {Device: "V1", Kind: "ventilator", Held: 848, Out: 48, Failures: 2, Repaired: 2, RepairHours: 48}})
	if err != nil || len(all) != 4 || all[0].Name != "ventilator" {
		t.Fatalf("%+v, %v", all, err)
	}
	if v := all[0]; math.Abs(v.Availability-0.9434) > 5e-5 || v.Between.Value != 400 || v.Repair != 24 || !sameNumber(v.Recorded, 800.0/848) || !sameNumber(v.Rate.Value, 2.5) {
		t.Errorf("%+v", v)
	}
	if m := all[2]; m.Availability != 1 || !math.IsInf(m.Between.Value, 1) || !sameNumber(m.Between.Low, 500/2.995732273553991) || !math.IsNaN(m.Repair) {
		t.Errorf("no failure: %+v", m)
	}
	away, err := reliability("V9", "ventilator", "", []queries.Downtime{{Held: 10, Out: 10, Failures: 1}})
	if err != nil || !math.IsNaN(away.Rate.Value) || away.Unrepaired != 1 || away.Recorded != 0 {
		t.Errorf("away all the time: %+v, %v", away, err)
	}
}

func TestPurchaseOfNothing(t *testing.T) {
	p := weigh(t, tiny{empty: true}, third)
	if p.Span.First != "" || len(PurchaseRows(p)) != 0 {
		t.Errorf("%+v", p)
	}
	p = weigh(t, tiny{}, third)
	if a := p.Answers[0]; a.Replayed() || a.Standing != StandsOpen || !strings.HasPrefix(a.Verdict, "One more ventilator: nothing in March 2026 can be replayed") {
		t.Errorf("%s: %s", a.Standing, a.Verdict)
	}
	if _, err := NewPurchase(t.Context(), tiny{}, PurchaseAsk{From: "March"}); err == nil {
		t.Error("a month that is none was taken")
	}
}

// Same records, same numbers; every key of the JSON form has a column in the CSV form.
func TestPurchaseRows(t *testing.T) {
	var outs [2]strings.Builder
	for i := range outs {
		if err := WritePurchase(&outs[i], "json", PurchaseRows(weigh(t, six(), third))); err != nil {
			t.Fatal(err)
		}
	}
	if outs[0].String() != outs[1].String() {
		t.Error("two runs differ")
	}
	found := map[string]float64{}
	for line := range strings.Lines(outs[0].String()) {
		var r PurchaseRow
		if err := json.Unmarshal([]byte(line), &r); err != nil {
			t.Fatal(err)
		}
		if r.Value != nil {
			found[r.Candidate+"/"+r.Kind+"/"+r.Group+"/"+r.Name] = *r.Value
		}
	}
	for key, want := range map[string]float64{"Third/ventilator//avoided": 1, "Third/ventilator//shortfalls": 2, "/ventilator/2/none_free": 2, "/ventilator/3/time_at_level": 2.5,
		"Third/ventilator//cost_per_year": 1500, "/ventilator//failures": 0, "/team//requests": 6} {
		if got, ok := found[key]; !ok || got != want {
			t.Errorf("%s: %v (%v), want %v", key, got, ok, want)
		}
	}
	rows := []PurchaseRow{{Candidate: "=cmd()", Team: "\x1b[31m", Note: "@x", Group: "-1"}}
	var csv, table strings.Builder
	if err := firstOf(WritePurchase(&csv, "csv", rows), WritePurchase(&table, "table", rows)); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(csv.String(), "'=cmd()") || !strings.Contains(csv.String(), "'@x") || strings.Contains(table.String(), "\x1b") {
		t.Errorf("%q\n%q", csv.String(), table.String())
	}
	if WritePurchase(&csv, "xml", rows) == nil {
		t.Error("an unknown format was taken")
	}
}

func TestAmounts(t *testing.T) {
	for v, want := range map[float64]string{14.538: "14.54", 3: "3", 344.3: "344", 9641: "9\u202f640", 1234567: "1\u202f230\u202f000", -1500: "-1\u202f500", math.NaN(): "–", math.Inf(1): "–", 0: "0"} {
		if got := Amount(v); got != want {
			t.Errorf("%v: %q, want %q", v, got, want)
		}
	}
}
