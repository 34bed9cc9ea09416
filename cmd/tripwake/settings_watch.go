package main

import (
	"fmt"
	"strconv"
	"time"

	"tripwake/queries"
)

// watchSettings are those of alarms and support.
func watchSettings(d queries.Settings) []setting {
	return []setting{
		{"flood_end", strconv.Itoa(d.FloodEnd), "an alarm flood ends when fewer onsets than this fall into flood_window before", takeFloodEnd},
		span("reading_holds", d.ReadingHolds, "longest time for which a reading holds when no other follows", func(q *queries.Settings) *time.Duration { return &q.ReadingHolds }),
		number("pressure_apart", d.PressureApart, "cm[H2O]: a measured pressure further than this from the set one is apart", func(q *queries.Settings) *float64 { return &q.PressureApart }),
		number("tidal_volume_low", d.TidalVolumeLow, "mL/kg: exhaled tidal volume below it is low", func(q *queries.Settings) *float64 { return &q.TidalVolumeLow }),
		number("tidal_volume_high", d.TidalVolumeHigh, "mL/kg: exhaled tidal volume above it is high", func(q *queries.Settings) *float64 { return &q.TidalVolumeHigh }),
		number("spo2_low", d.SpO2Low, "%: SpO2 below it is under the target range", func(q *queries.Settings) *float64 { return &q.SpO2Low }),
		number("spo2_high", d.SpO2High, "%: SpO2 above it, on added oxygen, is over the target range", func(q *queries.Settings) *float64 { return &q.SpO2High }),
	}
}

func takeFloodEnd(s *settings, text string) (err error) {
	if s.queries.FloodEnd, err = strconv.Atoi(text); err != nil {
		return fmt.Errorf("expected a whole number, got %q", text)
	}
	return nil
}
