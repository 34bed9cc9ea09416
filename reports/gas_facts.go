package reports

import (
	"context"
	"fmt"

	"tripwake/queries"
	"tripwake/queries/measures"
)

// supplies is what is known of gas and power over the months shown.
type supplies struct {
	gases        []gas
	nitric       []queries.GasGroup
	doubts       []queries.GasDoubt
	set          queries.Settings
	batteries    []measures.BatteryUse // by ventilator, then all
	overdrawn    []queries.BatteryShare
	fades        []measures.Fade
	reserveShort []reserveCase
	reserves     map[string]measures.Reserves
}

// gas is what was planned and used of one gas.
type gas struct {
	name               string // "oxygen", "air"
	planned, hindsight measures.Agreement
	now, all           measures.Bridge
	months, devices    []measures.BridgeBy
	leaks              measures.Leaks
	margins            []measures.Margin
	ratios             []measures.RatioMonth
}

// reserveCase is a transport of the month that arrived below the reserve of a gas.
type reserveCase struct {
	gas string
	queries.GasReserve
}

func (f *facts) readSupplies(ctx context.Context, in Input) error {
	f.supplies.set = in.Reader.Settings()
	for _, read := range []func(context.Context, Input) error{f.readGas, f.readReserves, f.readPower} {
		if err := read(ctx, in); err != nil {
			return err
		}
	}
	return nil
}

func (f *facts) readGas(ctx context.Context, in Input) error {
	for _, one := range []struct {
		name string
		read func(ctx context.Context, from, to string) ([]queries.GasPlan, error)
	}{{"oxygen", in.Reader.OxygenPlan}, {"air", in.Reader.AirPlan}} {
		plans, err := one.read(ctx, f.review.First, in.Month)
		if err != nil {
			return err
		}
		g, err := f.gasOf(ctx, in, one.name, plans)
		if err != nil {
			return fmt.Errorf("%s: %w", one.name, err)
		}
		f.supplies.gases = append(f.supplies.gases, g)
	}
	var err error
	if f.supplies.nitric, err = in.Reader.GasGroups(ctx, "nitric_oxide", f.review.First, in.Month); err != nil {
		return err
	}
	f.supplies.doubts, err = in.Reader.GasDoubts(ctx)
	return err
}

func (f *facts) gasOf(ctx context.Context, in Input, name string, plans []queries.GasPlan) (gas, error) {
	g := gas{name: name, now: measures.BridgeOf(plans, in.Month), all: measures.BridgeOf(plans, "")}
	var err error
	if g.planned, err = measures.AgreementOf(plans); err != nil {
		return g, fmt.Errorf("planned: %w", err)
	}
	if g.hindsight, err = measures.HindsightAgreementOf(plans); err != nil {
		return g, fmt.Errorf("in hindsight: %w", err)
	}
	groups, err := in.Reader.GasGroups(ctx, name, f.review.First, in.Month)
	if err != nil {
		return g, err
	}
	g.months, g.devices = measures.BridgesBy(groups, queries.GasByMonth), measures.BridgesBy(groups, queries.GasByDevice)
	g.months = g.months[max(0, len(g.months)-monthsShown):]
	if g.leaks, err = measures.LeaksOf(groups); err != nil {
		return g, err
	}
	if g.ratios, err = measures.HindsightMonths(plans, f.months); err != nil {
		return g, err
	}
	margins, err := in.Reader.GasMargins(ctx, name, f.review.First, in.Month)
	if err != nil {
		return g, err
	}
	g.margins, err = measures.MarginsOf(margins)
	return g, err
}

func (f *facts) readReserves(ctx context.Context, in Input) error {
	f.supplies.reserves = map[string]measures.Reserves{}
	for _, g := range f.supplies.gases {
		left, err := in.Reader.GasReserves(ctx, g.name, in.Month, in.Month)
		if err != nil {
			return err
		}
		r, err := measures.ReservesOf(left)
		if err != nil {
			return fmt.Errorf("%s left on arrival: %w", g.name, err)
		}
		f.supplies.reserves[g.name] = r
		for _, one := range r.Cases {
			f.supplies.reserveShort = append(f.supplies.reserveShort, reserveCase{g.name, one})
		}
	}
	return nil
}

func (f *facts) readPower(ctx context.Context, in Input) error {
	groups, err := in.Reader.BatteryGroups(ctx, f.review.First, in.Month)
	if err != nil {
		return err
	}
	for _, kind := range []string{queries.GasByDevice, queries.GasAll} {
		batteries, err := measures.BatteriesBy(groups, kind)
		if err != nil {
			return err
		}
		f.supplies.batteries = append(f.supplies.batteries, batteries...)
	}
	shares, err := in.Reader.BatteryShares(ctx, in.Month, in.Month)
	if err != nil {
		return err
	}
	for _, s := range shares {
		if s.Overdrawn {
			f.supplies.overdrawn = append(f.supplies.overdrawn, s)
		}
	}
	slopes, err := in.Reader.BatterySlopes(ctx, f.review.First, in.Month)
	if err != nil {
		return err
	}
	f.supplies.fades, err = measures.FadesOf(slopes, f.supplies.set.BatteryFade)
	return err
}
