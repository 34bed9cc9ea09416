package main

import (
	"fmt"
	"maps"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/viper"

	"tripwake/queries"
)

// supplySettings are those of the models of gas and battery that most teams never change.
func supplySettings(d queries.Settings) []setting {
	return []setting{
		{"device_gas", deviceGasText(d.DeviceGas), "leak (share of the set flow) and bleed (L/min) of single ventilators or kinds of device, such as \"V3 0.1 0.5, ventilator 0 0.3\"; others have leak_allowance and bleed_flow", takeDeviceGas},
		{"temperature_correction", strconv.FormatBool(d.CorrectTemperature), "true: cylinder pressures are brought to contents_temperature where both temperatures are recorded", takeCorrection},
		number("contents_temperature", d.ContentsAt, "Cel: see temperature_correction", func(q *queries.Settings) *float64 { return &q.ContentsAt }),
		number("battery_fade", d.BatteryFade, "share of its rated endurance below which a battery stands out", func(q *queries.Settings) *float64 { return &q.BatteryFade }),
		number("charge_floor", d.ChargeFloor, "%: battery charge read at or below it is left out of endurance", func(q *queries.Settings) *float64 { return &q.ChargeFloor }),
	}
}

// takeDeviceGas reads "V3 0.1 0.5, ventilator 0 0.3": a device or a kind of device, which may have spaces in its name, its
// leak and its bleed.
func takeDeviceGas(s *settings, text string) error {
	devices := map[string]queries.DeviceGas{}
	if strings.TrimSpace(text) != "" {
		for part := range strings.SplitSeq(text, ",") {
			fields := strings.Fields(part)
			if len(fields) < 3 {
				return fmt.Errorf("expected a device, its leak and its bleed such as \"V3 0.1 0.5\", got %q", part)
			}
			n := len(fields)
			leak, err1 := strconv.ParseFloat(fields[n-2], 64)
			bleed, err2 := strconv.ParseFloat(fields[n-1], 64)
			if err1 != nil || err2 != nil {
				return fmt.Errorf("expected a device, its leak and its bleed such as \"V3 0.1 0.5\", got %q", part)
			}
			devices[strings.Join(fields[:n-2], " ")] = queries.DeviceGas{Leak: leak, Bleed: bleed}
		}
	}
	s.queries.DeviceGas = devices
	return nil
}

func deviceGasText(devices map[string]queries.DeviceGas) string {
	var parts []string
	for _, name := range slices.Sorted(maps.Keys(devices)) {
		parts = append(parts, fmt.Sprintf("%s %g %g", name, devices[name].Leak, devices[name].Bleed))
	}
	return strings.Join(parts, ", ")
}

func takeCorrection(s *settings, text string) (err error) {
	if s.queries.CorrectTemperature, err = strconv.ParseBool(text); err != nil {
		return fmt.Errorf("expected true or false, got %q", text)
	}
	return nil
}

// mapOrText is a setting of the file that may stand there as a map or as the text that flags take.
func mapOrText(v *viper.Viper, key string) string {
	if text, ok := v.Get(key).(string); ok {
		return text
	}
	return mapText(v.GetStringMapString(key))
}
