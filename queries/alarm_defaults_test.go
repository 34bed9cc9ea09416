package queries

import (
	"fmt"
	"slices"
	"testing"
)

func TestAlarmDefaults(t *testing.T) {
	f := newFixture(t)
	limit := func(id string, minute float64, device, value string) {
		f.alarm(id, minute, unended, cells{"device_id": q(device), "condition": q("spo2_low"), "alarm_limit": value})
	}
	for _, id := range []string{"A", "B", "C"} {
		f.trip(id, nil)
		f.reading(id, "V", 180, "spo2", "90")
	}
	// On V, 88 on A and C, 85 twenty times on B: one patient who alarms a lot does not make a default. On M one transport.
	limit("A", 70, "V", "88")
	limit("C", 70, "V", "88.04")
	for i := range 20 {
		limit("B", 70+float64(i), "V", "85")
	}
	limit("B", 70, "M", "90")
	limit("A", 80, "M", "null")
	found, err := f.reader().AlarmDefaults(t.Context(), "", "")
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, d := range found {
		got = append(got, fmt.Sprint(d.Month, d.Device, d.Condition, d.Value, d.Transports, d.Known))
	}
	if want := []string{fmt.Sprint("2026-03", "M", "spo2_low", 90.0, 1, 1), fmt.Sprint("2026-03", "V", "spo2_low", 88.0, 2, 3)}; !slices.Equal(got, want) {
		t.Errorf("got %q, want %q", got, want)
	}
}
