package measures

import (
	"context"
	"fmt"
	"time"

	"tripwake/queries"
	"tripwake/queries/stats"
)

// PurchaseSource is what a purchase needs of package queries; *queries.Reader is one.
type PurchaseSource interface {
	Settings() queries.Settings
	Period(ctx context.Context) (first, last string, err error)
	DeviceRequests(ctx context.Context, kind, team, from, to string) ([]queries.DeviceRequest, error)
	DevicePresence(ctx context.Context, kind, team string, from, until time.Time) ([]queries.Presence, error)
	DeviceDowntime(ctx context.Context, from, until time.Time) ([]queries.Downtime, error)
	BatteryLoads(ctx context.Context, from, to string) ([]queries.BatteryLoad, error)
	BatterySlopes(ctx context.Context, from, to string) ([]queries.BatterySlope, error)
	GasLoads(ctx context.Context, gas, from, to string) ([]queries.GasLoad, error)
	SupplyFailures(ctx context.Context, from, to string) ([]queries.SupplyFailure, error)
}

// PurchaseAsk says what a purchase is judged on: candidates, months "2026-03" (empty: the first or last that has a transport),
// the currency that prices are in, and the probability that a fleet must reach (0 to 1).
type PurchaseAsk struct {
	Candidates []Candidate
	From, To   string
	Currency   string
	Target     float64
}

// Purchase is the need as it was and what each candidate would have changed. A store without transports has an empty Span.
type Purchase struct {
	Span        PurchaseSpan
	Currency    string
	Target      float64
	Needs       []FleetNeed   // the whole fleet of each registered kind, then ventilators by team where there are several, then all requests
	Reliability []Reliability // each kind, followed by its devices
	Supplies    []SupplyNeed  // battery, oxygen and air of all transports; Would is not filled
	Failures    []queries.SupplyFailure
	Answers     []Answer
}

// Answer is what the records say of one candidate. A shortfall is a request that found no device free, a battery overdrawn, or
// gas below the reserve.
type Answer struct {
	Candidate     Candidate
	Fleet         *FleetNeed  // of a device
	Supply        *SupplyNeed // of a battery or cylinders
	Up            UpTable     // of a device: k of n
	Before, With  Limit       // shortfalls of the replay, without and with the candidate
	Avoided       Limit
	Shared        *Shared         // devices of one team: the same kind of device shared by all teams
	Recorded      int             // devices: requests recorded as declined or delayed for want of equipment
	Months        []PurchaseMonth // empty where nothing was replayed
	Weeks         int             // weeks in which the candidate would have avoided any
	Plain         Limit           // devices: avoided if every unit had been there at all times
	ErlangAvoided float64
	Standing      string // StandsFor, StandsAgainst or StandsOpen
	Verdict       string
	Reasons       []string
	Cost          Cost
}

// Spared are those of Before that the candidate would have avoided; none where it makes a month worse.
func (m PurchaseMonth) Spared() int { return max(0, m.Before-m.With) }

// Shared is what would have happened had all teams' units of a kind served all teams' requests, units away as they were.
type Shared struct {
	Units, Requests int
	Lost            Limit
}

// What the records say of a candidate: that it would have avoided shortfalls beyond chance, that it would have changed nothing
// or made it worse, or neither.
const (
	StandsFor     = "for"
	StandsAgainst = "against"
	StandsOpen    = "open"
)

// purchasing gathers a Purchase.
type purchasing struct {
	from   PurchaseSource
	ask    PurchaseAsk
	span   PurchaseSpan
	homes  map[string]string // the team of each device
	result Purchase
}

