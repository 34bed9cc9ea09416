package queries

import "time"

// Watch are the settings of alarms and support that differ between places.
type Watch struct {
	FloodEnd        int           // a flood ends when fewer onsets than this fall into FloodWindow before (ANSI/ISA-18.2, IEC 62682)
	ReadingHolds    time.Duration // the longest time for which a reading holds when no other follows
	PressureApart   float64       // cm[H2O]; a measured pressure further than this from the set one is apart from it
	TidalVolumeLow  float64       // mL/kg; exhaled tidal volume below it (common practice)
	TidalVolumeHigh float64       // mL/kg; exhaled tidal volume above it (common practice)
	SpO2Low         float64       // %; below the target range (common practice, set locally)
	SpO2High        float64       // %; above the target range (common practice, set locally)
}

// DefaultWatch returns the settings of definitions.md, and where it is silent those of common practice.
func DefaultWatch() Watch {
	return Watch{FloodEnd: 5, ReadingHolds: time.Minute, PressureApart: 2, TidalVolumeLow: 4, TidalVolumeHigh: 6, SpO2Low: 90, SpO2High: 95}
}

func (w Watch) numbers() []number {
	return []number{
		{"flood_end", float64(w.FloodEnd), 1, 10000},
		{"reading_holds", w.ReadingHolds.Minutes(), 0, 1440},
		{"pressure_apart", w.PressureApart, 0, 100},
		{"tidal_volume_low", w.TidalVolumeLow, 0, 100},
		{"tidal_volume_high", w.TidalVolumeHigh, 0, 100},
		{"spo2_low", w.SpO2Low, 0, 100},
		{"spo2_high", w.SpO2High, 0, 100},
	}
}
