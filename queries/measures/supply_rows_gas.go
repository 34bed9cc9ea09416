package measures

import (
	"context"
	"fmt"
	"slices"

	"tripwake/queries"
)

// gases tells of oxygen and air, which the crew plans.
func (s *supplyRows) gases(ctx context.Context) error {
	for _, one := range []struct {
		name string
		read func(ctx context.Context, from, to string) ([]queries.GasPlan, error)
	}{{"oxygen", s.from.OxygenPlan}, {"air", s.from.AirPlan}} {
		plans, err := one.read(ctx, s.first, s.last)
		if err == nil {
			err = s.gas(ctx, one.name, plans)
		}
		if err != nil {
			return fmt.Errorf("%s: %w", one.name, err)
		}
	}
	return nil
}

func (s *supplyRows) gas(ctx context.Context, name string, plans []queries.GasPlan) error {
	groups, err := s.from.GasGroups(ctx, name, s.first, s.last)
	if err != nil {
		return err
	}
	s.bridges(name, plans, groups)
	s.use(name, groups)
	for _, add := range []func() error{
		func() error { return s.leaks(name, groups) },
		func() error { return s.ratios(ctx, name, plans) },
		func() error { return s.agreements(name, plans) },
		func() error { return s.margins(ctx, name) },
		func() error { return s.reserves(ctx, name) },
	} {
		if err := add(); err != nil {
			return err
		}
	}
	return nil
}

// bridges go from the plan to the use: all, each month, each ventilator.
func (s *supplyRows) bridges(name string, plans []queries.GasPlan, groups []queries.GasGroup) {
	at := SupplyRow{Supply: name, About: "bridge"}
	s.bridge(at, BridgeOf(plans, ""))
	for _, b := range BridgesBy(groups, queries.GasByMonth) {
		at.Month = b.Name
		s.bridge(at, b.Bridge)
	}
	at.Month, at.By = "", "device"
	for _, b := range BridgesBy(groups, queries.GasByDevice) {
		at.Group = b.Name
		s.bridge(at, b.Bridge)
	}
}

func (s *supplyRows) bridge(at SupplyRow, b Bridge) {
	if at.N = b.Transports; at.N == 0 {
		return
	}
	s.add(at.of("planned", "L", b.Planned), at.of("duration_effect", "L", b.DurationEffect), at.of("settings_effect", "L", b.SettingsEffect),
		at.of("unexplained", "L", b.Unexplained), at.of("used", "L", b.Used))
}

// groupPlace is where the numbers of a group stand.
func groupPlace(name, about string, g queries.GasGroup) SupplyRow {
	at := SupplyRow{Supply: name, About: about, Month: g.Month, Group: g.Name, N: g.Transports}
	switch g.Kind {
	case queries.GasByDevice, queries.GasByDeviceMonth:
		at.By = "device"
	case queries.GasByCylinder:
		at.By = "cylinder"
	}
	return at
}

// use is what was asked for and used in all, with or without a plan.
func (s *supplyRows) use(name string, groups []queries.GasGroup) {
	for _, g := range groups {
		at := groupPlace(name, "use", g)
		s.add(at.of("asked_for", "L", g.Hindsight), at.of("used", "L", g.Used), at.of("unexplained", "L", g.Unexplained), at.of("minutes", "min", g.Minutes),
			at.of("over_gauges", "1", float64(g.BeyondGauge)))
	}
}

// leaks are the unexplained parts of ventilators, their months and cylinders, and which of them stand out.
func (s *supplyRows) leaks(name string, groups []queries.GasGroup) error {
	leaks, err := LeaksOf(groups)
	if err != nil {
		return err
	}
	if len(leaks.Devices) > 0 {
		usual := SupplyRow{Supply: name, About: "leak"}
		for _, d := range leaks.Devices {
			usual.N += d.Transports
		}
		s.add(usual.of("usual_level", "L/min", leaks.Common))
	}
	for _, g := range groups {
		if g.Kind != queries.GasByDevice && g.Kind != queries.GasByDeviceMonth && g.Kind != queries.GasByCylinder {
			continue
		}
		u, err := leaks.judge(g)
		if err != nil {
			return fmt.Errorf("unexplained gas of %s %q: %w", g.Kind, g.Name, err)
		}
		at := groupPlace(name, "leak", g)
		stands := u.StandsOut && (g.Kind != queries.GasByCylinder || g.Name != queries.NotRecorded)
		s.add(at.within("unexplained_rate", "L/min", Limit{u.Rate, u.Low, u.High}).marked(stands), at.of("gauge_error", "L/min", u.Gauge))
	}
	return nil
}

// ratios follow used over asked for by month, with the chart's limits.
func (s *supplyRows) ratios(ctx context.Context, name string, plans []queries.GasPlan) error {
	months, err := s.from.Months(ctx, s.first, s.last)
	if err != nil {
		return err
	}
	found, err := HindsightMonths(plans, months)
	if err != nil {
		return err
	}
	for _, m := range found {
		if m.N == 0 {
			continue
		}
		at := SupplyRow{Supply: name, About: "used_over_asked_for", Month: m.Month, N: m.N}
		s.add(at.of("ratio", "1", m.Ratio).marked(m.Signal != ""), at.of("centre", "1", m.Centre), at.of("lower_limit", "1", m.Lower),
			at.of("upper_limit", "1", m.Upper), at.of("over_gauges", "1", float64(m.Over)))
	}
	return nil
}

