package measures

import "tripwake/queries"

// Bridge leads from the gas planned to the gas used, as means over transports in L. It adds up exactly: Planned +
// DurationEffect + SettingsEffect + Unexplained = Used (definitions, Gas).
type Bridge struct {
	Transports     int
	Planned        float64
	DurationEffect float64 // time on carried gas other than planned
	SettingsEffect float64 // settings other than planned
	Unexplained    float64 // leaks, gauges and the model's faults
	Used           float64
}

// BridgeOf takes the means over the transports of a month whose bridge can be drawn; month "" takes all.
func BridgeOf(plans []queries.GasPlan, month string) Bridge {
	var b Bridge
	for _, p := range plans {
		if p.Bridge == nil || month != "" && p.Month != month {
			continue
		}
		b.Transports++
		b.Planned += p.Planned
		b.DurationEffect += p.Bridge.DurationEffect
		b.SettingsEffect += p.Bridge.SettingsEffect
		b.Unexplained += p.Bridge.Unexplained
		b.Used += p.Used
	}
	for _, sum := range []*float64{&b.Planned, &b.DurationEffect, &b.SettingsEffect, &b.Unexplained, &b.Used} {
		*sum /= float64(max(b.Transports, 1))
	}
	return b
}

// Text prints litres without decimals; a bridge of no transport is empty.
func (b Bridge) Text(litres float64) string {
	if b.Transports == 0 {
		return ""
	}
	return fixed(litres, 0)
}
