package queries

import (
	"fmt"
	"math"
	"time"
)

// Settings are the numbers that differ between places. Defaults gives those of definitions.md.
type Settings struct {
	TimeZone           *time.Location       // the team's zone: months, in-service days and month bounds are local to it
	MobilizationTarget float64              // min; mobilization at or under it is on target (Schwartz 2015)
	CylinderFactors    map[string]float64   // L of free gas per psi of gauge pressure, by US size letter (Virginia EMS hand-out 2010)
	GaugeDivision      float64              // psi; one division of the gauge's scale, half of it is the error of a reading
	ResidualPressure   float64              // psi; gauge pressure below which a cylinder counts as empty
	OxygenReserve      float64              // min; minutes left on arrival below it are short (common practice)
	LiquidFactor       float64              // L of free gas per lb of liquid oxygen (respiratory care textbooks)
	LeakAllowance      float64              // 1; leak added to the demand as a share of it
	BleedFlow          float64              // L/min; gas the ventilator itself uses
	DeviceGas          map[string]DeviceGas // instead of LeakAllowance and BleedFlow, by device id or kind of device, in any letter case
	CorrectTemperature bool                 // bring cylinder pressures to one temperature where both are recorded
	ContentsAt         float64              // Cel; the temperature at which contents are told when CorrectTemperature is set (70 °F, that of filling)
	BatteryFade        float64              // 1; a battery whose endurance is below this part of its rating stands out (common practice)
	ChargeFloor        float64              // %; readings of a battery's charge at or below it say nothing of its slope (common practice)
	BatteryShare       float64              // 1; share of the rated endurance above which a battery is overdrawn
	EpisodeMinimum     time.Duration        // a shorter support episode is passed over
	FloodOnsets        int                  // alarm onsets inside FloodWindow from which on it is a flood (ANSI/ISA-18.2, IEC 62682)
	FloodWindow        time.Duration        // see FloodOnsets; both ends included
	RepeatWithin       time.Duration        // an onset sooner than this after the end of its like is a repeat
	LeakCheckBefore    time.Duration        // how long before acceptance a leak check counts
	Hypothermia        float64              // Cel; below it (WHO 1997, Schwartz 2015)
	Hyperthermia       float64              // Cel; above it (WHO 1997)
	Hypocarbia         float64              // mm[Hg]; pCO2 below it (Penman 2014: 4 kPa)
	Hypercarbia        float64              // mm[Hg]; pCO2 above it, together with Acidosis (common practice)
	Acidosis           float64              // pH below it (common practice)
	GlucoseLow         float64              // mg/dL; below it (Ramnarayan 2009)
	Turnaround         time.Duration        // after a transport, until its devices can go out again
	Watch                                   // alarms and support
}

// Defaults returns the settings of definitions.md and measures.csv, in UTC.
func Defaults() Settings {
	return Settings{
		TimeZone:           time.UTC,
		MobilizationTarget: 30,
		CylinderFactors:    map[string]float64{"D": 0.16, "E": 0.28, "M": 1.56, "G": 2.41, "H": 3.14, "K": 3.14},
		GaugeDivision:      50,
		ResidualPressure:   0,
		OxygenReserve:      30,
		LiquidFactor:       344,
		LeakAllowance:      0,
		BleedFlow:          0,
		ContentsAt:         21.1,
		BatteryFade:        0.8,
		ChargeFloor:        5,
		BatteryShare:       0.8,
		EpisodeMinimum:     2 * time.Minute,
		FloodOnsets:        11,
		FloodWindow:        10 * time.Minute,
		RepeatWithin:       time.Minute,
		LeakCheckBefore:    12 * time.Hour,
		Hypothermia:        36.5,
		Hyperthermia:       37.5,
		Hypocarbia:         30.0,
		Hypercarbia:        52.5,
		Acidosis:           7.2,
		GlucoseLow:         45.0,
		Turnaround:         30 * time.Minute,
		Watch:              DefaultWatch(),
	}
}

// Validate refuses settings that no question can use; the error names the key, the value and what was expected.
func (s Settings) Validate() error {
	if s.TimeZone == nil {
		return fmt.Errorf("time_zone: expected an IANA zone, got none")
	}
	for _, n := range s.numbers() {
		if math.IsNaN(n.value) || n.value < n.min || n.value > n.max {
			return fmt.Errorf("%s: expected a number from %g to %g, got %g", n.key, n.min, n.max, n.value)
		}
	}
	return firstError(s.validateCylinders(), s.validateDevices())
}

func (s Settings) validateCylinders() error {
	for size, factor := range s.CylinderFactors {
		if size == "" || math.IsNaN(factor) || factor <= 0 || factor > 100 {
			return fmt.Errorf("cylinder_factors.%s: expected litres per psi above 0 and at most 100, got %g", size, factor)
		}
	}
	return nil
}

// number is one numeric setting: its key (also the name of its SQL macro), its value in the unit SQL works in, its bounds.
type number struct {
	key             string
	value, min, max float64
}

// numbers lists every numeric setting; durations in minutes.
func (s Settings) numbers() []number {
	return append(s.Watch.numbers(), []number{
		{"mobilization_target", s.MobilizationTarget, 0, 1440},
		{"gauge_division", s.GaugeDivision, 0, 1000},
		{"residual_pressure", s.ResidualPressure, 0, 3000},
		{"oxygen_reserve", s.OxygenReserve, 0, 1440},
		{"liquid_factor", s.LiquidFactor, 1, 1000},
		{"leak_allowance", s.LeakAllowance, 0, 10},
		{"bleed_flow", s.BleedFlow, 0, 100},
		{"temperature_correction", oneIf(s.CorrectTemperature), 0, 1},
		{"contents_temperature", s.ContentsAt, -40, 70},
		{"battery_fade", s.BatteryFade, 0, 1},
		{"charge_floor", s.ChargeFloor, 0, 50},
		{"battery_share", s.BatteryShare, 0, 10},
		{"episode_minimum", s.EpisodeMinimum.Minutes(), 0, 1440},
		{"flood_onsets", float64(s.FloodOnsets), 1, 10000},
		{"flood_window", s.FloodWindow.Minutes(), 0, 1440},
		{"repeat_within", s.RepeatWithin.Minutes(), 0, 1440},
		{"leak_check_before", s.LeakCheckBefore.Minutes(), 0, 100000},
		{"hypothermia", s.Hypothermia, 20, 45},
		{"hyperthermia", s.Hyperthermia, 20, 45},
		{"hypocarbia", s.Hypocarbia, 0, 250},
		{"hypercarbia", s.Hypercarbia, 0, 250},
		{"acidosis", s.Acidosis, 6, 8},
		{"glucose_low", s.GlucoseLow, 0, 1500},
		{"turnaround", s.Turnaround.Minutes(), 0, 10000},
	}...)
}
