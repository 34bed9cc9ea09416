package measures

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tripwake/queries"
)

// DefaultChange is a change of the usual alarm limit of one condition from one month to a later one, on the devices named,
// each with the first month in which the new limit was seen.
type DefaultChange struct {
	Condition string
	From, To  float64
	Month     string // the first month of any device
	Devices   []string
	Months    []string // of each device
}

// A device's limit of a month is taken for its default when at least two transports had it and it was that of most; a
// condition has a default on a device at all when over the months the limits of this kind were those of settled of all
// transports: limits set for each patient have none. Both bounds are our own.
const (
	leastTransports = 2
	settled         = 0.8
)

// DefaultChanges finds where the usual limit became another and stayed so in the next month in which it is known. The
// months of the answers are in order within condition and device.
func DefaultChanges(defaults []queries.AlarmDefault) []DefaultChange {
	var found []DefaultChange
	for len(defaults) > 0 {
		end := 1
		for end < len(defaults) && defaults[end].Condition == defaults[0].Condition && defaults[end].Device == defaults[0].Device {
			end++
		}
		for _, c := range changesOnDevice(defaults[:end]) {
			found = joinChange(found, c)
		}
		defaults = defaults[end:]
	}
	slices.SortStableFunc(found, func(a, b DefaultChange) int { return strings.Compare(a.Month+a.Condition, b.Month+b.Condition) })
	return found
}

func changesOnDevice(months []queries.AlarmDefault) []DefaultChange {
	var known []queries.AlarmDefault
	usual, all := 0, 0
	for _, m := range months {
		if m.Known >= leastTransports {
			usual, all = usual+m.Transports, all+m.Known
		}
		if m.Transports >= leastTransports && 2*m.Transports > m.Known {
			known = append(known, m)
		}
	}
	if float64(usual) < settled*float64(all) {
		return nil
	}
	var found []DefaultChange
	for i, standing := 1, 0; i < len(known); i++ {
		before, now := known[standing], known[i]
		if now.Value == before.Value || i+1 < len(known) && known[i+1].Value == before.Value {
			continue
		}
		standing = i
		found = append(found, DefaultChange{now.Condition, before.Value, now.Value, now.Month, []string{now.Device}, []string{now.Month}})
	}
	return found
}

// joinChange puts the same change on several devices together.
func joinChange(found []DefaultChange, c DefaultChange) []DefaultChange {
	for i := range found {
		f := &found[i]
		if f.Condition == c.Condition && f.From == c.From && f.To == c.To && !slices.Contains(f.Devices, c.Devices[0]) {
			f.Devices, f.Months = append(f.Devices, c.Devices[0]), append(f.Months, c.Month)
			f.Month = min(f.Month, c.Month)
			return found
		}
	}
	return append(found, c)
}

// Sentence tells the change in words.
func (c DefaultChange) Sentence() string {
	return fmt.Sprintf("Usual limit of the alarm %s: %s, first seen in %s.", queries.Words(c.Condition), c.LimitWords(), c.DevicesWords())
}

// LimitWords tells the limits: "from 4.5 to 3.2 mL/kg".
func (c DefaultChange) LimitWords() string {
	decimals := 1
	if c.From == math.Trunc(c.From) && c.To == math.Trunc(c.To) {
		decimals = 0
	}
	return strings.TrimSpace(fmt.Sprintf("from %s to %s %s", fixed(c.From, decimals), fixed(c.To, decimals), LimitUnit(c.Condition)))
}

// DevicesWords tells when the new limit was first seen on which device: "October 2025 on V1, V2; November 2025 on V4".
func (c DefaultChange) DevicesWords() string {
	var parts []string
	for _, month := range slices.Compact(slices.Sorted(slices.Values(c.Months))) {
		var devices []string
		for i, m := range c.Months {
			if m == month {
				devices = append(devices, c.Devices[i])
			}
		}
		parts = append(parts, MonthWords(month)+" on "+strings.Join(devices, ", "))
	}
	return strings.Join(parts, "; ")
}

// units of the quantities that alarms watch, as a reader writes them (quantities.csv; volumes per kg of weight).
var quantityUnits = map[string]string{
	"pip": "cmH2O", "peep": "cmH2O", "mean_airway_pressure": "cmH2O", "rate": "/min", "expired_tidal_volume": "mL/kg",
	"minute_volume": "L/min/kg", "leak": "%", "fio2": "%", "spo2": "%", "heart_rate": "/min", "etco2": "mmHg", "temperature": "°C",
	"blood_pressure": "mmHg", "battery_charge": "%", "oxygen_supply_pressure": "kPa",
}

// quantityOf is the quantity whose readings a condition watches, empty for none. The readings of measured inspired oxygen
// are called fio2.
func quantityOf(condition string) string {
	switch condition {
	case "gas_supply_low":
		return "oxygen_supply_pressure"
	case "battery_low":
		return "battery_charge"
	case "oxygen_high", "oxygen_low":
		return "fio2"
	}
	name := strings.TrimSuffix(strings.TrimSuffix(condition, "_high"), "_low")
	if quantityUnits[name] == "" {
		return ""
	}
	return name
}

// QuantityUnit is the unit of a quantity's readings as a reader writes it, empty where it is not known.
func QuantityUnit(quantity string) string { return strings.TrimSuffix(quantityUnits[quantity], "/kg") }

// LimitUnit is the unit of a condition's limits as a reader writes it, empty where it has none.
func LimitUnit(condition string) string { return quantityUnits[quantityOf(condition)] }