// NewPurchase works out a purchase. It refuses months that are none and a target outside 0 to 1.
func NewPurchase(ctx context.Context, from PurchaseSource, ask PurchaseAsk) (Purchase, error) {
	for _, month := range []string{ask.From, ask.To} {
		if _, err := time.Parse(monthOnly, month); month != "" && err != nil {
			return Purchase{}, fmt.Errorf("purchase: month %q: expected YYYY-MM, such as 2026-03", month)
		}
	}
	first, last, err := from.Period(ctx)
	if err != nil {
		return Purchase{}, err
	}
	if ask.From != "" {
		first = ask.From
	}
	if ask.To != "" {
		last = ask.To
	}
	p := purchasing{from: from, ask: ask, homes: map[string]string{}, result: Purchase{Currency: ask.Currency, Target: ask.Target}}
	if first == "" || last == "" || first > last && (ask.From == "" || ask.To == "") {
		return p.result, nil
	}
	if p.span, err = spanOf(first, last, from.Settings().TimeZone); err != nil {
		return Purchase{}, err
	}
	p.result.Span = p.span
	for _, read := range []func(context.Context) error{p.readDevices, p.readNeeds, p.readSupplies, p.readCandidates} {
		if err := read(ctx); err != nil {
			return Purchase{}, err
		}
	}
	return p.result, nil
}

func (p *purchasing) readDevices(ctx context.Context) error {
	downtime, err := p.from.DeviceDowntime(ctx, p.span.Start, p.span.End)
	if err != nil {
		return err
	}
	for _, d := range downtime {
		p.homes[d.Device] = d.Team
	}
	p.result.Reliability, err = reliabilities(downtime)
	return err
}

// readNeeds tells the need for each registered kind, for the ventilators of each team, and for everything together.
func (p *purchasing) readNeeds(ctx context.Context) error {
	var pools [][2]string
	teams := map[string]bool{}
	var ventilators [][2]string
	for _, r := range p.result.Reliability {
		if r.Name == r.Kind && r.Team == "" && r.Kind != "other" && !contains(pools, [2]string{r.Kind, ""}) {
			pools = append(pools, [2]string{r.Kind, ""})
		}
		if r.Kind == "ventilator" && r.Team != "" && !teams[r.Team] {
			teams[r.Team] = true
			ventilators = append(ventilators, [2]string{r.Kind, r.Team})
		}
	}
	if len(ventilators) > 1 {
		pools = append(pools, ventilators...)
	}
	for _, pool := range append(pools, [2]string{queries.WholeTeam, ""}) {
		need, err := p.fleetNeed(ctx, pool[0], pool[1], 0, 1)
		if err != nil {
			return err
		}
		p.result.Needs = append(p.result.Needs, need)
	}
	return nil
}

func contains(pools [][2]string, one [2]string) bool {
	for _, p := range pools {
		if p == one {
			return true
		}
	}
	return false
}

func (p *purchasing) readSupplies(ctx context.Context) (err error) {
	if p.result.Supplies, err = p.supplyOverview(ctx); err != nil {
		return err
	}
	p.result.Failures, err = p.from.SupplyFailures(ctx, p.span.First, p.span.Last)
	return err
}

func (p *purchasing) readCandidates(ctx context.Context) error {
	for _, c := range p.ask.Candidates {
		answer, err := p.answer(ctx, c)
		if err != nil {
			return fmt.Errorf("candidate %q: %w", c.Name, err)
		}
		p.result.Answers = append(p.result.Answers, answer)
	}
	return nil
}

func (p *purchasing) answer(ctx context.Context, c Candidate) (Answer, error) {
	a := Answer{Candidate: c}
	var err error
	switch {
	case c.IsDevice():
		err = p.answerDevice(ctx, &a)
	case c.Kind == KindBattery:
		err = p.answerSupply(ctx, &a, p.battery)
	default:
		err = p.answerSupply(ctx, &a, p.cylinders)
	}
	if err != nil {
		return a, err
	}
	a.Cost = costOf(a, p.span.Years())
	a.judge()
	a.Verdict, a.Reasons = p.verdict(a), p.reasons(a)
	return a, nil
}

