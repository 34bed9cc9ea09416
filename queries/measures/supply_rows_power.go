package measures

import (
	"context"
	"maps"
	"slices"

	"tripwake/queries"
)

// batteries tells how the ventilators' batteries were used: all, each month, each ventilator, both.
func (s *supplyRows) batteries(ctx context.Context) error {
	groups, err := s.from.BatteryGroups(ctx, s.first, s.last)
	if err != nil {
		return err
	}
	for _, kind := range []string{queries.GasAll, queries.GasByMonth, queries.GasByDevice, queries.GasByDeviceMonth} {
		found, err := BatteriesBy(groups, kind)
		if err != nil {
			return err
		}
		for _, b := range found {
			s.battery(b)
		}
	}
	return nil
}

func (s *supplyRows) battery(b BatteryUse) {
	if b.Transports == 0 {
		return
	}
	at := SupplyRow{Supply: "battery", About: "use", Month: b.Month, Group: b.Name, N: b.Transports}
	if b.Kind == queries.GasByDevice || b.Kind == queries.GasByDeviceMonth {
		at.By = "device"
	}
	s.add(at.of("hours", "h", b.Hours()))
	if b.Hours() > 0 {
		s.add(at.of("dimmed_share", "%", b.DimmedShare()))
	}
	if b.Alarms != nil {
		rate := at.of("low_battery_alarms", "/(100.h)", b.Alarms.Value)
		rate.Low, rate.High = told(b.Alarms.Low), told(b.Alarms.High)
		s.add(at.of("low_battery_onsets", "1", float64(b.LowAlarms)), rate)
	}
	if at.N = b.Rated; at.N > 0 {
		s.add(at.of("median_share_of_endurance", "%", 100*b.MedianShare), at.of("highest_share_of_endurance", "%", 100*b.HighestShare),
			at.of("overdrawn", "1", float64(b.Overdrawn)))
	}
}

// overdrawn lists the transports that used too much of a battery.
func (s *supplyRows) overdrawn(ctx context.Context) error {
	shares, err := s.from.BatteryShares(ctx, s.first, s.last)
	if err != nil {
		return err
	}
	for _, b := range shares {
		if !b.Overdrawn {
			continue
		}
		at := SupplyRow{Supply: "battery", About: "overdrawn", Month: b.Month, By: "transport", Group: s.name(b.TransportID), N: 1}
		s.add(at.of("share_of_endurance", "%", 100*b.Share).marked(true), at.of("lit", "min", b.Lit), at.of("dimmed", "min", b.Dim))
	}
	return nil
}

// fades tell how long a full battery of each ventilator lasts.
func (s *supplyRows) fades(ctx context.Context) error {
	slopes, err := s.from.BatterySlopes(ctx, s.first, s.last)
	if err != nil {
		return err
	}
	fades, err := FadesOf(slopes, s.from.Settings().BatteryFade)
	if err != nil {
		return err
	}
	for _, f := range fades {
		s.fade(f)
	}
	return nil
}

func (s *supplyRows) fade(f Fade) {
	at := SupplyRow{Supply: "battery", About: "endurance", By: "device", Group: f.Device, N: f.Last.Transports}
	if f.Rated > 0 {
		s.add(at.of("rated", "min", f.Rated))
	}
	s.add(at.lasting("first_three_months", f.First), at.lasting("last_three_months", f.Last).marked(f.StandsOut))
	if f.Rated > 0 && f.Last.Value > 0 {
		s.add(at.within("last_share_of_rated", "%", Limit{f.Percent(f.Last.Value), f.Percent(f.Last.Low), f.Percent(f.Last.High)}).marked(f.StandsOut))
	}
	for _, month := range slices.Sorted(maps.Keys(f.Months)) {
		at.Month = month
		s.add(at.lasting("month", f.Months[month]))
	}
}

// lasting puts an endurance at a place; a battery that lost no charge has none.
func (r SupplyRow) lasting(name string, e Endurance) SupplyRow {
	if r.N = e.Transports; e.Value <= 0 {
		return r.of(name, "min", missing)
	}
	return r.within(name, "min", Limit{e.Value, e.Low, e.High})
}