// agreements hold the use against the plan and against the settings.
func (s *supplyRows) agreements(name string, plans []queries.GasPlan) error {
	for _, one := range []struct {
		group   string
		compare func([]queries.GasPlan) (Agreement, error)
	}{{"planned", AgreementOf}, {"asked_for", HindsightAgreementOf}} {
		a, err := one.compare(plans)
		if err != nil {
			return fmt.Errorf("agreement with %s: %w", one.group, err)
		}
		s.agreement(SupplyRow{Supply: name, By: "expected", Group: one.group, N: len(a.Points)}, a)
	}
	return nil
}

func (s *supplyRows) agreement(at SupplyRow, a Agreement) {
	at.About = "agreement"
	names, unit := [3]string{"mean_difference", "lower_limit", "upper_limit"}, "L"
	if a.Log {
		names[0], unit = "mean_ratio", "1"
	}
	if a.Judged {
		for i, l := range []Limit{a.Bias, a.Lower, a.Upper} {
			s.add(at.within(names[i], unit, l))
		}
	}
	if len(a.Points)+a.LeftOut > 0 {
		s.add(at.of("left_out", "1", float64(a.LeftOut)))
	}
	at.About = "calibration"
	if intercept, slope, ok := LineOf(a); ok && a.Judged {
		s.add(at.within("intercept", "L", intercept), at.within("slope", "1", slope))
	}
}

// margins are what would have covered 99 of 100 past transports.
func (s *supplyRows) margins(ctx context.Context, name string) error {
	groups, err := s.from.GasMargins(ctx, name, s.first, s.last)
	if err != nil {
		return err
	}
	margins, err := MarginsOf(groups)
	if err != nil {
		return err
	}
	for _, m := range margins {
		at := SupplyRow{Supply: name, About: "margin", By: "vehicle,class", Group: m.Vehicle + "," + m.Class, N: m.N}
		s.add(at.covering("per_planned_hour", "L/h", m.PerHour), at.covering("of_plan", "1", m.OfPlan))
	}
	return nil
}

// covering puts a 99 % quantile at a place; an open interval has no upper limit.
func (r SupplyRow) covering(name, unit string, c Cover) SupplyRow {
	r = r.of(name, unit, c.Value)
	if r.Low = told(c.Low); !c.Open {
		r.High = told(c.High)
	}
	return r
}

// reserves are what was left on arrival: of all, of each month, and the transports below the reserve.
func (s *supplyRows) reserves(ctx context.Context, name string) error {
	left, err := s.from.GasReserves(ctx, name, s.first, s.last)
	if err != nil {
		return err
	}
	if err := s.reserve(name, "", left); err != nil {
		return err
	}
	byMonth := map[string][]queries.GasReserve{}
	var months []string
	for _, one := range left {
		if byMonth[one.Month] == nil {
			months = append(months, one.Month)
		}
		byMonth[one.Month] = append(byMonth[one.Month], one)
	}
	slices.Sort(months)
	for _, month := range months {
		if err := s.reserve(name, month, byMonth[month]); err != nil {
			return err
		}
	}
	return nil
}

func (s *supplyRows) reserve(name, month string, left []queries.GasReserve) error {
	r, err := ReservesOf(left)
	if err != nil || r.Judged == 0 {
		return err
	}
	at := SupplyRow{Supply: name, About: "reserve", Month: month, N: r.Judged}
	s.add(at.of("below_reserve", "1", float64(r.Short)), at.of("without_demand", "1", float64(r.Judged-r.Demanded)))
	if at.N = r.Demanded; at.N > 0 {
		s.add(at.of("median_left", "min", r.Median))
	}
	if month == "" { // each transport stands in its own month, once
		return nil
	}
	for _, c := range r.Cases {
		one := SupplyRow{Supply: name, About: "reserve", Month: month, By: "transport", Group: s.name(c.TransportID), N: 1}
		s.add(one.of("minutes_left", "min", c.Minutes).marked(true), one.of("left", "L", c.Left), one.of("last_demand", "L/min", c.LastFlow))
	}
	return nil
}

// nitric tells of nitric oxide, which the crew does not plan.
func (s *supplyRows) nitric(ctx context.Context) error {
	groups, err := s.from.GasGroups(ctx, "nitric_oxide", s.first, s.last)
	if err != nil {
		return fmt.Errorf("nitric oxide: %w", err)
	}
	s.use("nitric_oxide", groups)
	return nil
}

// doubts count the cylinder rows to be doubted. They are of all records, whatever months are asked.
func (s *supplyRows) doubts(ctx context.Context) error {
	doubts, err := s.from.GasDoubts(ctx)
	if err != nil {
		return err
	}
	for _, d := range doubts {
		at := SupplyRow{Supply: d.Gas, About: "doubt", By: "reason", Group: d.Reason, N: d.Transports}
		s.add(at.of("cylinder_rows", "1", float64(d.Cylinders)))
	}
	return nil
}
