package queries

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
)

// DeviceGas is how much gas one device, or one kind of device, takes beside what its settings ask for: Leak as a share of
// the set flow (1), Bleed in L/min. It stands for both LeakAllowance and BleedFlow.
type DeviceGas struct{ Leak, Bleed float64 }

func (s Settings) validateDevices() error {
	names := map[string]string{}
	for _, name := range slices.Sorted(maps.Keys(s.DeviceGas)) {
		d := s.DeviceGas[name]
		if name == "" || math.IsNaN(d.Leak) || d.Leak < 0 || d.Leak > 10 || math.IsNaN(d.Bleed) || d.Bleed < 0 || d.Bleed > 100 {
			return fmt.Errorf("device_gas.%s: expected a device, a leak from 0 to 10 and a bleed from 0 to 100 L/min, got %g and %g",
				name, d.Leak, d.Bleed)
		}
		if before, twice := names[strings.ToUpper(name)]; twice {
			return fmt.Errorf("device_gas.%s: expected each device once, got %s too; letter case does not tell them apart", name, before)
		}
		names[strings.ToUpper(name)] = name
	}
	return nil
}

// deviceTable holds the factors of single devices and kinds of device, under their names in capitals.
func deviceTable(devices map[string]DeviceGas) string {
	rows := make([]string, 0, len(devices))
	for name, d := range devices {
		rows = append(rows, fmt.Sprintf("(%s, %v::double, %v::double)", literal(strings.ToUpper(name)), d.Leak, d.Bleed))
	}
	slices.Sort(rows)
	return valuesTable("device_factors", "name varchar, leak double, bleed double", rows)
}

func oneIf(yes bool) float64 {
	if yes {
		return 1
	}
	return 0
}

func firstError(all ...error) error {
	for _, err := range all {
		if err != nil {
			return err
		}
	}
	return nil
}
