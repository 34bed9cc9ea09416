package queries

import (
	"fmt"
	"slices"
	"testing"
)

// V is rated 100 min lit and 200 dimmed. A: 60–100 lit, 100–180 dimmed: 40 and 80 min, a share of 0.8. B: 60–90 lit: 0.3. C on W, which
// has no rating: 60–180 lit.
func batteryFixture(t *testing.T) *fixture {
	t.Helper()
	f := newFixture(t)
	f.add("devices", cells{"device_id": q("V"), "kind": q("ventilator"), "battery_endurance": "100", "battery_endurance_display_dimmed": "200"})
	f.add("devices", cells{"device_id": q("W"), "kind": q("ventilator")})
	f.trip("A", nil)
	f.power("A", "V", 30, "battery", nil)
	f.power("A", "V", 100, "battery", cells{"display_dimmed": "true"})
	f.trip("B", nil)
	f.power("B", "V", 60, "battery", nil)
	f.power("B", "V", 90, "external", nil)
	f.trip("C", cells{"ventilator_id": q("W")})
	f.power("C", "W", 60, "battery", nil)
	return f
}

func TestBatteryGroups(t *testing.T) {
	if none, err := newFixture(t).reader().BatteryGroups(t.Context(), "", ""); err != nil || len(none) != 0 {
		t.Errorf("no transport: got %+v, %v, want no row", none, err)
	}
	f := batteryFixture(t)
	f.set.BatteryShare = 0.5
	low := func(id, device string, minute float64, condition string) {
		f.add("alarms", cells{"trip": q(id), "device_id": q(device), "started_at": at(minute), "condition": q(condition)})
	}
	low("A", "V", 150, "battery_low")
	low("A", "V", 160, "battery_low")
	low("A", "V", 170, "power_loss")
	low("A", "M", 170, "battery_low") // the monitor's battery
	low("A", "V", 190, "battery_low") // after the hand-over
	got, err := f.reader().BatteryGroups(t.Context(), "2026-03", "")
	if err != nil {
		t.Fatal(err)
	}
	var lines []string
	for _, g := range got {
		lines = append(lines, fmt.Sprintf("%s/%s/%s n %d lit %.0f dim %.0f on %d over %d of %d median %.2f highest %.2f low %d", g.Kind, g.Month, g.Name,
			g.Transports, g.Lit, g.Dim, g.DimmedTransports, g.Overdrawn, g.Rated, g.MedianShare, g.HighestShare, g.LowAlarms))
	}
	want := []string{
		"all// n 3 lit 190 dim 80 on 1 over 1 of 2 median 0.55 highest 0.80 low 2",
		"device//V n 2 lit 70 dim 80 on 1 over 1 of 2 median 0.55 highest 0.80 low 2",
		"device//W n 1 lit 120 dim 0 on 0 over 0 of 0 median 0.00 highest 0.00 low 0",
		"device and month/2026-03/V n 2 lit 70 dim 80 on 1 over 1 of 2 median 0.55 highest 0.80 low 2",
		"device and month/2026-03/W n 1 lit 120 dim 0 on 0 over 0 of 0 median 0.00 highest 0.00 low 0",
		"month/2026-03/ n 3 lit 190 dim 80 on 1 over 1 of 2 median 0.55 highest 0.80 low 2",
	}
	if !slices.Equal(lines, want) {
		t.Errorf("got  %q\nwant %q", lines, want)
	}
}
