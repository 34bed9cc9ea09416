package queries

import (
	"math"
	"testing"
)

func wantRange(t *testing.T, got RangeTime, seconds, below, above float64) {
	t.Helper()
	for _, pair := range [][2]float64{{got.Hours, seconds}, {got.Below, below}, {got.Above, above}} {
		if math.Abs(pair[0]-pair[1]/3600) > 1e-9 {
			t.Errorf("got %+v: want %v s, %v below, %v above", got, seconds, below, above)
			return
		}
	}
}

func TestTimeInRange(t *testing.T) {
	f := newFixture(t)
	f.trip("A", cells{"weight": "2000"})
	f.trip("no weight", nil)
	set := func(minute float64, mode, interfaced, fio2 string) {
		f.add("settings", cells{"trip": q("A"), "device_id": q("V"), "recorded_at": at(minute), "mode": q(mode), "interface": q(interfaced), "fio2": fio2})
	}
	set(60, "simv", "tube", "40")
	set(100, "cpap", "nasal", "21")
	f.setting("no weight", 60, "simv", "tube")
	// 8 mL of 2 kg is 4, on the bound and not under it; 7.9 is under; 12.1 over; under CPAP no tidal volume counts.
	for i, volume := range []string{"8", "7.9", "12.1"} {
		f.reading("A", "V", 70+float64(i), "expired_tidal_volume", volume)
	}
	f.reading("A", "V", 110, "expired_tidal_volume", "1")
	f.reading("no weight", "V", 70, "expired_tidal_volume", "1")
	// SpO2 of a monitor: 89 below; 96 above on 40 %; 96 in room air is not above; before support nothing counts.
	f.reading("A", "M", 50, "spo2", "70")
	f.reading("A", "M", 70, "spo2", "89")
	f.reading("A", "M", 80, "spo2", "96")
	f.reading("A", "M", 110, "spo2", "96")
	r := f.reader()
	volumes, err := r.TidalVolumes(t.Context(), "", "")
	if err != nil {
		t.Fatal(err)
	}
	wantRange(t, volumes, 180, 60, 60)
	saturations, err := r.Saturations(t.Context(), "", "")
	if err != nil {
		t.Fatal(err)
	}
	wantRange(t, saturations, 180, 60, 60)
	if volumes.Transports != 1 || math.Abs(*volumes.MiddleBelow-100.0/3) > 1e-9 {
		t.Errorf("got %d transports, %v %% of the time below: want 1 and a third", volumes.Transports, *volumes.MiddleBelow)
	}
	none, err := newFixture(t).reader().Saturations(t.Context(), "", "")
	if err != nil || none.Transports != 0 || none.MiddleAbove != nil || none.Low != 90 {
		t.Errorf("got %+v, %v from an empty store", none, err)
	}
}