func (p *purchasing) answerDevice(ctx context.Context, a *Answer) error {
	need, err := p.fleetNeed(ctx, a.Candidate.Kind, a.Candidate.Team, a.Candidate.Units, a.Candidate.Add)
	if err != nil {
		return err
	}
	a.Fleet, a.Recorded, a.Shared = &need, need.TurnedAway+need.Delayed, p.shared(need)
	for _, r := range p.result.Reliability {
		if r.Name == r.Kind && r.Kind == need.Kind {
			if a.Up, err = upTable(need, a.Candidate.Add, r.Availability, p.ask.Target); err != nil {
				return err
			}
		}
	}
	now, with, ok := a.Replays()
	if !ok {
		return nil
	}
	a.Before, a.With, a.ErlangAvoided = now.AsItWas, with.AsItWas, now.Erlang-with.Erlang
	if a.Plain, _, err = fewer(now.lost.weeks, with.lost.weeks); err != nil {
		return err
	}
	return a.avoid(p.span, need.asked, need.recorded, now.was, with.was)
}

// shared finds the need of all teams together for a need of one.
func (p *purchasing) shared(of FleetNeed) *Shared {
	for _, n := range p.result.Needs {
		if r, ok := n.Replay(n.Units); ok && n.Kind == of.Kind && n.Team == "" && of.Team != "" {
			return &Shared{n.Units, n.Requests, r.AsItWas}
		}
	}
	return nil
}

func (p *purchasing) answerSupply(ctx context.Context, a *Answer, replay func(context.Context, Candidate) (SupplyNeed, error)) error {
	need, err := replay(ctx, a.Candidate)
	if err != nil {
		return err
	}
	a.Supply = &need
	if need.Transports == 0 {
		return nil
	}
	a.Before, a.With = need.Was, need.Would
	return a.avoid(p.span, need.judged, p.span.tally(), need.was, need.would)
}

// avoid takes the difference of two replays, week by week, and lists the months.
func (a *Answer) avoid(span PurchaseSpan, all, recorded, before, with tally) error {
	var weeks []float64
	var err error
	if a.Avoided, weeks, err = fewer(before.weeks, with.weeks); err != nil {
		return err
	}
	for _, w := range weeks {
		a.Weeks += countIf(w > 0)
	}
	for i := range span.Months() {
		a.Months = append(a.Months, PurchaseMonth{span.Start.AddDate(0, i, 0).Format(monthOnly), int(all.months[i]), int(recorded.months[i]),
			int(before.months[i]), int(with.months[i])})
	}
	return nil
}

// PurchaseMonth is one month of a candidate: requests or transports replayed, those of them recorded as declined or delayed for want
// of equipment (devices), and shortfalls before and with the candidate.
type PurchaseMonth struct {
	Month                       string
	All, Recorded, Before, With int
}

// judge says on which side the records are. Nothing replayed leaves it open.
func (a *Answer) judge() {
	switch {
	case !a.Replayed():
		a.Standing = StandsOpen
	case a.Avoided.Low > 0:
		a.Standing = StandsFor
	case a.Avoided.Value <= 0:
		a.Standing = StandsAgainst
	default:
		a.Standing = StandsOpen
	}
}

// Replayed says that there was something to replay.
func (a Answer) Replayed() bool {
	return a.Fleet != nil && a.Fleet.Requests > 0 || a.Supply != nil && a.Supply.Transports > 0
}

// Sizes are how many units there are now, and with the candidate; both 0 for what is no device.
func (a Answer) Sizes() (now, with int) {
	if a.Fleet == nil {
		return 0, 0
	}
	return a.Fleet.Units, a.Fleet.Units + a.Candidate.Add
}

// Replays are those of the sizes of now and with the candidate; false where nothing was replayed, or it is no device.
func (a Answer) Replays() (now, with FleetReplay, ok bool) {
	if a.Fleet == nil {
		return now, with, false
	}
	size, more := a.Sizes()
	now, ok1 := a.Fleet.Replay(size)
	with, ok2 := a.Fleet.Replay(more)
	return now, with, ok1 && ok2
}

// zeroCeiling is how many a year none in so many years still allows: the upper exact Poisson limit.
func zeroCeiling(years float64) float64 {
	e, err := stats.PoissonExact(0, years)
	if err != nil {
		return missing
	}
	return e.High
}
